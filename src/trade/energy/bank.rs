//! The bank of batteries that the pattern is held against.

use super::battery::{Chemistry, RatedCapacity};
use uom::si::f64::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, ThermodynamicTemperature,
};

/// What starts the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Starting {
    /// A battery of its own, or no engine: the bank need not crank.
    NotFromBank,
    /// This bank.
    FromBank {
        /// What the starter draws.
        demand: Option<ElectricCurrent>,
        /// The bank's cold-cranking rating.
        rating: Option<ElectricCurrent>,
    },
}

/// A bank of batteries in parallel, as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Bank {
    /// Its capacity over its rated hours.
    pub capacity: Option<RatedCapacity>,
    /// What it is made of.
    pub chemistry: Option<Chemistry>,
    /// Nominal voltage.
    pub nominal: ElectricPotential,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
    /// Its internal resistance.
    pub internal: Option<ElectricalResistance>,
    /// The manufacturer's Peukert exponent; the chemistry's usual one where left out.
    pub peukert: Option<f64>,
    /// The state of charge it should not fall under; the chemistry's usual one where left out.
    pub floor: Option<Ratio>,
    /// The voltage it should not fall under; see [`battery::end_voltage`].
    pub low_voltage: Option<ElectricPotential>,
    /// What starts the engine.
    pub starting: Starting,
}
