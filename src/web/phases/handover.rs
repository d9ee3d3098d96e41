//! What holds the handover, as a piece of the setup page, and the record that a boat left although it is not safe to use.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::page_of_key;
use crate::web::parts::step::StepPiece;

/// What holds the handover.
#[derive(Debug, Template)]
#[template(path = "phases/handover.html")]
pub struct HandoverPiece {
    job: String,
    /// The open steps of each phase that has any.
    open: Vec<(Phase, usize)>,
    /// The `stop` findings that nobody judged, each with the page that corrects it.
    stops: Vec<(String, Option<String>)>,
    /// The record that the boat left as not safe to use. It is shown while a `stop` is left, or if it was made.
    left_unsafe: Option<StepPiece>,
}

impl HtmlSafe for HandoverPiece {}

impl HandoverPiece {
    /// What holds the handover of a job.
    pub fn of(bench: &Bench<'_>) -> Self {
        let (job, handover) = (bench.job.href(), bench.work.handover());
        let may_leave = !handover.stops.is_empty() || handover.left_unsafe.is_some();
        let step = bench.job.steps.get(&StepKey::of_boat(Action::LeaveUnsafe)).filter(|_| may_leave);
        let stops = handover.stops.iter();
        Self {
            stops: stops
                .map(|stop| (stop.line().text(bench.job.units), page_of_key(&job, &stop.key())))
                .collect(),
            open: handover.open,
            left_unsafe: step.map(|step| bench.step(step)),
            job,
        }
    }

    fn is_ready(&self) -> bool {
        self.open.is_empty() && self.stops.is_empty()
    }
}
