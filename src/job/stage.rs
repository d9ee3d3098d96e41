//! The stages of the power-up test: nothing is powered that was not proven dead, nothing is measured live
//! that was not powered through a lamp or a limit first.
//!
//! A stage that is not closed shuts those after it. What stands open in it may be released, like anything
//! that stands in a gate, by a named person with a reason. Once the boat had power, a circuit whose wire was
//! opened again is proven dead again by itself: its fuse stays out meanwhile, and the others go on.

use super::event::{History, Release};
use super::gate;
use super::phase::Phase;
use super::progress::Progress;
use super::step::Action;
use super::steps::Step;
use super::value::CircuitId;

/// A stage of the power-up test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Looked over and without any power.
    MadeSafe,
    /// Measured dead.
    Dead,
    /// Power for the first time.
    FirstPower,
    /// Circuit by circuit.
    Circuits,
}

impl Stage {
    /// All of them, in the order of work.
    pub const ALL: [Self; 4] = [Self::MadeSafe, Self::Dead, Self::FirstPower, Self::Circuits];

    /// The stage an action belongs to; none of any other phase.
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

/// What stands open in the stages before the last, released or not.
#[derive(Debug, Clone)]
pub struct Stages<'a> {
    open: Vec<Standing<'a>>,
}

/// A step that keeps the later stages shut, unless somebody released it.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// The stage it belongs to.
    pub stage: Stage,
    /// The step.
    pub step: &'a Step,
    /// The release that lets the test go on without it.
    pub released: Option<&'a Release>,
}

impl<'a> Stages<'a> {
    /// The stages of a job as they stand.
    pub fn of(progress: &Progress<'a>, history: &'a History) -> Self {
        let staged = |step: &'a Step| {
            let stage = Stage::of(step.key.action).filter(|stage| *stage < Stage::Circuits)?;
            let released = gate::release(history, Phase::PowerUpTest, &step.key.to_string());
            let released = released.filter(|release| progress.covers(release, &step.circuits));
            Some(Standing { stage, step, released })
        };
        Self { open: progress.open_in(Phase::PowerUpTest).filter_map(staged).collect() }
    }

    /// Everything open, released or not.
    pub fn open(&self) -> &[Standing<'a>] {
        &self.open
    }

    /// The unreleased steps that keep a stage shut, for one circuit or for the boat as a whole.
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

    /// The stage in hand: the first that something unreleased is open in.
    pub fn current(&self) -> Stage {
        let open = self.open.iter().filter(|standing| standing.released.is_none());
        open.map(|standing| standing.stage).min().unwrap_or(Stage::Circuits)
    }
}
