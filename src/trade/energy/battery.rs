//! Batteries: usual figures of each chemistry, and capacity against current and cold.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{
    ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio,
    ThermodynamicTemperature, Time,
};
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::hour;

use crate::trade::quantity::Quantity;
use crate::trade::source::{PEUKERT, SUPPOSED_RESISTANCE};
use crate::trade::working::{Working, figure};

/// The chemistry of a battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Chemistry {
    /// Flooded lead-acid.
    Flooded,
    /// Gel lead-acid.
    Gel,
    /// Absorbed glass mat lead-acid.
    Agm,
    /// Lithium iron phosphate.
    Lifepo4,
}

/// Usual figures of a chemistry, from memory ([`BATTERY_PRACTICE`](crate::trade::source::BATTERY_PRACTICE)).
/// A manufacturer's data take precedence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Practice {
    /// The usual range of Peukert exponents, from low to high.
    pub peukert: (f64, f64),
    /// Largest charging current that it accepts, as a share of capacity in an hour.
    pub acceptance_per_hour: f64,
    /// State of charge at which the charging current begins to fall.
    pub taper_from: f64,
    /// Charging current at which the battery counts as full, as a share of capacity in an hour.
    pub tail_per_hour: f64,
    /// Share of the charging current that is stored.
    pub efficiency: f64,
    /// Minimum state of charge.
    pub floor: f64,
}

impl Practice {
    /// The middle of the range of exponents.
    pub fn exponent(&self) -> f64 {
        f64::midpoint(self.peukert.0, self.peukert.1)
    }
}

impl Chemistry {
    /// The usual figures.
    pub fn practice(self) -> Practice {
        let lead = Practice {
            peukert: (1.2, 1.6),
            acceptance_per_hour: 0.2,
            taper_from: 0.8,
            tail_per_hour: 0.01,
            efficiency: 0.85,
            floor: 0.5,
        };
        match self {
            Self::Flooded => lead,
            Self::Gel => {
                Practice { peukert: (1.1, 1.25), acceptance_per_hour: 0.25, efficiency: 0.9, ..lead }
            }
            Self::Agm => {
                Practice { peukert: (1.05, 1.15), acceptance_per_hour: 0.35, efficiency: 0.9, ..lead }
            }
            Self::Lifepo4 => Practice {
                peukert: (1.0, 1.05),
                acceptance_per_hour: 0.5,
                taper_from: 0.95,
                tail_per_hour: 0.05,
                efficiency: 0.99,
                floor: 0.2,
            },
        }
    }

    /// Whether it is a lead-acid battery.
    pub fn is_lead(self) -> bool {
        self != Self::Lifepo4
    }

    /// Internal resistance of a 12 V battery times its capacity; from memory.
    fn ohm_ampere_hours(self) -> f64 {
        match self {
            Self::Flooded | Self::Gel => 0.6,
            Self::Agm => 0.4,
            Self::Lifepo4 => 0.5,
        }
    }

    /// The name of the chemistry.
    pub fn words(self) -> &'static str {
        match self {
            Self::Flooded => "flooded lead-acid",
            Self::Gel => "gel",
            Self::Agm => "absorbed glass mat",
            Self::Lifepo4 => "lithium iron phosphate",
        }
    }
}

/// A capacity with its rated hours, as on the label. Peukert's relation is `t = H (C / (I H))^k`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedCapacity {
    /// The charge that it supplies over its rated hours.
    pub charge: ElectricCharge,
    /// The rated hours, usually 20.
    pub over: Time,
}

impl RatedCapacity {
    /// A capacity at the 20-hour rate.
    pub fn over_20_hours(ampere_hours: f64) -> Self {
        Self { charge: ElectricCharge::new::<ampere_hour>(ampere_hours), over: Time::new::<hour>(20.0) }
    }

    /// The current that discharges it in its rated hours.
    pub fn rated_current(self) -> ElectricCurrent {
        self.charge / self.over
    }

    /// How long it lasts at a constant current.
    pub fn time_to_empty(self, current: ElectricCurrent, exponent: f64) -> Time {
        let over_rated: Ratio = self.rated_current() / current;
        self.over * over_rated.get::<ratio>().powf(exponent)
    }

    /// The working of [`Self::time_to_empty`].
    pub fn working(self, current: ElectricCurrent, exponent: f64) -> Working {
        let (hours, amperes) = (self.over.get::<hour>(), current.get::<ampere>());
        let charge = self.charge.get::<ampere_hour>();
        Working {
            what: Quantity::TimeToEmpty,
            formula: "t = H (C / (I H))^k, C the capacity over H hours",
            numbers: format!(
                "{} h x ({} Ah / ({} A x {} h))^{}",
                figure(hours),
                figure(charge),
                figure(amperes),
                figure(hours),
                figure(exponent)
            )
            .into(),
            result: format!("{} h", figure(self.time_to_empty(current, exponent).get::<hour>())).into(),
            source: &PEUKERT,
        }
    }
}

/// The remaining share of a lead-acid battery's capacity by temperature: degrees Celsius and share.
const LEAD_COLD: [(f64, f64); 4] = [(-18.0, 0.65), (0.0, 0.85), (5.0, 0.85), (25.0, 1.0)];

/// The share of the rated capacity that remains at a temperature
/// ([`LEAD_COLD`](crate::trade::source::LEAD_COLD), from memory).
///
/// The factor never exceeds 1 above 25 C. For lithium iron phosphate there is no figure, so no reduction
/// applies.
pub fn cold_factor(chemistry: Chemistry, temperature: ThermodynamicTemperature) -> Ratio {
    let share = if chemistry.is_lead() {
        along(&LEAD_COLD, temperature.get::<degree_celsius>()).clamp(0.0, 1.0)
    } else {
        1.0
    };
    Ratio::new::<ratio>(share)
}

/// Rest voltage of a flooded 12 V battery at 25 C: state of charge and volts.
const LEAD_REST: [(f64, f64); 5] = [(0.0, 11.9), (0.25, 12.06), (0.5, 12.24), (0.75, 12.45), (1.0, 12.65)];

/// The voltage at rest of a lead-acid battery
/// ([`LEAD_REST_VOLTAGE`](crate::trade::source::LEAD_REST_VOLTAGE), from memory).
///
/// Gel and glass mat are one or two tenths of a volt higher; this is ignored. The voltage of lithium iron
/// phosphate is too constant to show its state of charge: `None`.
pub fn rest_voltage(
    chemistry: Chemistry,
    charge: Ratio,
    nominal: ElectricPotential,
) -> Option<ElectricPotential> {
    let twelfths = nominal.get::<volt>() / 12.0;
    chemistry
        .is_lead()
        .then(|| ElectricPotential::new::<volt>(along(&LEAD_REST, charge.get::<ratio>()) * twelfths))
}

/// The internal resistance that is supposed where none is given, for 12 V at 25 C.
///
/// From the cold-cranking rating: the voltage falls from 12.6 V to 7.2 V at that current and -18 C. Warm, a
/// battery has about half that resistance. Without that rating it is taken from capacity and chemistry. Both
/// are from memory ([`SUPPOSED_RESISTANCE`]). Batteries in series are entered as one, with the ampere-hours
/// and the cranking amperes of one. Their resistances add up, so the figure goes with the voltage.
///
/// ```
/// use driploop::trade::energy::battery::{Chemistry, supposed_resistance};
/// use uom::si::electrical_resistance::milliohm;
/// use uom::si::electric_current::ampere;
/// use uom::si::electric_potential::volt;
/// use uom::si::f64::{ElectricCurrent, ElectricPotential};
///
/// let cranking = Some(ElectricCurrent::new::<ampere>(675.0));
/// let one = supposed_resistance(None, cranking, None, ElectricPotential::new::<volt>(12.6)).unwrap();
/// assert!((one.resistance.get::<milliohm>() - 4.0).abs() < 1e-9);
/// let two = supposed_resistance(None, cranking, None, ElectricPotential::new::<volt>(25.2)).unwrap();
/// assert!((two.resistance.get::<milliohm>() - 8.0).abs() < 1e-9);
/// ```
///
/// [`SUPPOSED_RESISTANCE`]: crate::trade::source::SUPPOSED_RESISTANCE
pub fn supposed_resistance(
    chemistry: Option<Chemistry>,
    cranking: Option<ElectricCurrent>,
    capacity: Option<ElectricCharge>,
    at_rest: ElectricPotential,
) -> Option<SupposedResistance> {
    let twelves = at_rest.get::<volt>() / FULL_V;
    let cranking = cranking.map(|current| current.get::<ampere>()).filter(|amperes| *amperes > 0.0);
    let capacity = capacity.map(|charge| charge.get::<ampere_hour>()).filter(|charge| *charge > 0.0);
    let (ohms, formula, numbers) = match (cranking, chemistry.zip(capacity)) {
        (Some(amperes), _) => (
            WARM_SHARE * (FULL_V - CRANKED_TO_V) / amperes,
            "half of (12.6 V - 7.2 V) / cold-cranking current, for each 12 V",
            format!("0.5 x 5.4 V / {} A x {}", figure(amperes), figure(twelves)),
        ),
        (None, Some((chemistry, charge))) => (
            chemistry.ohm_ampere_hours() / charge,
            "usual ohms x ampere-hours of its chemistry / capacity, for each 12 V",
            format!(
                "{} ohm Ah ({}) / {} Ah x {}",
                figure(chemistry.ohm_ampere_hours()),
                chemistry.words(),
                figure(charge),
                figure(twelves)
            ),
        ),
        (None, None) => return None,
    };
    let ohms = ohms * twelves;
    Some(SupposedResistance {
        resistance: ElectricalResistance::new::<ohm>(ohms),
        working: Working {
            what: Quantity::InternalResistance,
            formula,
            numbers: numbers.into(),
            result: format!("{} ohm", figure(ohms)).into(),
            source: &SUPPOSED_RESISTANCE,
        },
    })
}

/// An internal resistance that nobody entered.
#[derive(Debug, Clone, PartialEq)]
pub struct SupposedResistance {
    /// The resistance.
    pub resistance: ElectricalResistance,
    /// What it is taken from.
    pub working: Working,
}

/// Voltage of a full 12 V battery at rest, and at its cold-cranking current.
const FULL_V: f64 = 12.6;
const CRANKED_TO_V: f64 = 7.2;
/// Internal resistance at 25 C as a share of that at -18 C, from memory.
const WARM_SHARE: f64 = 0.5;

/// The voltage under load at which a lead-acid battery counts as empty: 1.75 V a cell
/// ([`BATTERY_PRACTICE`](crate::trade::source::BATTERY_PRACTICE), from memory).
pub fn end_voltage(nominal: ElectricPotential) -> ElectricPotential {
    nominal * (6.0 * 1.75 / 12.0)
}

/// Linear interpolation through points in order of x. The first and last segments continue beyond the ends.
fn along(points: &[(f64, f64)], x: f64) -> f64 {
    let last = points.len() - 2;
    let piece = points[1..].iter().position(|(end, _)| x <= *end).unwrap_or(last);
    let ((x0, y0), (x1, y1)) = (points[piece], points[piece + 1]);
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}
