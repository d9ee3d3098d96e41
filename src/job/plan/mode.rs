//! The states a boat is used in, and what is on in each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::is_default;
use crate::job::value::{CircuitId, Hours, ModeId, Name, PointId, Share};

/// A state the boat is used in, such as running or anchored overnight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mode {
    /// Id of the mode.
    pub id: ModeId,
    /// Name of the mode.
    pub name: Name,
    /// Hours of a day spent in it.
    pub hours: Hours,
    /// What is on, and for what share of the time.
    pub on: Vec<InUse>,
    /// The chargers and alternators that run in it and charge the batteries.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub charging: Vec<PointId>,
    /// Whether the engine idles meanwhile, so that its alternator gives what it gives at idle.
    #[serde(default, skip_serializing_if = "is_default")]
    pub idling: bool,
}

/// A circuit in use during a mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InUse {
    /// The circuit.
    pub circuit: CircuitId,
    /// The share of the time it is on; all of it where left out.
    #[serde(default, skip_serializing_if = "is_default")]
    pub share: Share,
}
