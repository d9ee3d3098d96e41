//! Records of the work on the boat, as events that are added and never changed.
//!
//! Every event has an id from the client that made it, so an event sent twice is stored once. Events may
//! arrive in any order.

use foldhash::HashSet;
use jiff::Timestamp;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::open_item::{Closing, OpenItem};
use super::step::StepKey;
use super::value::{CircuitId, DeviceId, MeterA, MeterOhm, MeterV, Name, PointId, Prose, PullN, RatingA};

/// One person's mark on one step of one item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tick {
    /// Id made by the client.
    pub id: Uuid,
    /// The step.
    pub step: StepKey,
    /// The mark: done, undone or not needed.
    pub mark: Mark,
    /// The reason for the mark. It is needed in three cases: the step is not needed, its measurement
    /// deserves a look, or a change of the plan undid it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<Prose>,
    /// Name of the person.
    pub by: Name,
    /// What that person was shown.
    #[serde(default, skip_serializing_if = "Seen::is_empty")]
    pub seen: Seen,
    /// Time of the action, by that person's clock.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// What the plan said about a step when a person acted on it. A later plan is compared with it.
///
/// Only what the step depends on is filled in.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seen {
    /// The label to print, at both ends of a wire or cable.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Name>,
    /// What a wire or cable connects, or what an end lands on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub landing: Option<Name>,
    /// The terminal or connector of an end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terminal: Option<Name>,
    /// The size of the conductor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Name>,
    /// The circuits on a switch position.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuits: Option<Prose>,
    /// The rating of the fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// The expected drop from the source to the load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_v: Option<MeterV>,
}

impl Seen {
    /// Whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// The state that a tick gives its step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Done.
    Done,
    /// It was not done: it is open again.
    Undone,
    /// Not needed on this boat, with a reason.
    NotNeeded,
}

impl Mark {
    /// The text for this mark.
    pub fn words(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Undone => "undone",
            Self::NotNeeded => "not needed",
        }
    }
}

/// The readings of one circuit at one of its devices, as the meter showed them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Id made by the client.
    pub id: Uuid,
    /// The circuit that was switched on.
    pub circuit: CircuitId,
    /// The device measured at; left out: the farthest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceId>,
    /// Voltage at the source, under load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source_v: Option<MeterV>,
    /// Voltage at the load, while it draws current.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_v: Option<MeterV>,
    /// Current drawn, in amperes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<MeterA>,
    /// Resistance of the return to the negative bar, measured without power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_ohm: Option<MeterOhm>,
    /// Voltage at the load with the circuit off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_off_v: Option<MeterV>,
    /// Current drawn with the circuit off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_off_a: Option<MeterA>,
    /// Remarks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Name of the person.
    pub by: Name,
    /// Time of the measurement.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A measurement for a step: a resistance, a voltage, or the rating of the fuse that is fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepReading {
    /// Id made by the client.
    pub id: Uuid,
    /// The step.
    pub step: StepKey,
    /// The distribution point measured at, for a step of the whole boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<PointId>,
    /// Resistance, in ohms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohm: Option<MeterOhm>,
    /// Voltage, in volts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub v: Option<MeterV>,
    /// The rating printed on the fuse or breaker, in amperes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// Remarks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Name of the person.
    pub by: Name,
    /// Time of the measurement.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A fault that was found and repaired. Readings from before the repair no longer prove anything.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Id made by the client.
    pub id: Uuid,
    /// The circuit that has to be measured again.
    pub circuit: CircuitId,
    /// The location of the fault, as the diagnosis names it.
    pub r#where: Name,
    /// What was found and what was done.
    pub found: Prose,
    /// Name of the person.
    pub by: Name,
    /// Time of the repair.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A person's permission to do one step although one item that it waits for is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// Id made by the client.
    pub id: Uuid,
    /// The step that may be done.
    pub step: StepKey,
    /// The open item: the key of a step, or of a failed sample crimp.
    pub obstacle: String,
    /// Why the step may be done.
    pub reason: Prose,
    /// Name of the person.
    pub by: Name,
    /// Time of the release.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A qualified person's decision that one `stop` finding does not apply. It ends when the figures of the finding
/// change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Judgment {
    /// Id made by the client.
    pub id: Uuid,
    /// The finding: its code and subject.
    pub finding: String,
    /// The value that the finding had.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The limit that the finding had.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// The qualified person.
    pub judge: Name,
    /// The qualification.
    pub qualification: Name,
    /// Why the finding does not apply.
    pub reason: Prose,
    /// The person who recorded it.
    pub by: Name,
    /// Time of the decision.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A manager's confirmation of a release, waiver or judgment that came with an imported job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Confirmation {
    /// Id made by the client.
    pub id: Uuid,
    /// The id of the confirmed event.
    pub event: Uuid,
    /// Name of the person.
    pub by: Name,
    /// Time of the confirmation.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A sample crimp, pulled to test whether it holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CrimpPull {
    /// Id made by the client.
    pub id: Uuid,
    /// The label of the end that the sample represents.
    pub end: Name,
    /// The force that it held, or at which it failed.
    pub force_n: PullN,
    /// Remarks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Name of the person.
    pub by: Name,
    /// Time of the pull.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// The withdrawal of a reading, pull, open item, closing, repair or release. The event stays on record but no
/// longer counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Withdrawal {
    /// Id made by the client.
    pub id: Uuid,
    /// The id of the withdrawn event.
    pub event: Uuid,
    /// Name of the person.
    pub by: Name,
    /// Time of the withdrawal.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// Everything that happened on one job.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct History {
    /// Ticks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ticks: Vec<Tick>,
    /// Readings of the power-up test.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// Sample crimps pulled.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crimp_pulls: Vec<CrimpPull>,
    /// Open items, closed ones too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub open_items: Vec<OpenItem>,
    /// The ends of open items.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub closings: Vec<Closing>,
    /// Measurements of single steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub step_readings: Vec<StepReading>,
    /// Repaired faults.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repairs: Vec<Repair>,
    /// Releases.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub releases: Vec<Release>,
    /// Judgments of `stop` findings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub judgments: Vec<Judgment>,
    /// Confirmations of imported releases, waivers and judgments.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub confirmations: Vec<Confirmation>,
    /// Withdrawals.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub withdrawals: Vec<Withdrawal>,
    /// The ids of the events that came with an imported job. A job file does not have them: to its reader, every
    /// event in it is imported.
    #[serde(skip)]
    pub imported: HashSet<Uuid>,
}
