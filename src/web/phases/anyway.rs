//! The form that releases one step that is on hold, or the release that was given.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::job::event::Release;
use crate::job::phase::Phase;
use crate::job::step::StepKey;
use crate::shop::role::Permission;
use crate::web::parts::bench::Bench;
use crate::web::parts::step::anchor;
use crate::web::parts::undo_button::UndoButton;

/// A step's own release.
#[derive(Debug, Template)]
#[template(path = "phases/pass_anyway.html")]
pub struct PassAnyway {
    id: String,
    action: String,
    back: String,
    into: Phase,
    value: String,
    why: String,
    may: bool,
    takes: &'static str,
    by: Option<Released>,
}

impl HtmlSafe for PassAnyway {}

#[derive(Debug)]
struct Released {
    by: String,
    at: String,
    reason: String,
    undo: Option<UndoButton>,
}

impl PassAnyway {
    /// The form for a step that `why` keeps on hold, on the page at `back`; `takes` is the permission needed.
    pub fn new(
        bench: &Bench<'_>,
        step: &StepKey,
        (why, takes): (String, Permission),
        release: Option<&Release>,
        back: String,
    ) -> Self {
        let undo = |release: &Release| {
            let (of, what) = ((release.id, release.by.as_str()), format!("release of {step}"));
            UndoButton::new(bench.frame, bench.job, of, &back, &what).map(UndoButton::onward)
        };
        Self {
            by: release.map(|release| Released {
                by: release.by.to_string(),
                at: bench.frame.moment(release.at),
                reason: release.reason.to_string(),
                undo: undo(release),
            }),
            id: format!("anyway-{}", anchor(step)),
            action: format!("{}/releases", bench.job.href()),
            back,
            into: step.action.phase(),
            value: format!("{} {step}", Uuid::now_v7()),
            why,
            may: bench.frame.may(takes),
            takes: takes.least().word(),
        }
    }
}
