//! What is known before anything is sought: the stretches, the readings, what the network says of them.

use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

/// What an excess must cost while its circuit is on, to be worth looking for, in V.
pub const WORTH_V: f64 = 0.36;

/// How far a source at rest may be from what was planned, in V: charge, temperature, a charger just off.
pub const REST_V: f64 = 0.4;

/// A piece of the way that may hold an excess: a conductor with its two ends, a fuse in its holder, the
/// inside of a battery with its posts.
#[derive(Debug, Clone, PartialEq)]
pub struct SuspectStretch {
    /// Its name, for people.
    pub name: String,
    /// What it should have.
    pub design: ElectricalResistance,
}

/// A stretch on a reading's way, and the share of the circuit's current that passes it, by the solved network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// The stretch, by its number in the list.
    pub stretch: usize,
    /// The current in it over that of the circuit; below nothing against the way.
    pub share: f64,
}

/// One reading: one circuit alone on, measured at one of its loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The circuit.
    pub of: String,
    /// Which supply it hangs on; readings on the same one share its voltage at rest.
    pub supply: usize,
    /// Volts where the circuit begins with nothing on, as planned.
    pub rest: ElectricPotential,
    /// From the source to where the circuit begins, out and back.
    pub before: Vec<Passed>,
    /// From where the circuit begins to the load.
    pub out: Vec<Passed>,
    /// From the load back to where the return lands.
    pub back: Vec<Passed>,
    /// What the network says of it.
    pub expected: NetworkReading,
    /// What the meter said.
    pub meter: MeterReading,
}

/// What the solved network says of a reading.
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

/// What the meter said; `None`: not measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MeterReading {
    /// Volts where the circuit begins.
    pub source: Option<ElectricPotential>,
    /// Volts at the load.
    pub load: Option<ElectricPotential>,
    /// Amperes.
    pub current: Option<ElectricCurrent>,
    /// Ohms of the return, dead.
    pub back: Option<ElectricalResistance>,
    /// Volts at the load with the circuit off.
    pub load_off: Option<ElectricPotential>,
    /// Amperes with the circuit off.
    pub current_off: Option<ElectricCurrent>,
}
