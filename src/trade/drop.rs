//! Voltage lost in one circuit's own copper.
//!
//! Jobs are checked by the handbook formula. Under US rules it is `E = K I L / CM` with K = 10.75. Under ISO
//! rules it is `E = 0.0164 I L / S` in meters and square millimeters. L is the whole length of the current's
//! path, there and back.
//!
//! The metric constant is below the resistivity of copper at 20 C (0.01724). The stranded conductors of IEC
//! 60228 also have more resistance than solid copper of their nominal section. When warm in use, they lose a
//! fifth to a third more than the formula gives. Near the limit, rely on the solved network. Neither formula
//! includes contacts, fuses or a feeder shared with others.

use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio};
use uom::si::length::{foot, meter};
use uom::si::ratio::percent;

use super::conductor::Size;
use super::finding::{Code, RuleFinding};
use super::rules::RuleSet;
use super::say::say;
use super::source::{DROP_CIRCULAR_MILS, DROP_METRIC};
use super::units::percent as percent_of;
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// Ohm circular mils per foot of copper at some 25 to 30 C.
pub const K_OHM_CM_PER_FT: f64 = 10.75;
/// Ohm square millimeters per meter in the metric formula.
pub const K_OHM_MM2_PER_M: f64 = 0.0164;

/// Percent of nominal voltage that navigation lights, bilge blowers and pumps, electronics and panel
/// feeders may lose ([`ISO_10133_4_8`](super::source::ISO_10133_4_8),
/// [`DROP_LIMITS`](super::source::DROP_LIMITS)).
pub const CRITICAL_PERCENT: f64 = 3.0;

/// Percent of nominal voltage that other circuits may lose
/// ([`DROP_LIMITS`](super::source::DROP_LIMITS)).
pub const OTHER_PERCENT: f64 = 10.0;

/// The drop limit for critical circuits.
pub fn critical_limit() -> Ratio {
    Ratio::new::<percent>(CRITICAL_PERCENT)
}

/// Whether a device with this drop limit is critical.
pub fn is_critical(limit: Ratio) -> bool {
    keeps_to(limit.get::<percent>(), CRITICAL_PERCENT)
}

/// The limit of the total drop from the battery: a feeder at 3 % and a circuit at its own limit
/// ([`TOTAL_DROP`](super::source::TOTAL_DROP)).
pub fn total_limit(is_critical: bool) -> Ratio {
    let circuit = if is_critical { CRITICAL_PERCENT } else { OTHER_PERCENT };
    Ratio::new::<percent>(CRITICAL_PERCENT + circuit)
}

/// A conductor's length, with how it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PathLength {
    /// From the source to the load.
    OneWay(Length),
    /// From the source to the load and back.
    RoundTrip(Length),
}

impl PathLength {
    /// From the source to the load.
    pub fn one_way(self) -> Length {
        match self {
            Self::OneWay(length) => length,
            Self::RoundTrip(length) => length / 2.0,
        }
    }

    /// From the source to the load and back.
    pub fn round_trip(self) -> Length {
        match self {
            Self::OneWay(length) => length * 2.0,
            Self::RoundTrip(length) => length,
        }
    }
}

/// Voltage lost between the source and the load.
#[derive(Debug, Clone, PartialEq)]
pub struct Drop {
    /// In volts.
    pub volts: ElectricPotential,
    /// As a share of nominal voltage.
    pub share: Ratio,
    /// The working.
    pub working: Working,
}

/// The calculated drop by the handbook formula of the rule set.
pub fn handbook(
    rules: RuleSet,
    size: Size,
    current: ElectricCurrent,
    length: PathLength,
    nominal: ElectricPotential,
) -> Drop {
    let (amperes, round_trip) = (current.get::<ampere>(), length.round_trip());
    let (volts, formula, numbers, source) = match rules {
        RuleSet::Us => {
            let (feet, mils) = (round_trip.get::<foot>(), size.circular_mils());
            let numbers = format!(
                "{K_OHM_CM_PER_FT} x {} A x {} ft / {} CM",
                figure(amperes),
                figure(feet),
                figure(mils)
            );
            (K_OHM_CM_PER_FT * amperes * feet / mils, "E = K I L / CM", numbers, &DROP_CIRCULAR_MILS)
        }
        RuleSet::Iso => {
            let (meters, mm2) = (round_trip.get::<meter>(), size.area().get::<square_millimeter>());
            let numbers = format!(
                "{K_OHM_MM2_PER_M} x {} A x {} m / {} mm2",
                figure(amperes),
                figure(meters),
                figure(mm2)
            );
            (K_OHM_MM2_PER_M * amperes * meters / mm2, "E = 0.0164 I L / S", numbers, &DROP_METRIC)
        }
    };
    let volts = ElectricPotential::new::<volt>(volts);
    let share = volts / nominal;
    let result = volts_and_percent(volts, share);
    Drop {
        volts,
        share,
        working: Working {
            what: Quantity::HandbookDrop,
            formula,
            numbers: numbers.into(),
            result: result.into(),
            source,
        },
    }
}

/// Ohm's law along a conductor: resistance per meter, length and current.
pub fn ohmic(per_meter: ElectricalResistance, length: Length, current: ElectricCurrent) -> ElectricPotential {
    per_meter * length.get::<meter>() * current
}

/// Whether a drop is within its limit, a share of nominal voltage.
pub fn judge(drop: &Drop, limit: Ratio) -> Option<RuleFinding> {
    let (share, most) = (drop.share.get::<percent>(), limit.get::<percent>());
    if keeps_to(share, most) {
        return None;
    }
    let text = say!(
        "The calculated drop is {}; the limit is {}. Use a thicker conductor or a shorter route.",
        percent_of(share).beside(most),
        percent_of(most)
    );
    Some(RuleFinding::new(Code::DropOverLimit, text).against(share, most, "%").working(drop.working.clone()))
}

fn volts_and_percent(volts: ElectricPotential, share: Ratio) -> String {
    format!("{} V ({} %)", figure(volts.get::<volt>()), figure(share.get::<percent>()))
}
