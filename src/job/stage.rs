//! The stages of the power-up test. Nothing is powered before the tests before power are passed. Nothing is
//! measured live before it was powered through a lamp or a current limit.
//!
//! A stage with open steps holds the stages after it. A named person can release an open step with a reason, as at
//! any hold point. After the boat had power, only a circuit whose wire was opened again repeats the tests before
//! power. Its fuse stays out meanwhile, and the other circuits continue.

use super::event::{History, Release};
use super::hold_point;
use super::phase::Phase;
use super::progress::Progress;
use super::step::Action;
use super::steps::Step;
use super::value::CircuitId;

/// A stage of the power-up test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Inspected and without any power.
    MadeSafe,
    /// Tests before power.
    Dead,
    /// Power for the first time.
    FirstPower,
    /// Circuit by circuit.
    Circuits,
}

impl Stage {
    /// All of them, in the order of work.
    pub const ALL: [Self; 4] = [Self::MadeSafe, Self::Dead, Self::FirstPower, Self::Circuits];

    /// The stage of an action; `None` for an action of another phase.
    pub fn of(action: Action) -> Option<Self> {
        match action {
            Action::LookOver | Action::AllOff | Action::NegativeOff => Some(Self::MadeSafe),
            Action::BetweenPoles | Action::Continuity | Action::Polarity | Action::MainFuseOut => {
                Some(Self::Dead)
            }
            Action::FirstPower => Some(Self::FirstPower),
            Action::Test => Some(Self::Circuits),
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
        }
    }
}

/// The open steps in all stages but the last, released or not.
#[derive(Debug, Clone)]
pub struct Stages<'a> {
    open: Vec<Standing<'a>>,
}

/// An open step that holds the later stages, unless somebody released it.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The stage it belongs to.
    pub stage: Stage,
    /// The step.
    pub step: &'a Step,
    /// The release that lets the test continue without it.
    pub released: Option<&'a Release>,
}

impl<'a> Stages<'a> {
    /// The stages of a job with their present status.
    pub fn of(progress: &Progress<'a>, history: &'a History) -> Self {
        let staged = |step: &'a Step| {
            let stage = Stage::of(step.key.action).filter(|stage| *stage < Stage::Circuits)?;
            let released = hold_point::release(history, Phase::PowerUpTest, &step.key.to_string());
            let released = released.filter(|release| progress.covers(release, &step.circuits));
            Some(Standing { stage, step, released })
        };
        Self { open: progress.open_in(Phase::PowerUpTest).filter_map(staged).collect() }
    }

    /// Everything open, released or not.
    pub fn open(&self) -> &[Standing<'a>] {
        &self.open
    }

    /// The unreleased steps that hold a stage, for one circuit or for the boat as a whole.
    pub fn shut<'s>(
        &'s self,
        stage: Stage,
        circuit: Option<&'s CircuitId>,
    ) -> impl Iterator<Item = &'s Standing<'a>> {
        let powered = !self.open.iter().any(|standing| standing.stage == Stage::FirstPower);
        let concerns = move |standing: &Standing<'_>| {
            let of = &standing.step.circuits;
            !powered || of.is_empty() || circuit.is_some_and(|circuit| of.contains(circuit))
        };
        self.open.iter().filter(move |standing| {
            standing.stage < stage && standing.released.is_none() && concerns(standing)
        })
    }

    /// The current stage: the first with an open, unreleased step.
    pub fn current(&self) -> Stage {
        let open = self.open.iter().filter(|standing| standing.released.is_none());
        open.map(|standing| standing.stage).min().unwrap_or(Stage::Circuits)
    }
}
