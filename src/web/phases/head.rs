//! The top of the page of every phase.

use askama::Template;

use super::caution;
use super::holds::HoldsPiece;
use crate::job::phase::Phase;
use crate::job::work::StepCount;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::TypedReading;
use crate::web::parts::step::Refused;

/// The top of a phase's page.
#[derive(Debug, Template)]
#[template(path = "phases/head.html")]
pub struct PhaseHead {
    count: StepCount,
    holds: HoldsPiece,
    cautions: Vec<&'static str>,
    refusal: Option<String>,
    next: Option<(Phase, String)>,
    by_wire: Option<String>,
}

impl askama::filters::HtmlSafe for PhaseHead {}

impl PhaseHead {
    /// The top of a phase's page.
    pub fn new(bench: &Bench<'_>, phase: Phase, refusal: Option<String>) -> Self {
        let count = bench.work.phase(phase);
        let after = Phase::ALL.into_iter().find(|other| *other > phase).filter(|_| count.is_finished());
        Self {
            count,
            holds: HoldsPiece::new(bench, phase),
            cautions: caution::of(phase, &bench.job.plan),
            refusal,
            by_wire: matches!(phase, Phase::Runs | Phase::Terminations)
                .then(|| format!("{}/wires", bench.job.href())),
            next: after.map(|next| (next, format!("{}/phases/{next}", bench.job.href()))),
        }
    }

    fn words(&self) -> String {
        let StepCount { done, not_needed, open } = self.count;
        let spared = if not_needed > 0 { format!(", {not_needed} not needed") } else { String::new() };
        match (self.count.all(), open) {
            (0, _) => "Nothing to do in this phase.".to_owned(),
            (all, 0) => format!("All {all} steps closed: {done} done{spared}."),
            (all, open) => format!("{done} of {all} steps done{spared}, {open} open."),
        }
    }
}

/// What a page shows besides the stored data.
#[derive(Debug, Default)]
pub struct PageNotes<'a> {
    /// Why the sent form was refused.
    pub refusal: Option<String>,
    /// A reason that was refused.
    pub reason: Option<&'a Refused>,
    /// A measurement that was refused.
    pub typed: TypedReading,
}

/// The title block of a phase's page.
pub fn title_block(frame: Frame, job: &Opened, phase: Phase) -> TitleBlock {
    job.title_block(frame, Tab::Phase(phase))
}
