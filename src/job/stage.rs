//! The stages of the power-up test, as its page shows them. Nothing is powered before the tests before power are
//! passed. Nothing is measured live before it was powered through a lamp or a current limit.

use super::step::{Action, StepKey};
use super::subject::SubjectKind;

/// A stage of the power-up test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Inspected and without any power.
    MadeSafe,
    /// Tests before power.
    Dead,
    /// Power for the first time.
    FirstPower,
    /// Circuit by circuit, and cable by cable.
    Circuits,
    /// Everything on, the feeders under load, and starters and chargers.
    AllOn,
}

impl Stage {
    /// All of them, in the order of work.
    pub const ALL: [Self; 5] = [Self::MadeSafe, Self::Dead, Self::FirstPower, Self::Circuits, Self::AllOn];

    /// The stage of a step; `None` for a step of another phase.
    pub fn of(step: &StepKey) -> Option<Self> {
        match step.action {
            Action::LookOver | Action::AllOff | Action::NegativeOff => Some(Self::MadeSafe),
            Action::BetweenPoles
            | Action::Continuity
            | Action::Polarity
            | Action::NoShort
            | Action::MainFuseOut => Some(Self::Dead),
            Action::Connect | Action::FirstPower => Some(Self::FirstPower),
            Action::Fuse | Action::Test if step.subject.kind == SubjectKind::Feeder => Some(Self::AllOn),
            Action::Fuse | Action::Test | Action::Inspect => Some(Self::Circuits),
            Action::AllOn | Action::Crank | Action::Charge => Some(Self::AllOn),
            _ => None,
        }
    }

    /// The stage as a heading.
    pub fn title(self) -> &'static str {
        match self {
            Self::MadeSafe => "Made safe",
            Self::Dead => "Tests before power",
            Self::FirstPower => "First power",
            Self::Circuits => "Circuit by circuit",
            Self::AllOn => "Everything on",
        }
    }
}
