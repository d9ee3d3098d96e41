//! What every step on a page is made from: the user, the progress of the job, and what keeps a step on hold.

use std::cell::OnceCell;

use super::step::{Refused, StepInHand, StepPiece};
use crate::job::event::{Mark, Release};
use crate::job::hold_point::HoldPoint;
pub use crate::job::hold_point::release as released;
use crate::job::phase::Phase;
use crate::job::plan::Circuit;
use crate::job::progress::{Progress, StepState};
use crate::job::stage::{Stage, Stages};
use crate::job::step::{self, StepKey};
use crate::job::steps::Step;
use crate::job::value::CircuitId;
use crate::shop::role::Permission;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

use super::proof::{ReadingComparison, test_of};

/// Makes the steps of one page.
#[derive(Debug)]
pub struct Bench<'a> {
    /// The user and the time.
    pub frame: &'a Frame,
    /// The job.
    pub job: &'a Opened,
    /// The progress of the job.
    pub progress: Progress<'a>,
    /// The progress of the power-up test.
    pub stages: Stages<'a>,
    hold_points: Vec<HoldPoint<'a>>,
    page: String,
    refused: Option<&'a Refused>,
    proof: OnceCell<ReadingComparison<'a>>,
}

impl<'a> Bench<'a> {
    /// A bench for the page at this address.
    pub fn new(frame: &'a Frame, job: &'a Opened, page: String) -> Self {
        let progress = job.progress();
        Self {
            frame,
            job,
            stages: Stages::of(&progress, &job.history),
            progress,
            hold_points: job.hold_points(),
            page,
            refused: None,
            proof: OnceCell::new(),
        }
    }

    /// The same bench with a reason that was refused.
    pub fn refused(self, refused: Option<&'a Refused>) -> Self {
        Self { refused, ..self }
    }

    /// The readings of the job beside the expected values, prepared at the first use.
    pub fn proof(&self) -> &ReadingComparison<'a> {
        self.proof.get_or_init(|| ReadingComparison::of(self.job))
    }

    /// The hold point before a phase.
    pub fn hold_point(&self, into: Phase) -> Option<&HoldPoint<'a>> {
        self.hold_points.iter().find(|hold_point| hold_point.into == into)
    }

    /// A step as a piece of the page.
    pub fn step(&self, step: &Step) -> StepPiece {
        let hand = StepInHand {
            key: &step.key,
            about: &step.about,
            standing: self.progress.standing(&step.key),
            job: &self.job.href(),
            page: &self.page,
            may: self.frame.may(Permission::Tick),
            may_spare: self.frame.may(takes(&step.key, Mark::NotNeeded)),
            shut: self.shut(step),
            doubt: self.doubt(step),
            refused: self.refused,
        };
        StepPiece::new(self.frame, hand)
    }

    /// Why a step cannot be done yet, in plain text; `None` if it can.
    pub fn shut(&self, step: &Step) -> Option<String> {
        let of_stage = || self.shut_stage(step.key.action, step.circuits.first());
        self.shut_gate(step.phase()).or_else(of_stage).or_else(|| match step.key.action {
            step::Action::Test => self.untested(step),
            tie if tie.ties() => self.unproven(step).or_else(|| self.untied(step)),
            step::Action::Terminate => self.badly_crimped(step),
            _ => self.proof().unmeasured(step),
        })
    }

    /// Why a step needs a written reason to be done: its measurement deserves a look, and nobody released it.
    pub fn doubt(&self, step: &Step) -> Option<String> {
        let doubt = self.proof().doubt(step)?;
        let released = released(&self.job.history, step.phase(), &step.key.to_string());
        released.is_none_or(|release| !self.progress.covers(release, &step.circuits)).then_some(doubt)
    }

    /// Which open items of an earlier stage of the power-up test keep this stage on hold, in plain text. The stage is
    /// that of one circuit, or of the whole boat.
    pub fn shut_stage(&self, action: step::Action, circuit: Option<&CircuitId>) -> Option<String> {
        let stage = Stage::of(action)?;
        let mut open = self.stages.shut(stage, circuit);
        let first = open.next()?;
        let earlier = first.stage.title();
        Some(match open.count() {
            0 => format!(
                "On hold until \u{2018}{earlier}\u{2019} is closed: {}.",
                first.step.key.action.open()
            ),
            more => format!(
                "On hold until \u{2018}{earlier}\u{2019} is closed: {} and {more} more.",
                first.step.key.action.open()
            ),
        })
    }

    /// The failed sample crimp of an end's sort that nobody released.
    fn badly_crimped(&self, step: &Step) -> Option<String> {
        let failed = self.job.failed_crimps.iter().find(|failed| failed.shuts(&step.key))?;
        let released = released(&self.job.history, Phase::PowerUpTest, &failed.finding().key());
        let why = format!(
            "On hold. {} Pull a good sample first, or release it at the hold point before the power-up test.",
            failed.sentence().text(self.job.units)
        );
        released.is_none().then_some(why)
    }

    /// The circuits that are not tested yet, unless somebody released tying this run down without their tests.
    fn unproven(&self, step: &Step) -> Option<String> {
        let waits = self.progress.shut_by(step);
        let tie = step.key.of_the_tie().unwrap_or_else(|| step.key.clone());
        let released = released(&self.job.history, Phase::TieDown, &tie.to_string()).is_some();
        match waits.as_slice() {
            [] => None,
            _ if released => None,
            [one] => Some(format!("On hold until {one} has passed its test.")),
            [one, rest @ ..] => {
                Some(format!("On hold until {one} and {} more have passed their tests.", rest.len()))
            }
        }
    }

    /// Which steps of the tie-down of a run are open before the tie itself.
    fn untied(&self, step: &Step) -> Option<String> {
        let open: Vec<&str> = self.progress.untied(&step.key).map(|part| part.key.action.open()).collect();
        (!open.is_empty()).then(|| format!("On hold until the rest is done: {}.", open.join(", ")))
    }

    /// Why a phase is on hold, in plain text; `None` if it is not.
    pub fn shut_gate(&self, phase: Phase) -> Option<String> {
        let standing = self.hold_point(phase).map_or(0, |hold_point| hold_point.standing().count());
        match standing {
            0 => None,
            1 => Some("On hold: 1 open item.".to_owned()),
            many => Some(format!("On hold: {many} open items.")),
        }
    }

    /// The release that lets a circuit pass its test despite its readings, if its wire was not opened since.
    pub fn passed(&self, circuit: &Circuit) -> Option<&'a Release> {
        let release = released(&self.job.history, Phase::PowerUpTest, &test_of(circuit).to_string())?;
        self.progress.covers(release, std::slice::from_ref(&circuit.id)).then_some(release)
    }

    /// Why a circuit cannot be marked as passed: its measurements do not prove it, and nobody released it.
    fn untested(&self, step: &Step) -> Option<String> {
        let circuit =
            self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.key.subject.id)?;
        let lack = self.proof().lack(circuit)?;
        self.passed(circuit).is_none().then(|| lack.words())
    }

    /// How many of these steps are closed, and how many there are in all.
    pub fn closed<'s>(&self, steps: impl IntoIterator<Item = &'s StepKey>) -> (usize, usize) {
        steps.into_iter().fold((0, 0), |(closed, all), key| {
            (closed + usize::from(self.progress.state(key).is_closed()), all + 1)
        })
    }

    /// Whether a step is open.
    pub fn is_open(&self, key: &StepKey) -> bool {
        self.progress.state(key) == StepState::Open
    }
}

/// The permission that a person needs to mark a step.
///
/// To mark a circuit's test or a boat's disconnecting as not needed opens a hold point that protects people.
/// This needs the same permission as a release.
pub fn takes(step: &StepKey, mark: Mark) -> Permission {
    let guards = Stage::of(step.action).is_some() || step.action == step::Action::Isolate;
    if guards && mark == Mark::NotNeeded { Permission::Release } else { Permission::Tick }
}
