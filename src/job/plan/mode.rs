//! The states a boat is used in, and what is on in each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::point::IDLE_RPM;
use crate::job::value::is_default;
use crate::job::value::{BadValue, CircuitId, Hours, ModeId, Name, PointId, Rpm, Share};

/// A state the boat is used in, such as running or anchored overnight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "WrittenMode")]
#[schemars(with = "WrittenMode")]
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
    /// Turns of the engine a minute, by which its alternator gives what its curve says; its rating where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rpm: Option<Rpm>,
}

/// A mode as the job file writes it, now and before the engine's speed was a number.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenMode {
    /// Id of the mode.
    id: ModeId,
    /// Name of the mode.
    name: Name,
    /// Hours of a day spent in it.
    hours: Hours,
    /// What is on, and for what share of the time.
    on: Vec<InUse>,
    /// The chargers and alternators that run in it and charge the batteries.
    #[serde(default)]
    charging: Vec<PointId>,
    /// Turns of the engine a minute, by which its alternator gives what its curve says; its rating where left out.
    #[serde(default)]
    rpm: Option<Rpm>,
    /// What files from before the speed have in its place: whether the engine idles.
    #[serde(default)]
    idling: bool,
}

impl TryFrom<WrittenMode> for Mode {
    type Error = BadValue;

    fn try_from(written: WrittenMode) -> Result<Self, BadValue> {
        let WrittenMode { id, name, hours, on, charging, rpm, idling } = written;
        let rpm = match (rpm, idling) {
            (None, true) => Some(Rpm::try_from(IDLE_RPM)?),
            (rpm, _) => rpm,
        };
        Ok(Self { id, name, hours, on, charging, rpm })
    }
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
