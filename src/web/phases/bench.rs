//! What every step on a page is made with: who looks, how far the job is, what keeps a step shut.

use std::cell::OnceCell;

use super::step::{InHand, Refused, StepPiece};
use crate::job::event::{History, Mark};
use crate::job::gate::Gate;
use crate::job::phase::Phase;
use crate::job::progress::{Progress, State};
use crate::job::step::{self, StepKey};
use crate::job::steps::Step;
use crate::shop::role::Action;
use crate::web::job::Opened;
use crate::web::page::Frame;

use super::proof::{Proof, released as passed};

/// Makes the steps of one page.
#[derive(Debug)]
pub struct Bench<'a> {
    /// Who looks and when.
    pub frame: &'a Frame,
    /// The job.
    pub job: &'a Opened,
    /// How far it is.
    pub progress: Progress<'a>,
    gates: Vec<Gate<'a>>,
    page: String,
    refused: Option<&'a Refused>,
    proof: OnceCell<Proof<'a>>,
}

impl<'a> Bench<'a> {
    /// A bench for the page at an address.
    pub fn new(frame: &'a Frame, job: &'a Opened, page: String) -> Self {
        Self {
            frame,
            job,
            progress: job.progress(),
            gates: job.gates(),
            page,
            refused: None,
            proof: OnceCell::new(),
        }
    }

    /// The same bench with a reason that was refused.
    pub fn refused(self, refused: Option<&'a Refused>) -> Self {
        Self { refused, ..self }
    }

    /// The readings of the job beside what they should be, wired up when first asked for.
    pub fn proof(&self) -> &Proof<'a> {
        self.proof.get_or_init(|| Proof::of(self.job))
    }

    /// The gate into a phase.
    pub fn gate(&self, into: Phase) -> Option<&Gate<'a>> {
        self.gates.iter().find(|gate| gate.into == into)
    }

    /// A step as a piece of the page.
    pub fn step(&self, step: &Step) -> StepPiece {
        let hand = InHand {
            key: &step.key,
            about: &step.about,
            standing: self.progress.standing(&step.key),
            job: &self.job.href(),
            page: &self.page,
            may: self.frame.may(Action::Tick),
            may_spare: self.frame.may(takes(&step.key, Mark::NotNeeded)),
            shut: self.shut(step),
            refused: self.refused,
        };
        StepPiece::new(self.frame, hand)
    }

    /// What keeps a step from being done, in words; `None` for a step in hand.
    pub fn shut(&self, step: &Step) -> Option<String> {
        self.shut_gate(step.phase()).or_else(|| match step.key.action {
            step::Action::Test => self.untested(step),
            _ => None,
        })
    }

    /// Whether a phase's gate is shut, in words.
    pub fn shut_gate(&self, phase: Phase) -> Option<String> {
        let standing = self.gate(phase).map_or(0, |gate| gate.standing().count());
        match standing {
            0 => None,
            1 => Some("The gate is shut: one thing stands in it.".to_owned()),
            many => Some(format!("The gate is shut: {many} things stand in it.")),
        }
    }

    /// Whether a circuit's measurements do not bear out that it passed, and nobody released it.
    fn untested(&self, step: &Step) -> Option<String> {
        let circuit =
            self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.key.subject.id)?;
        let lack = self.proof().lack(circuit)?;
        passed(&self.job.history, circuit).is_none().then(|| lack.words())
    }

    /// How many of these steps are closed, and how many there are.
    pub fn closed<'s>(&self, steps: impl IntoIterator<Item = &'s StepKey>) -> (usize, usize) {
        steps.into_iter().fold((0, 0), |(closed, all), key| {
            (closed + usize::from(self.progress.state(key).is_closed()), all + 1)
        })
    }

    /// Whether a step is open.
    pub fn is_open(&self, key: &StepKey) -> bool {
        self.progress.state(key) == State::Open
    }
}

/// What somebody has to be allowed to mark a step so.
///
/// Whoever says that a circuit needs no test, or a boat no disconnecting, opens a gate that guards people:
/// that takes as much as a release.
pub fn takes(step: &StepKey, mark: Mark) -> Action {
    let guards = matches!(step.action, step::Action::Test | step::Action::Isolate);
    if guards && mark == Mark::NotNeeded { Action::Release } else { Action::Tick }
}

/// The latest release of a step on the way into a phase.
pub fn released<'h>(
    history: &'h History,
    into: Phase,
    obstacle: &str,
) -> Option<&'h crate::job::event::Release> {
    let of_this =
        history.releases.iter().filter(|release| release.into == into && release.obstacle == obstacle);
    of_this.max_by_key(|release| (release.at, release.id))
}
