//! The states a boat is used in, with what is on in each.

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
    /// Hours per day in this mode.
    pub hours: Hours,
    /// What is on, and for what share of the time.
    pub on: Vec<InUse>,
    /// The chargers and alternators that charge the batteries in this mode.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub charging: Vec<PointId>,
    /// Engine speed in revolutions per minute, for the alternator's output curve; left out: the
    /// alternator's rating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rpm: Option<Rpm>,
}

/// A mode in the job file, in the present format and in the older one without an engine speed.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenMode {
    /// Id of the mode.
    id: ModeId,
    /// Name of the mode.
    name: Name,
    /// Hours per day in this mode.
    hours: Hours,
    /// What is on, and for what share of the time.
    on: Vec<InUse>,
    /// The chargers and alternators that charge the batteries in this mode.
    #[serde(default)]
    charging: Vec<PointId>,
    /// Engine speed in revolutions per minute, for the alternator's output curve; left out: the
    /// alternator's rating.
    #[serde(default)]
    rpm: Option<Rpm>,
    /// What older files have instead of the speed: whether the engine idles.
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
    /// The share of the time it is on; left out: all of it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub share: Share,
}
