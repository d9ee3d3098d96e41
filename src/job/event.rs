//! What people did on the floor, as events that are added and never changed.
//!
//! Every event carries an id made where it happened, so that sending it twice stores it once, and
//! events may arrive in any order.

use std::collections::HashSet;

use jiff::{SignedDuration, Timestamp};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::phase::Phase;
use super::step::StepKey;
use super::value::{CircuitId, DeviceId, MeterA, MeterOhm, MeterV, Name, Prose, PullN};

/// One person marking one step of one thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tick {
    /// Id made by the client.
    pub id: Uuid,
    /// The step.
    pub step: StepKey,
    /// What the person said of it.
    pub mark: Mark,
    /// Why: where it is not needed, passes though its measurement deserves a look, or was taken back by a change
    /// of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<Prose>,
    /// Who.
    pub by: Name,
    /// When it was done, by the clock of whoever did it.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// What a tick says of its step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Done.
    Done,
    /// Done was wrong: it is open again.
    Undone,
    /// Not needed on this boat, with a reason.
    NotNeeded,
}

impl Mark {
    /// The mark in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Undone => "undone",
            Self::NotNeeded => "not needed",
        }
    }
}

/// The measurements of one circuit at one of its devices, as the meter showed them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Id made by the client.
    pub id: Uuid,
    /// The circuit that was on.
    pub circuit: CircuitId,
    /// The device measured at; the farthest where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceId>,
    /// Volts at the source, under load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source_v: Option<MeterV>,
    /// Volts at the load, while it draws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_v: Option<MeterV>,
    /// Amperes drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<MeterA>,
    /// Ohms of the return to the negative bar, measured dead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_ohm: Option<MeterOhm>,
    /// Volts at the load with the circuit off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_off_v: Option<MeterV>,
    /// Amperes drawn with the circuit off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_off_a: Option<MeterA>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A measurement that belongs to a step: the ohms of a check made dead, the volts at first power.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepReading {
    /// Id made by the client.
    pub id: Uuid,
    /// The step.
    pub step: StepKey,
    /// Ohms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohm: Option<MeterOhm>,
    /// Volts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub v: Option<MeterV>,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A fault that was found and put right: what was read before it proves nothing any more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Repair {
    /// Id made by the client.
    pub id: Uuid,
    /// The circuit that has to be measured again.
    pub circuit: CircuitId,
    /// Where the fault was, as the diagnosis names it.
    pub r#where: Name,
    /// What was found and what was done about it.
    pub found: Prose,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A named person's written reason to pass a gate in spite of what stands in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// Id made by the client.
    pub id: Uuid,
    /// The phase that is entered through the gate.
    pub into: Phase,
    /// What stood in the gate, as the gate names it: a step or a finding with its subject.
    pub obstacle: String,
    /// Why it may pass.
    pub reason: Prose,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A sample crimp, pulled to see whether it holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CrimpPull {
    /// Id made by the client.
    pub id: Uuid,
    /// The end it was made for, by its label.
    pub end: Name,
    /// The force it held, or at which it let go.
    pub force_n: PullN,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Prose>,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// Something found at an end: strands missing, another size than planned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndNote {
    /// Id made by the client.
    pub id: Uuid,
    /// The end, by its label.
    pub end: Name,
    /// What was found.
    pub found: Prose,
    /// Who.
    pub by: Name,
    /// When.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// A reading, a pull, a note, a repair or a release taken back: it stays on record and counts no more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Withdrawal {
    /// Id made by the client.
    pub id: Uuid,
    /// The id of what is taken back.
    pub event: Uuid,
    /// Who.
    pub by: Name,
    /// When.
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
    /// What was found at ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub end_notes: Vec<EndNote>,
    /// Measurements of single steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub step_readings: Vec<StepReading>,
    /// Faults found and put right.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repairs: Vec<Repair>,
    /// Releases.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub releases: Vec<Release>,
    /// What was taken back.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub withdrawals: Vec<Withdrawal>,
}

/// The least that tells two moments apart in the database.
const JUST_AFTER: SignedDuration = SignedDuration::from_millis(1);

impl History {
    /// The time of what is done now: `now`, but never before what was done last. A clock that was set back
    /// would otherwise let an older tick decide.
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

    /// The history as it counts: without what somebody took back. A tick is taken back by another tick; one
    /// that a change of the plan made is, when that change is undone.
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
