//! The battery bank that the use pattern is checked with.

use super::battery::{Chemistry, RatedCapacity};
use uom::si::f64::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, ThermodynamicTemperature,
};

/// Which battery starts the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Starting {
    /// A separate battery, or there is no engine: the bank does not crank.
    NotFromBank,
    /// This bank.
    FromBank {
        /// The current that the starter draws.
        demand: Option<ElectricCurrent>,
        /// The bank's cold-cranking rating.
        rating: Option<ElectricCurrent>,
    },
}

/// A bank of batteries in parallel, treated as one battery.
#[derive(Debug, Clone, PartialEq)]
pub struct Bank {
    /// Its rated capacity, with its rated hours.
    pub capacity: Option<RatedCapacity>,
    /// Its chemistry.
    pub chemistry: Option<Chemistry>,
    /// Nominal voltage.
    pub nominal: ElectricPotential,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
    /// Its internal resistance.
    pub internal: Option<ElectricalResistance>,
    /// The manufacturer's Peukert exponent. If absent, the usual exponent of the chemistry applies.
    pub peukert: Option<f64>,
    /// The minimum state of charge. If absent, the usual minimum of the chemistry applies.
    pub floor: Option<Ratio>,
    /// The minimum voltage; see [`battery::end_voltage`].
    pub low_voltage: Option<ElectricPotential>,
    /// Which battery starts the engine.
    pub starting: Starting,
}
