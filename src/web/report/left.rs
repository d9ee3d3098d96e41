//! The first page of a report: whether the boat can be handed over, and what people decided.

use crate::job::called;
use crate::job::event::Tick;
use crate::job::handover::{Exception, ExceptionKind, exceptions, fuses_out};
use crate::job::open_item::OpenItem;
use crate::job::phase::Phase;
use crate::job::value::Name;
use crate::job::work::{HandoverState, Work};
use crate::trade::say::capital;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::paging::{Paging, page_of};

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
    /// The number of open items, by severity.
    pub items: Option<String>,
    /// The circuits and feeders whose fuse is out.
    pub fuses_out: Vec<String>,
    /// Who handed the boat over, and when.
    pub handed_over: Option<String>,
    /// That the boat left as not safe to use: by whom, when, and who signed.
    pub left_unsafe: Option<String>,
    /// The links to the other rows of its longest list.
    pub paging: Paging,
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
        let (failing, fuses_out) = (work.failing(), fuses_out(job, work));
        let (stops, of_stops) = page_of(&handover.stops, frame);
        let (failing, of_failing) = page_of(&failing, frame);
        let (fuses_out, of_fuses) = page_of(&fuses_out, frame);
        Self {
            state: handover.state(),
            stops: stops.iter().map(|finding| finding.line().text(job.units)).collect(),
            failing: failing.to_vec(),
            paging: of_stops.longer(of_failing).longer(of_fuses),
            open_steps: handover.open_steps(),
            phases: handover.open,
            items: work.summary().items_line(),
            fuses_out: fuses_out.to_vec(),
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

/// The decisions of these kinds that count and that the page shows, the oldest first.
pub fn decided(
    job: &Opened,
    work: &Work<'_>,
    frame: &Frame,
    kinds: &[ExceptionKind],
) -> (Vec<Decision>, Paging) {
    let mut all = exceptions(job, work, job.units);
    all.retain(|one| kinds.contains(&one.kind));
    let (shown, paging) = page_of(&all, frame);
    let decision = |one: &Exception| Decision {
        kind: one.kind.words(),
        what: one.what.clone(),
        reason: one.reason.clone(),
        by: one.by.clone(),
        at: frame.moment(one.at),
    };
    (shown.iter().map(decision).collect(), paging)
}

/// An open item, closed or not.
#[derive(Debug, Clone)]
pub struct Punched {
    /// How serious it is, and on what.
    pub what: String,
    /// What was found.
    pub found: String,
    /// By whom and when.
    pub by: String,
    /// What was done, or who acts.
    pub end: String,
}

/// The open items that the page shows, those that nobody closed first.
pub fn punched(job: &Opened, work: &Work<'_>, frame: &Frame) -> (Vec<Punched>, Paging) {
    let by = |name: &Name, at| format!("{name}, {}", frame.moment(at));
    let row = |item: &OpenItem, end| Punched {
        what: format!("{}: {}", capital(item.severity.word()), called::thing(job, item.thing.subject())),
        found: item.found.to_string(),
        by: by(&item.by, item.at),
        end,
    };
    let open =
        work.open_items().into_iter().map(|item| row(item, format!("Open: {} acts", item.acts.word())));
    let closed =
        work.closed_items().map(|(item, end)| row(item, format!("{}. {}", end.done, by(&end.by, end.at))));
    let all: Vec<Punched> = open.chain(closed).collect();
    let (shown, paging) = page_of(&all, frame);
    (shown.to_vec(), paging)
}
