//! What holds the handover of a boat.
//!
//! A boat can be handed over when every other step is closed no `stop` finding is left without a judgment, and
//! no open item holds it. A step is closed if it is done, waived or not needed. A release lets one step pass a hold and closes nothing itself. With
//! a `stop` that nobody judged, a boat leaves only as "not safe to use".

use super::{StepState, Work};
use crate::job::event::Tick;
use crate::job::finding::Finding;
use crate::job::open_item::OpenItem;
use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};

/// What holds the handover of a boat.
#[derive(Debug)]
pub struct Handover<'w> {
    /// The `stop` findings that no qualified person judged.
    pub stops: Vec<&'w Finding>,
    /// The number of open steps of each phase that has any, without the handover itself.
    pub open: Vec<(Phase, usize)>,
    /// The open items that nobody closed, without notes.
    pub items: Vec<&'w OpenItem>,
    /// The record of the handover, if it counts.
    pub done: Option<&'w Tick>,
    /// The record that the boat left as not safe to use.
    pub left_unsafe: Option<&'w Tick>,
}

/// Whether a boat can be handed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandoverState {
    /// Nothing holds it.
    Ready,
    /// Steps are open.
    NotFinished,
    /// A `stop` finding is not judged.
    NotSafe,
}

impl Work<'_> {
    /// What holds the handover.
    pub fn handover(&self) -> Handover<'_> {
        let open = Phase::ALL.into_iter().map(|phase| {
            let steps = self.open_in(phase).filter(|step| step.key.action != Action::HandOver);
            (phase, steps.count())
        });
        let done = |action| {
            let status = self.status(&StepKey::of_boat(action));
            status.last().filter(|_| status.state == StepState::Done)
        };
        Handover {
            stops: self.stops().collect(),
            open: open.filter(|(_, open)| *open > 0).collect(),
            items: self.items_before_handover().collect(),
            done: done(Action::HandOver),
            left_unsafe: done(Action::LeaveUnsafe),
        }
    }
}

impl Handover<'_> {
    /// Whether the boat can be handed over.
    pub fn state(&self) -> HandoverState {
        match (self.stops.is_empty(), self.open.is_empty() && self.items.is_empty()) {
            (false, _) => HandoverState::NotSafe,
            (true, false) => HandoverState::NotFinished,
            (true, true) => HandoverState::Ready,
        }
    }

    /// The number of open steps.
    pub fn open_steps(&self) -> usize {
        self.open.iter().map(|(_, open)| open).sum()
    }
}
