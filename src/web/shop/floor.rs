//! The shop floor: every boat in the shop, one per row, the one promised first on top.

use std::collections::HashMap;
use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::response::Html;
use jiff::Timestamp;
use jiff::civil::Date;
use tokio::sync::Mutex;

use crate::job::work::Summary;
use crate::shop::job_state::JobState;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::store::jobs;
use crate::trade::finding::Level;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Here, PhaseStrip, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::activity;
use crate::web::parts::finding::LevelMark;

#[derive(Template)]
#[template(path = "floor.html")]
struct Page {
    title_block: TitleBlock,
    may_plan: bool,
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

/// The status of the boats in the shop, calculated once for each state of a job.
///
/// Only one page at a time calculates a new status; the others wait for the result.
/// One page at a time works out what is new; whoever asks meanwhile waits for that.
#[derive(Debug, Default)]
pub struct Floor(Mutex<HashMap<JobId, (i64, Standing)>>);

/// What the floor shows from a job's plan and history.
#[derive(Debug, Clone)]
struct Standing {
    phases: PhaseStrip,
    summary: Summary,
    last: Option<(String, Timestamp)>,
}

impl Floor {
    /// The status of each of these jobs.
    async fn standing(
        &self,
        app: &AppState,
        frame: &Frame,
        listed: &[jobs::Summary],
    ) -> Result<Vec<Standing>, Error> {
        let mut known = self.0.lock().await;
        // What a viewer's list lacks is still on the list of others.
        if known.len() > KEPT {
            known.retain(|id, _| listed.iter().any(|summary| summary.id == *id));
        }
        let mut all = Vec::with_capacity(listed.len());
        for summary in listed {
            if known.get(&summary.id).is_none_or(|(line, _)| *line != summary.line) {
                let job = Opened::load(app, summary.id).await?;
                known.insert(summary.id, (summary.line, Standing::of(&job, frame)));
            }
            all.extend(known.get(&summary.id).map(|(_, standing)| standing.clone()));
        }
        Ok(all)
    }
}

impl Standing {
    fn of(job: &Opened, frame: &Frame) -> Self {
        let last = activity::work(job, frame).map(|last| (last.by, last.when));
        Self { phases: job.strip(None), summary: job.work().summary(), last }
    }
}

struct Boat {
    number: String,
    href: String,
    name: String,
    job: String,
    customer: Option<String>,
    phases: PhaseStrip,
    summary: Summary,
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

/// How many boats the floor shows of each state.
const MOST: u32 = 200;
/// How many boats' status is kept at most before those that are not on the list are forgotten.
const KEPT: usize = 400;

impl Page {
    fn count(&self) -> String {
        match self.boats.len() {
            1 => "1 boat in the shop.".to_owned(),
            count => format!("{count} boats in the shop."),
        }
    }
}

impl Boat {
    /// What holds it, the worst first; only when nothing does, that nothing does.
    fn holds(&self) -> String {
        let lines = self.summary.lines();
        let Some((first, rest)) = lines.split_first() else {
            return "All steps done, no findings".to_owned();
        };
        match rest {
            [] => first.clone(),
            [second] => format!("{first}. {second}"),
            [second, more @ ..] => format!("{first}. {second}. {} more", more.len()),
        }
    }

    fn mark(&self) -> Option<LevelMark> {
        self.summary.is_dangerous().then_some(LevelMark(Level::Stop))
    }
}

/// Every boat in the shop.
pub async fn show(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Extension(floor): Extension<Arc<Floor>>,
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
    let standing = floor.standing(&app, &frame, &listed).await?;
    let boats =
        listed.iter().zip(standing).map(|(summary, standing)| boat(&frame, summary, standing)).collect();
    html(&Page {
        may_plan: frame.may(Permission::Plan),
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

fn boat(frame: &Frame, summary: &jobs::Summary, standing: Standing) -> Boat {
    Boat {
        number: summary.id.to_string(),
        href: format!("/jobs/{}", summary.id),
        name: summary.boat.to_string(),
        job: summary.name.to_string(),
        customer: summary.customer.as_ref().map(ToString::to_string),
        phases: standing.phases,
        summary: standing.summary,
        promised: summary.promised_on.map(|day| promised(frame.today(), day)),
        last: standing.last.map(|(by, when)| Seen { by, when: frame.ago(when) }),
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
