//! The shop floor: every boat in the shop, one per row, the one promised first on top.

use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::response::Html;
use jiff::civil::Date;

use super::summaries::{JobSummary, Summaries};
use crate::job::work::{Place, Reason};
use crate::shop::job_state::JobState;
use crate::shop::role::Permission;
use crate::store::{JobId, jobs};
use crate::trade::finding::Level;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, PhaseStrip, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::LevelMark;
use crate::web::parts::reason::LinkedReason;

#[derive(Template)]
#[template(path = "floor.html")]
struct Page {
    title_block: TitleBlock,
    may_plan: bool,
    may_close: bool,
    boats: Vec<Boat>,
    /// The jobs that are not open, by their state.
    others: Vec<(&'static str, Vec<Other>)>,
}

/// A job that is not open.
struct Other {
    href: String,
    boat: String,
    job: String,
    last: Option<Seen>,
}

struct Boat {
    number: String,
    href: String,
    name: String,
    job: String,
    customer: Option<String>,
    /// What holds it and its progress; `None` while this is not calculated.
    status: Option<JobSummary>,
    promised: Option<Promised>,
    last: Option<Seen>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Promised {
    day: String,
    words: String,
    late: bool,
}

struct Seen {
    by: String,
    when: String,
}

/// How many reasons the floor shows of each boat; the others are on the overview of the job.
const SHOWN: usize = 2;

/// How many boats the floor shows of each state.
const MOST: u32 = 200;

impl Page {
    fn count(&self) -> String {
        match self.boats.len() {
            1 => "1 boat in the shop.".to_owned(),
            count => format!("{count} boats in the shop."),
        }
    }
}

impl Boat {
    fn phases(&self) -> PhaseStrip {
        self.status.as_ref().map(|status| status.phases(&self.href)).unwrap_or_default()
    }

    /// The first reasons that hold it, always with the count of open items, and how many more there are.
    fn reasons(&self) -> (Vec<LinkedReason>, usize) {
        let all = self.status.as_ref().map(|status| status.holds.reasons()).unwrap_or_default();
        let (items, others): (Vec<&Reason>, Vec<&Reason>) =
            all.iter().partition(|reason| reason.place == Place::OpenItems);
        let shown =
            others.iter().take(SHOWN).chain(&items).map(|reason| LinkedReason::of(&self.href, reason));
        (shown.collect(), others.len().saturating_sub(SHOWN))
    }

    /// What to say if no reason is known.
    fn without_reasons(&self) -> String {
        match &self.status {
            Some(status) => status.holds.without_lines(),
            None => "Being checked. Load this page again.".to_owned(),
        }
    }

    /// What to reduce, if its check reached the limit of its work.
    fn too_large(&self) -> Option<&str> {
        self.status.as_ref()?.too_large.as_deref()
    }

    /// The page where it is put aside or deleted, if its check holds it up.
    fn state(&self) -> Option<String> {
        let is_heavy = self.status.as_ref().is_none_or(|status| status.too_large.is_some());
        is_heavy.then(|| format!("{}/state", self.href))
    }

    fn mark(&self) -> Option<LevelMark> {
        let dangerous = self.status.as_ref().is_some_and(|status| status.holds.is_dangerous());
        dangerous.then_some(LevelMark(Level::Stop))
    }
}

/// Every boat in the shop.
pub async fn show(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Extension(summaries): Extension<Arc<Summaries>>,
) -> Result<Html<String>, Error> {
    let scope = user.access().scope();
    let mut read = app.store().read().await?;
    let listed = jobs::list(&mut read, JobState::Open, &scope, MOST).await?;
    let mut others = Vec::new();
    for (title, state) in [("Put aside", JobState::PutAside), ("Closed", JobState::Closed)] {
        let jobs = jobs::list(&mut read, state, &scope, MOST).await?;
        let jobs: Vec<Other> = jobs.iter().map(|summary| Other::new(&frame, summary)).collect();
        others.extend((!jobs.is_empty()).then_some((title, jobs)));
    }
    drop(read);
    let ids: Vec<JobId> = listed.iter().map(|summary| summary.id).collect();
    let mut known = summaries.of(&app, &frame, &ids).await?;
    let boats = listed.iter().map(|summary| boat(&frame, summary, known.remove(&summary.id))).collect();
    html(&Page {
        may_plan: frame.may(Permission::Plan),
        may_close: frame.may(Permission::Close),
        title_block: frame.title_block("Shop floor").at(Here::Floor),
        boats,
        others,
    })
}

impl Other {
    fn new(frame: &Frame, summary: &jobs::Summary) -> Self {
        let last = summary.last.as_ref();
        Self {
            href: format!("/jobs/{}", summary.id),
            boat: summary.boat.to_string(),
            job: summary.name.to_string(),
            last: last.map(|last| Seen { by: last.by.clone(), when: frame.ago(last.at) }),
        }
    }
}

fn boat(frame: &Frame, summary: &jobs::Summary, status: Option<JobSummary>) -> Boat {
    let work = status.as_ref().and_then(|status| status.last.clone());
    // The first line of a job's log says that it was created or imported. An import is no work on the boat.
    let line = summary.last.as_ref().filter(|_| summary.line > 1).map(|last| (last.by.clone(), last.at));
    let last = work.into_iter().chain(line).max_by_key(|(_, at)| *at);
    Boat {
        number: summary.id.to_string(),
        href: format!("/jobs/{}", summary.id),
        name: summary.boat.to_string(),
        job: summary.name.to_string(),
        customer: summary.customer.as_ref().map(ToString::to_string),
        status,
        promised: summary.promised_on.map(|day| promised(frame.today(), day)),
        last: last.map(|(by, when)| Seen { by, when: frame.ago(when) }),
    }
}

fn promised(today: Date, day: Date) -> Promised {
    let days = (day - today).get_days();
    let words = match days {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        2.. => format!("in {days} days"),
        -1 => "a day late".to_owned(),
        _ => format!("{} days late", -days),
    };
    Promised { day: day.to_string(), words, late: days < 0 }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_promise_is_said_in_days() {
        let said = |day| promised(date(2026, 5, 4), day);
        assert_eq!(said(date(2026, 5, 4)).words, "today");
        assert_eq!(said(date(2026, 6, 4)).words, "in 31 days");
        assert_eq!(
            (said(date(2026, 5, 2)).words, said(date(2026, 5, 2)).late),
            ("2 days late".to_owned(), true)
        );
    }
}
