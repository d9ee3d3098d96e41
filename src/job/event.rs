//! Records of the work on the boat, as events that are added and never changed.
//!
//! Every event has an id from the client that made it, so an event sent twice is stored once. Events may
//! arrive in any order.

use std::collections::HashSet;

use jiff::{SignedDuration, Timestamp};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::phase::Phase;
use super::step::StepKey;
use super::value::{CircuitId, DeviceId, MeterA, MeterOhm, MeterV, Name, Prose, PullN};

/// One person's mark on one step of one item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
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
    /// Time of the action, by that person's clock.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
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

/// A measurement for a step: the resistance for a test before power, or the voltage at first power.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepReading {
    /// Id made by the client.
    pub id: Uuid,
    /// The step.
    pub step: StepKey,
    /// Resistance, in ohms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohm: Option<MeterOhm>,
    /// Voltage, in volts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub v: Option<MeterV>,
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

/// A named person's written permission to go past a hold point despite an open item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// Id made by the client.
    pub id: Uuid,
    /// The phase after the hold point.
    pub into: Phase,
    /// The open item, as the hold point names it: a step, or a finding with its subject.
    pub obstacle: String,
    /// Why it may be passed.
    pub reason: Prose,
    /// Name of the person.
    pub by: Name,
    /// Time of the release.
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

/// A note about an end, for example missing strands or a size that differs from the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndNote {
    /// Id made by the client.
    pub id: Uuid,
    /// The label of the end.
    pub end: Name,
    /// What was found.
    pub found: Prose,
    /// Name of the person.
    pub by: Name,
    /// Time of the note.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// The withdrawal of a reading, pull, note, repair or release. The event stays on record but no longer
/// counts.
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
    /// Notes about ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub end_notes: Vec<EndNote>,
    /// Measurements of single steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub step_readings: Vec<StepReading>,
    /// Repaired faults.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repairs: Vec<Repair>,
    /// Releases.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub releases: Vec<Release>,
    /// Withdrawals.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub withdrawals: Vec<Withdrawal>,
}

/// The smallest time difference that the database stores.
const JUST_AFTER: SignedDuration = SignedDuration::from_millis(1);

impl History {
    /// The time for a new event: `now`, but never before the latest event. Otherwise, after a clock was set
    /// back, an older tick would decide.
    pub fn moment(&self, now: Timestamp) -> Timestamp {
        let last = self.moments().max().unwrap_or(now);
        now.max(last.saturating_add(JUST_AFTER).unwrap_or(last))
    }

    /// The time of every event.
    pub fn moments(&self) -> impl Iterator<Item = Timestamp> {
        let Self { ticks, readings, step_readings, crimp_pulls, end_notes, repairs, releases, withdrawals } =
            self;
        let ticks = ticks.iter().map(|tick| tick.at);
        let readings = readings.iter().map(|reading| reading.at);
        let of_steps = step_readings.iter().map(|reading| reading.at);
        let repairs = repairs.iter().map(|repair| repair.at);
        let pulls = crimp_pulls.iter().map(|pull| pull.at);
        let notes = end_notes.iter().map(|note| note.at);
        let releases = releases.iter().map(|release| release.at);
        let withdrawals = withdrawals.iter().map(|withdrawal| withdrawal.at);
        let measured = readings.chain(of_steps).chain(pulls);
        ticks.chain(measured).chain(notes).chain(repairs).chain(releases).chain(withdrawals)
    }

    /// The history with only the events that count, without withdrawn ones. A tick is undone by another
    /// tick. A tick from a change of the plan is withdrawn when that change is undone.
    pub fn standing(mut self) -> Self {
        let gone: HashSet<Uuid> = self.withdrawals.iter().map(|withdrawal| withdrawal.event).collect();
        self.ticks.retain(|tick| !gone.contains(&tick.id));
        self.releases.retain(|release| !gone.contains(&release.id));
        self.readings.retain(|reading| !gone.contains(&reading.id));
        self.step_readings.retain(|reading| !gone.contains(&reading.id));
        self.repairs.retain(|repair| !gone.contains(&repair.id));
        self.crimp_pulls.retain(|pull| !gone.contains(&pull.id));
        self.end_notes.retain(|note| !gone.contains(&note.id));
        self
    }
}
