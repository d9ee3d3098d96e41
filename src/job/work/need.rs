//! What a step may wait for, and who may let it pass.

use crate::job::step::StepKey;
use crate::job::subject::Subject;
use crate::job::value::RacewayId;

/// Something that a step needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Need {
    /// Another step is closed.
    Step(StepKey),
    /// Another step is closed, or the fuse of this circuit or feeder is recorded as out.
    StepOrFuseOut(StepKey, Subject),
    /// The boat is isolated. After first power, it is enough that the fuse of each of these is out.
    Dead(Vec<Subject>),
    /// The boat is not isolated, and the fuse of this circuit or feeder is not recorded as out.
    Powered(Option<Subject>),
    /// The latest sample crimp of this end's sort did not fail.
    Sample(String),
    /// No `stop` finding concerns any of these.
    NoStop(Vec<Subject>),
    /// No `stop` finding is ahead of the open fuses.
    NoStopAhead,
    /// No open item that must be closed is on any of these; on nothing at all, if there are none.
    Settled(Vec<Subject>),
    /// The step's own measurement proves it.
    Measured,
    /// The tests of every run in this raceway are closed.
    Raceway(RacewayId),
    /// It is done by somebody who did not do most of the work.
    SecondPerson,
    /// Every other step is closed, no `stop` finding is left without a judgment, and no open item holds the handover.
    EverythingElse,
}

impl Need {
    /// Whether a `stop` finding can be among its open items.
    pub(super) fn is_for_stops(&self) -> bool {
        matches!(self, Self::NoStop(_) | Self::NoStopAhead | Self::EverythingElse)
    }
}

/// How a step depends on something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bond {
    /// It cannot be done before. What happens later does not open it again.
    Waits,
    /// It counts only while this holds. When it holds again, the step counts again.
    While,
    /// It must be done again whenever this was opened.
    Rests,
}

/// Who may let a step pass although something that it needs is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// An apprentice, or anybody above.
    Apprentice,
    /// A technician or a manager.
    Technician,
    /// A manager.
    Manager,
    /// Only a qualified person's recorded judgment.
    Judge,
    /// Nobody.
    Nobody,
}

/// One thing that a step needs, how it depends on it, and who may release it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wait {
    /// What it needs.
    pub need: Need,
    /// How it depends on it.
    pub bond: Bond,
    /// Who may release it.
    pub by: Who,
}

impl Wait {
    pub(super) fn waits(need: Need, by: Who) -> Self {
        Self { need, bond: Bond::Waits, by }
    }

    pub(super) fn holds(need: Need, by: Who) -> Self {
        Self { need, bond: Bond::While, by }
    }

    pub(super) fn rests(need: Need, by: Who) -> Self {
        Self { need, bond: Bond::Rests, by }
    }
}
