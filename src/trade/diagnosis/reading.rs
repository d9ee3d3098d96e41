//! The input of the diagnosis: the stretches, the readings, and the network's figures for them.

use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

/// The least extra drop while the circuit is on that makes an excess worth looking for, in V.
pub const WORTH_V: f64 = 0.36;

/// How far a source at rest may be from the plan, in V. Causes are charge, temperature, or a charger that was
/// on recently.
pub const REST_V: f64 = 0.4;

/// A piece of the path that may have an excess resistance: a conductor with its two ends, a fuse in its
/// holder, or the inside of a battery with its posts.
#[derive(Debug, Clone, PartialEq)]
pub struct SuspectStretch {
    /// Its name, for readers.
    pub name: String,
    /// Its design resistance.
    pub design: ElectricalResistance,
}

/// A stretch on a reading's path, and the share of the circuit's current through it, from the solved network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchShare {
    /// The stretch, by its number in the list.
    pub stretch: usize,
    /// The current in it as a share of the circuit's current; negative if it flows against the path.
    pub share: f64,
}

/// One reading: one circuit on by itself, measured at one of its loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The circuit.
    pub of: String,
    /// The supply of the circuit. Readings on the same supply share its voltage at rest.
    pub supply: usize,
    /// Volts where the circuit begins with everything off, as planned.
    pub rest: ElectricPotential,
    /// From the source to where the circuit begins, positive and negative.
    pub before: Vec<StretchShare>,
    /// From where the circuit begins to the load.
    pub out: Vec<StretchShare>,
    /// From the load back to where the negative ends.
    pub back: Vec<StretchShare>,
    /// The figures of the solved network.
    pub expected: NetworkReading,
    /// The figures that the meter showed.
    pub meter: MeterReading,
}

/// The solved network's figures for a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NetworkReading {
    /// Volts where the circuit begins.
    pub source: ElectricPotential,
    /// Volts at the load.
    pub load: ElectricPotential,
    /// The circuit's current.
    pub current: ElectricCurrent,
    /// The rating of its fuse or breaker.
    pub fuse: Option<ElectricCurrent>,
}

/// The meter's figures; `None`: not measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MeterReading {
    /// Volts where the circuit begins.
    pub source: Option<ElectricPotential>,
    /// Volts at the load.
    pub load: Option<ElectricPotential>,
    /// Amperes.
    pub current: Option<ElectricCurrent>,
    /// Ohms of the negative with the power off.
    pub back: Option<ElectricalResistance>,
    /// Volts at the load with the circuit off.
    pub load_off: Option<ElectricPotential>,
    /// Amperes with the circuit off.
    pub current_off: Option<ElectricCurrent>,
}
