//! The state of charge of the batteries over several days, as pages and files show it.

use serde::{Serialize, Serializer};
use uom::si::electric_charge::ampere_hour;
use uom::si::f64::ElectricCharge;
use uom::si::ratio::percent;

use crate::job::value::{CircuitId, PointId};
use crate::trade::energy::{Balance, Sample};
use crate::trade::working::Working;

/// The energy balance of every bank of the boat.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct EnergyReport {
    /// How many days are simulated.
    pub days: u8,
    /// Each bank.
    pub banks: Vec<BankReport>,
}

/// The energy balance of one bank.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BankReport {
    /// Its batteries.
    pub batteries: Vec<PointId>,
    /// Its name for people.
    pub name: String,
    /// The chargers and alternators on its feeders.
    pub chargers: Vec<PointId>,
    /// Capacity of all its batteries at the 20-hour rate.
    pub capacity_ah: Option<f64>,
    /// Consumption per day.
    pub daily_ah: f64,
    /// Consumption and charging current by mode.
    pub modes: Vec<ModeCharge>,
    /// Circuits with an unknown load, which are left out of the consumption.
    pub not_counted: Vec<CircuitId>,
    /// The state of charge over time; `None` without capacity and chemistry.
    pub course: Option<CourseReport>,
}

/// The consumption of a bank in one mode, and its charging current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModeCharge {
    /// The mode.
    pub mode: String,
    /// Hours per day.
    pub hours: f64,
    /// Consumption of its loads.
    pub used_ah: f64,
    /// The maximum that chargers and alternators deliver in this mode.
    pub charging_a: f64,
    /// The sum of the consumption.
    pub working: Working,
}

/// The state of charge over the simulated days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseReport {
    /// The curve: a moment every half hour, and one where it is lowest.
    pub curve: Vec<Moment>,
    /// The modes along it.
    pub bands: Vec<BandReport>,
    /// The minimum state of charge, in percent.
    pub floor_pct: f64,
    /// The lowest state of charge, in percent.
    pub lowest_pct: f64,
    /// When it is lowest, in hours from the start.
    pub lowest_at_h: f64,
    /// State of charge at the end.
    pub end_pct: f64,
    /// When it first falls below the minimum state of charge, in hours from the start.
    pub floor_at_h: Option<f64>,
    /// When the voltage first falls below the low limit, in hours from the start.
    pub low_voltage_at_h: Option<f64>,
    /// The longest time back to full charge.
    pub back_to_full_h: Option<f64>,
    /// How long the bank lasts without charging; `None`: more than a week.
    pub alone_h: Option<f64>,
    /// A capacity that is large enough, if this one is not.
    pub needed_ah: Option<f64>,
    /// Charge of the full bank that the calculation uses.
    pub full_ah: f64,
    /// Peukert's exponent.
    pub peukert: f64,
    /// Share of the charging current that is stored.
    pub efficiency: f64,
    /// How the figures were calculated.
    pub workings: Vec<Working>,
}

/// A moment of the curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Moment {
    /// Hours from the start.
    #[serde(rename = "at_h", serialize_with = "hundredths")]
    pub hours: f64,
    /// State of charge in percent.
    #[serde(serialize_with = "hundredths")]
    pub charge_pct: f64,
    /// Current out of the bank; negative while it is charged.
    #[serde(serialize_with = "hundredths")]
    pub current_a: f64,
    /// Charge in and out since the moment before; `None` for the first moment.
    #[serde(skip)]
    pub since: Option<Since>,
}

/// The changes in a bank's charge from one moment of the curve to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    /// State of charge before, in percent.
    pub before_pct: f64,
    /// Charge drawn from the bank.
    pub drawn_ah: f64,
    /// The Peukert-corrected value of that charge.
    pub weighed_ah: f64,
    /// Charge supplied, of which a share is stored.
    pub charged_ah: f64,
}

impl Since {
    pub(super) fn of(before: &Sample, now: &Sample) -> Self {
        let between = |what: fn(&Balance) -> ElectricCharge| {
            (what(&now.so_far) - what(&before.so_far)).get::<ampere_hour>()
        };
        Self {
            before_pct: before.charge.get::<percent>(),
            drawn_ah: between(|balance| balance.drawn),
            weighed_ah: between(|balance| balance.weighed),
            charged_ah: between(|balance| balance.accepted),
        }
    }
}

/// A part of the curve in one mode.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandReport {
    /// The mode.
    pub mode: String,
    /// Start, in hours from the start of the curve.
    pub from_h: f64,
    /// End, in hours from the start of the curve.
    pub to_h: f64,
}

/// Rounds to two decimals, because nobody reads a curve more finely.
fn hundredths<S: Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64((value * 100.0).round() / 100.0)
}
