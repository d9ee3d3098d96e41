//! The last change of a plan, with the button that undoes it, on every page of its job.

use askama::Template;
use askama::filters::HtmlSafe;
use jiff::SignedDuration;

use super::frame::Frame;
use super::happened::Happened;
use crate::shop::role::Permission;
use crate::store::log::{Change, LogLine};
use crate::store::undo;

/// How long a change counts as just made. The log keeps it for good.
const JUST_MADE: SignedDuration = SignedDuration::from_mins(30);

/// The last change, with its button.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/last_change.html")]
pub struct LastChange {
    line: i64,
    action: String,
    back: String,
    words: String,
    ago: String,
}

impl HtmlSafe for LastChange {}

impl LastChange {
    /// The last change of a job's plan from its log, if the user made it just now. `job` is the address of the job.
    pub fn of(log: &[LogLine], job: &str, frame: &Frame) -> Option<Self> {
        let user = frame.user.as_ref().filter(|_| frame.may(Permission::Plan))?;
        let is_event = |change| {
            matches!(
                change,
                Change::Ticked
                    | Change::Measured
                    | Change::Repaired
                    | Change::Found
                    | Change::Settled
                    | Change::Withdrawn
                    | Change::Released
            )
        };
        let line = log.iter().find(|line| !is_event(line.change))?;
        let own = line.by == user.name().as_str() && line.person == Some(user.person().id);
        let just_made = frame.now.duration_since(line.at) < JUST_MADE;
        (own && just_made && undo::goes(line)).then(|| {
            let happened = Happened::new(line, frame);
            let words = match log.iter().filter(|other| other.id == line.id).count() {
                0 | 1 => happened.what,
                lines => format!("{} and {} more", happened.what, lines - 1),
            };
            Self {
                line: line.id,
                action: format!("{job}/log/{}/undo", line.id),
                back: frame.path.clone(),
                words,
                ago: happened.ago,
            }
        })
    }
}
