//! The results of the network for the boat in each of its modes.

use std::collections::BTreeMap;

use foldhash::HashSet;
use serde::Serialize;

use crate::job::conductor::ConductorId;
use crate::job::subject::Subject;
use crate::job::value::{CircuitId, DeviceId, ModeId, PointId};
use crate::trade::quantity::Quantity;
use crate::trade::say::Statement;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// The results of the network for the boat in each of its modes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModesReport {
    /// Every solved state: all on, the plan's modes, and the start of each engine.
    pub states: Vec<SolvedState>,
    /// The largest current through each point.
    pub points: BTreeMap<PointId, PointOverModes>,
    /// The voltage range at each circuit's devices.
    pub circuits: BTreeMap<CircuitId, VoltsOverModes>,
}

/// A state of the boat that the network is solved for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedState {
    /// Which state it is.
    #[serde(flatten)]
    pub of: StateOf,
    /// Its name for people.
    pub name: String,
    /// The circuits that are on.
    pub on: Vec<CircuitId>,
    /// The current that all batteries deliver together.
    pub drawn_a: Option<f64>,
    /// Heat in all conductors and fuses together.
    pub lost_w: Option<f64>,
    /// Voltage at each point.
    pub volts: BTreeMap<PointId, f64>,
    /// Current through each point; for a source, the current it delivers.
    pub amperes: BTreeMap<PointId, f64>,
    /// Current in each conductor, positive in the direction in which the plan lists its ends.
    pub conductors: BTreeMap<ConductorId, f64>,
    /// Voltage at the devices of each circuit that is on.
    pub devices: BTreeMap<CircuitId, BTreeMap<DeviceId, f64>>,
    /// Why there is no solution, if there is none.
    pub not_solved: Option<Statement>,
    /// The circuits and engines whose voltage collapses, if there is no solution.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub collapsed: Vec<Subject>,
    /// How the battery current and the heat were calculated.
    pub workings: Vec<Working>,
}

impl ModesReport {
    /// Keeps the voltages of these circuits only.
    pub(in crate::job) fn keep_only(&mut self, circuits: &HashSet<&CircuitId>) {
        for state in &mut self.states {
            state.devices.retain(|circuit, _| circuits.contains(circuit));
        }
        self.circuits.retain(|circuit, _| circuits.contains(circuit));
    }
}

impl SolvedState {
    /// The device of a circuit with the lowest voltage, and that voltage.
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

/// The current through a point over all modes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointOverModes {
    /// The largest in any mode of the plan, or while an engine is cranked; with all on if there is no mode.
    pub worst_a: f64,
    /// The name of that mode.
    pub worst_in: String,
    /// The largest continuous current in any mode: that of the circuits that are on the whole time.
    pub continuous_a: Option<f64>,
    /// The name of that mode.
    pub continuous_in: Option<String>,
    /// How the largest current was calculated.
    pub workings: Vec<Working>,
}

/// The voltage range at a circuit's devices over all modes in which it is on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VoltsOverModes {
    /// The lowest voltage.
    pub lowest_v: f64,
    /// The mode with the lowest voltage.
    pub lowest_in: String,
    /// The highest voltage.
    pub highest_v: f64,
    /// The mode with the highest voltage.
    pub highest_in: String,
}

impl VoltsOverModes {
    /// Which modes the range comes from.
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
            )
            .into(),
            result: format!("{} to {} V", figure(self.lowest_v), figure(self.highest_v)).into(),
            source: &CIRCUIT_LAWS,
        }
    }
}
