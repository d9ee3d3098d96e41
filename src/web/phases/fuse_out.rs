//! The record that the fuse of a circuit or feeder is out, as a piece of the power-up test's page. It is a state and no
//! step: it is never open work.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::step::{Action, StepKey};
use crate::job::subject::{Subject, SubjectKind};
use crate::web::parts::bench::Bench;
use crate::web::parts::step::{StepPiece, anchor};

/// The record that a fuse is out.
#[derive(Debug, Template)]
#[template(path = "phases/fuse_out.html")]
pub struct FuseOut {
    anchor: String,
    out: bool,
    step: StepPiece,
}

impl HtmlSafe for FuseOut {}

impl FuseOut {
    /// The record of a circuit or feeder; `None` for a feeder without a fuse.
    pub fn of(bench: &Bench<'_>, subject: &Subject) -> Option<Self> {
        let key = StepKey { subject: subject.clone(), action: Action::FuseOut };
        let has_fuse = bench.job.steps.get(&key.also(Action::Fuse)).is_some();
        if subject.kind == SubjectKind::Feeder && !has_fuse {
            return None;
        }
        let step = bench.job.steps.get(&key)?;
        Some(Self { anchor: anchor(&key), out: bench.work.is_fuse_out(subject), step: bench.step(step) })
    }
}
