//! What holds the handover of a boat.
//!
//! A boat can be handed over when every step is closed and no `stop` finding is left without a judgment. A step is
//! closed if it is done, waived or not needed. A release lets one step pass a hold and closes nothing itself.
//!
//! Three more things will hold the handover. They have no records yet, so nothing here speaks of them: open items,
//! the look-over by a second person of the shop, and the trials afloat.

use super::Work;
use crate::job::finding::Finding;
use crate::job::phase::Phase;

/// What holds the handover of a boat.
#[derive(Debug)]
pub struct Handover<'w> {
    /// The `stop` findings that no qualified person judged.
    pub stops: Vec<&'w Finding>,
    /// The number of open steps of each phase that has any.
    pub open: Vec<(Phase, usize)>,
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
        let open = Phase::ALL.into_iter().map(|phase| (phase, self.phase(phase).open));
        Handover { stops: self.stops().collect(), open: open.filter(|(_, open)| *open > 0).collect() }
    }
}

impl Handover<'_> {
    /// Whether the boat can be handed over.
    pub fn state(&self) -> HandoverState {
        match (self.stops.is_empty(), self.open.is_empty()) {
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
