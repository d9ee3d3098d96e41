//! The next task on the wire as one big tick that leads to the next wire, and the task done just before.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::stand::Stand;
use crate::job::event::Mark;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::shop::role::Permission;
use crate::web::parts::bench::Bench;

/// The big tick.
#[derive(Debug, Template)]
#[template(path = "hand/now.html")]
pub struct Now {
    action: String,
    event: Uuid,
    step: String,
    onward: String,
    line: &'static str,
    about: String,
    shut: Option<String>,
    seen: Option<String>,
    may: bool,
    /// Whether an act led to this page: the tick takes no tap at first.
    rests: bool,
}

impl HtmlSafe for Now {}

impl Now {
    /// The next step. Its tick leads to the step after it.
    pub fn new(bench: &Bench<'_>, stand: &Stand<'_>, step: &Step, onward: String, rests: bool) -> Self {
        let shut = bench.shut(step);
        Self {
            action: format!("{}/ticks", bench.job.href()),
            event: Uuid::now_v7(),
            step: step.key.to_string(),
            onward,
            line: step.key.action.line(),
            about: stand.words(step),
            may: bench.frame.may(Permission::Tick) && shut.is_none(),
            seen: bench.seen(&step.key),
            shut,
            rests,
        }
    }
}

/// The step that was ticked on the page before, with the button to undo it.
#[derive(Debug, Template)]
#[template(path = "hand/just_done.html")]
pub struct JustDone {
    action: String,
    event: Uuid,
    step: String,
    back: String,
    words: String,
    may: bool,
}

impl HtmlSafe for JustDone {}

impl JustDone {
    /// The step that an address names as done, if it is still marked so.
    pub fn new(bench: &Bench<'_>, stand: &Stand<'_>, done: &str) -> Option<Self> {
        let key: StepKey = done.parse().ok()?;
        let step = bench.job.steps.get(&key)?;
        let tick = bench.work.status(&key).last().filter(|tick| tick.mark == Mark::Done)?;
        Some(Self {
            action: format!("{}/ticks", bench.job.href()),
            event: Uuid::now_v7(),
            back: stand.page_of(&key, None),
            words: format!("{}: {}, {}", tick.by, stand.words(step), key.action.line().to_lowercase()),
            step: key.to_string(),
            may: bench.frame.may(Permission::Tick),
        })
    }
}
