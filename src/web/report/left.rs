//! The first page of a report: whether the boat can be handed over, and what people decided.

use crate::job::event::Tick;
use crate::job::handover::{ExceptionKind, exceptions, fuses_out};
use crate::job::phase::Phase;
use crate::job::work::{HandoverState, Work};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// Whether the boat can be handed over, and what holds it.
#[derive(Debug)]
pub struct Status {
    state: HandoverState,
    /// The `stop` findings that nobody judged.
    pub stops: Vec<String>,
    /// The things whose latest measurement failed.
    pub failing: Vec<String>,
    /// The number of open steps.
    pub open_steps: usize,
    /// The number of open steps of each phase that has any.
    pub phases: Vec<(Phase, usize)>,
    /// The circuits and feeders whose fuse is out.
    pub fuses_out: Vec<String>,
    /// Who handed the boat over, and when.
    pub handed_over: Option<String>,
    /// That the boat left as not safe to use: by whom, when, and who signed.
    pub left_unsafe: Option<String>,
}

impl Status {
    /// The status of a job.
    pub fn of(frame: &Frame, job: &Opened, work: &Work<'_>) -> Self {
        let handover = work.handover();
        let by = |tick: &Tick| format!("{}, {}", tick.by, frame.moment(tick.at));
        let signed = |tick: &Tick| {
            let reason = tick.reason.as_ref().map_or_else(String::new, ToString::to_string);
            format!("{}: \u{201c}{reason}\u{201d}", by(tick))
        };
        Self {
            state: handover.state(),
            stops: handover.stops.iter().map(|finding| finding.line().text(job.units)).collect(),
            failing: work.failing(),
            open_steps: handover.open_steps(),
            phases: handover.open,
            fuses_out: fuses_out(job, work),
            handed_over: handover.done.map(by),
            left_unsafe: handover.left_unsafe.map(signed),
        }
    }

    /// Whether nothing holds the handover.
    pub fn is_ready(&self) -> bool {
        self.state == HandoverState::Ready
    }

    /// Whether a `stop` finding is left.
    pub fn is_unsafe(&self) -> bool {
        self.state == HandoverState::NotSafe
    }

    /// The status as a heading.
    pub fn title(&self) -> &'static str {
        match self.state {
            HandoverState::Ready => "Finished",
            HandoverState::NotFinished => "Not finished",
            HandoverState::NotSafe => "Not safe to use",
        }
    }
}

/// A release, waiver or judgment, or a step that was not needed.
#[derive(Debug)]
pub struct Decision {
    /// What was decided.
    pub kind: &'static str,
    /// What it is about.
    pub what: String,
    /// Why.
    pub reason: String,
    /// Who, with the qualification of a judge.
    pub by: String,
    /// When.
    pub at: String,
}

/// Every decision of these kinds that counts, the oldest first.
pub fn decided(job: &Opened, work: &Work<'_>, frame: &Frame, kinds: &[ExceptionKind]) -> Vec<Decision> {
    let all = exceptions(job, work, job.units).into_iter();
    let of_kinds = all.filter(|one| kinds.contains(&one.kind));
    let decision = |one: crate::job::handover::Exception| Decision {
        kind: one.kind.words(),
        what: one.what,
        reason: one.reason,
        by: one.by,
        at: frame.moment(one.at),
    };
    of_kinds.map(decision).collect()
}
