//! What the network says of the boat in each of its modes.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::job::value::{CircuitId, DeviceId, ModeId, PointId};
use crate::job::wiring::ConductorId;
use crate::trade::quantity::Quantity;
use crate::trade::say::Statement;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// What the network says of the boat in each of its modes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModesReport {
    /// Every state that was solved: all on, the plan's modes, the start of each engine.
    pub states: Vec<SolvedState>,
    /// What passes each point at the worst.
    pub points: BTreeMap<PointId, PointOverModes>,
    /// The volts that each circuit's devices get.
    pub circuits: BTreeMap<CircuitId, VoltsOverModes>,
}

/// A state the boat is solved in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedState {
    /// Which.
    #[serde(flatten)]
    pub of: StateOf,
    /// What people call it.
    pub name: String,
    /// The circuits that are on.
    pub on: Vec<CircuitId>,
    /// What all batteries give.
    pub drawn_a: Option<f64>,
    /// Heat in all conductors and fuses.
    pub lost_w: Option<f64>,
    /// Volts at each point.
    pub volts: BTreeMap<PointId, f64>,
    /// Amperes through each point; what a source gives.
    pub amperes: BTreeMap<PointId, f64>,
    /// Amperes in each conductor, counted along the way it is written.
    pub conductors: BTreeMap<ConductorId, f64>,
    /// Volts at the devices of each circuit that is on.
    pub devices: BTreeMap<CircuitId, BTreeMap<DeviceId, f64>>,
    /// Why there is no answer, where there is none.
    pub not_solved: Option<Statement>,
    /// How what the batteries give and what is lost came about.
    pub workings: Vec<Working>,
}

impl SolvedState {
    /// The device of a circuit that gets the lowest voltage, and that voltage.
    pub fn lowest(&self, circuit: &CircuitId) -> Option<(&DeviceId, f64)> {
        let devices = self.devices.get(circuit)?.iter().map(|(device, volts)| (device, *volts));
        devices.min_by(|one, other| one.1.total_cmp(&other.1))
    }
}

/// Which state it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "state", rename_all = "kebab-case")]
pub enum StateOf {
    /// Every circuit on.
    AllOn,
    /// A mode of the plan.
    Mode {
        /// The mode.
        mode: ModeId,
    },
    /// An engine being cranked.
    EngineStart {
        /// The engine.
        engine: PointId,
    },
}

/// What passes a point over all modes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointOverModes {
    /// The most in any mode of the plan, or while an engine is cranked; with all on where there is no mode.
    pub worst_a: f64,
    /// The name of that mode.
    pub worst_in: String,
    /// The most in any mode of what is on all the time of it.
    pub continuous_a: Option<f64>,
    /// The name of that mode.
    pub continuous_in: Option<String>,
    /// How the worst came about.
    pub workings: Vec<Working>,
}

/// The volts at a circuit's devices over all modes in which it is on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VoltsOverModes {
    /// Least.
    pub lowest_v: f64,
    /// The mode with the least.
    pub lowest_in: String,
    /// Most.
    pub highest_v: f64,
    /// The mode with the most.
    pub highest_in: String,
}

impl VoltsOverModes {
    /// Where the range comes from.
    pub fn working(&self) -> Working {
        Working {
            what: Quantity::DeviceVoltsOverModes,
            formula: "the network solved in each mode in which the circuit is on",
            numbers: format!(
                "{} in '{}', {} V in '{}'",
                figure(self.lowest_v),
                self.lowest_in,
                figure(self.highest_v),
                self.highest_in
            ),
            result: format!("{} to {} V", figure(self.lowest_v), figure(self.highest_v)),
            source: &CIRCUIT_LAWS,
        }
    }
}
