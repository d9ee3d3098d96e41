//! The status of a step, and what may keep it open.

use super::events::Moment;
use super::hold::Hold;
use super::lack::Lack;
use crate::job::event::{Mark, Reading, Repair, StepReading, Tick};
use crate::job::record::Record;

/// Whether a step is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum StepState {
    /// To be done.
    #[default]
    Open,
    /// Done.
    Done,
    /// Not needed on this boat, or its result is waived.
    NotNeeded,
}

impl StepState {
    /// Whether nothing is left to do.
    pub fn is_closed(self) -> bool {
        self != Self::Open
    }

    /// The status as a text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Done => "done",
            Self::NotNeeded => "not needed",
        }
    }
}

/// An event that opens steps again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Opening<'a> {
    /// A completed step was undone.
    Undone(&'a Tick),
    /// The battery was connected, which ends the isolation.
    Connected(&'a Tick),
    /// A step was done again after the plan changed.
    DoneAgain(&'a Tick),
    /// A fault was found and repaired.
    Repaired(&'a Repair),
    /// A circuit's reading failed.
    Failed(&'a Reading),
    /// The measurement of a step failed.
    FailedStep(&'a StepReading),
}

impl Opening<'_> {
    /// When, and the id that separates two events of the same time.
    pub fn moment(self) -> Moment {
        match self {
            Self::Undone(tick) | Self::Connected(tick) | Self::DoneAgain(tick) => tick.moment(),
            Self::Repaired(repair) => repair.moment(),
            Self::Failed(reading) => reading.moment(),
            Self::FailedStep(reading) => reading.moment(),
        }
    }

    /// The reason as a text.
    pub fn words(self) -> String {
        let of = |tick: &Tick| tick.step.subject.words();
        match self {
            Self::Undone(tick) => format!("opened again: {} was undone by {}", of(tick), tick.by),
            Self::Connected(tick) => format!("the battery was connected by {}", tick.by),
            Self::DoneAgain(tick) => format!("opened again: {} was done again by {}", of(tick), tick.by),
            Self::Repaired(repair) => {
                format!("opened again: {} was repaired by {}", repair.r#where, repair.by)
            }
            Self::Failed(reading) => {
                format!("opened again: a reading of circuit {} by {} failed", reading.circuit, reading.by)
            }
            Self::FailedStep(reading) => {
                let of = reading.step.subject.words();
                format!("opened again: a reading of {of} by {} failed", reading.by)
            }
        }
    }
}

/// Why a step that was recorded as done, or as not needed, is open.
#[derive(Debug, Clone, PartialEq)]
pub enum Reopened<'a> {
    /// Something happened after it was done.
    By(Opening<'a>),
    /// The plan is not what the person saw; with what changed.
    PlanChanged(String),
    /// It does not count yet: these items were open, and still are.
    OnHold(Vec<Hold<'a>>),
    /// Its measurement does not prove it.
    Lacks(Lack),
    /// The boat was isolated after the battery was connected.
    Isolated,
    /// It came with an imported job, and no manager has confirmed it.
    NotConfirmed,
}

impl Reopened<'_> {
    /// The reason as a text.
    pub fn words(&self) -> String {
        match self {
            Self::By(opening) => opening.words(),
            Self::PlanChanged(what) => format!("opened again: the plan changed, {what}"),
            Self::OnHold(holds) => match holds.as_slice() {
                [] => "recorded, but it does not count yet".to_owned(),
                [one] => format!("recorded, but it does not count yet: {}", one.words()),
                [one, rest @ ..] => {
                    format!("recorded, but it does not count yet: {} and {} more", one.words(), rest.len())
                }
            },
            Self::Lacks(lack) => format!("recorded, but it does not count yet. {}", lack.words()),
            Self::Isolated => "opened again: the boat is isolated".to_owned(),
            Self::NotConfirmed => {
                "imported and not confirmed: a manager of this shop must confirm it".to_owned()
            }
        }
    }
}

/// A step's ticks and the resulting status.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StepStatus<'a> {
    /// Every tick of the step, the oldest first.
    pub ticks: Vec<&'a Tick>,
    /// The status.
    pub state: StepState,
    /// Why it is open although it was recorded as done or not needed.
    pub reopened: Option<Reopened<'a>>,
    /// The latest event that opened it, or something that it rests on. A later step that rests on this one must
    /// be done after it.
    pub(super) opening: Option<Opening<'a>>,
    /// The latest event that opened anything that it rests on.
    pub(super) rests: Option<Opening<'a>>,
}

impl<'a> StepStatus<'a> {
    /// The tick that decides.
    pub fn last(&self) -> Option<&'a Tick> {
        self.ticks.last().copied()
    }

    /// The tick before, if another person recorded a different status: worth a check.
    pub fn contradicted(&self) -> Option<&'a Tick> {
        let [.., before, last] = self.ticks.as_slice() else { return None };
        (before.by != last.by && before.mark != last.mark).then_some(*before)
    }

    /// Whether anybody ever recorded it as done or not needed.
    pub(super) fn was_closed(&self) -> bool {
        self.ticks.iter().any(|tick| tick.mark != Mark::Undone)
    }
}

/// The number of steps by status.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct StepCount {
    /// Done.
    pub done: usize,
    /// Not needed.
    pub not_needed: usize,
    /// Open.
    pub open: usize,
}

impl StepCount {
    /// All steps.
    pub fn all(self) -> usize {
        self.done + self.not_needed + self.open
    }

    /// Whether no step is open.
    pub fn is_finished(self) -> bool {
        self.open == 0
    }

    /// The closed share in whole percent; 100 only if nothing is open.
    pub fn percent(self) -> usize {
        (100 * (self.done + self.not_needed)).checked_div(self.all()).unwrap_or(100)
    }

    pub(super) fn add(&mut self, state: StepState) {
        match state {
            StepState::Open => self.open += 1,
            StepState::Done => self.done += 1,
            StepState::NotNeeded => self.not_needed += 1,
        }
    }
}
