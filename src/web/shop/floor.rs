//! The shop floor: every boat in the shop, one per row, the one promised first on top.

use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::response::Html;
use jiff::Timestamp;
use jiff::civil::Date;
use tokio::sync::Mutex;

use crate::shop::job_state::JobState;
use crate::shop::role::Action;
use crate::store::JobId;
use crate::store::jobs::{self, Summary};
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
    stands: Stands,
    last: Option<(String, Timestamp)>,
}

impl Floor {
    /// The status of each of these jobs.
    async fn standing(
        &self,
        app: &AppState,
        frame: &Frame,
        listed: &[Summary],
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
        Self { phases: job.strip(None), stands: stands(job), last }
    }
}

struct Boat {
    number: String,
    href: String,
    name: String,
    job: String,
    customer: Option<String>,
    phases: PhaseStrip,
    stands: Stands,
    promised: Option<Promised>,
    last: Option<Seen>,
}

/// The status of a boat: what holds it up, or that nothing does.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Stands {
    Clear,
    Held { first: String, more: usize, danger: bool },
    Warned { stops: usize },
    Finished,
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

impl Stands {
    fn title(&self) -> &'static str {
        match self {
            Self::Clear | Self::Finished => "Status",
            Self::Held { .. } => "On hold",
            Self::Warned { .. } => "Findings",
        }
    }

    fn mark(&self) -> Option<LevelMark> {
        matches!(self, Self::Held { danger: true, .. } | Self::Warned { .. })
            .then_some(LevelMark(Level::Stop))
    }
}

impl fmt::Display for Stands {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Clear => f.write_str("nothing on hold"),
            Self::Finished => f.write_str("all steps done"),
            Self::Held { first, more: 0, .. } => f.write_str(first),
            Self::Held { first, more, .. } => write!(f, "{first}, and {more} more"),
            Self::Warned { stops: 1 } => f.write_str("1 stop finding: do not power up"),
            Self::Warned { stops } => write!(f, "{stops} stop findings: do not power up"),
        }
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
        may_plan: frame.may(Action::Plan),
        title_block: frame.title_block("Shop floor").at(Here::Floor),
        boats,
        others,
    })
}

impl Other {
    fn new(frame: &Frame, summary: &Summary) -> Self {
        let last = summary.last.as_ref();
        Self {
            href: format!("/jobs/{}", summary.id),
            boat: summary.boat.to_string(),
            job: summary.name.to_string(),
            last: last.map(|last| Seen { by: last.by.clone(), when: frame.ago(last.at) }),
        }
    }
}

fn boat(frame: &Frame, summary: &Summary, standing: Standing) -> Boat {
    Boat {
        number: summary.id.to_string(),
        href: format!("/jobs/{}", summary.id),
        name: summary.boat.to_string(),
        job: summary.name.to_string(),
        customer: summary.customer.as_ref().map(ToString::to_string),
        phases: standing.phases,
        stands: standing.stands,
        promised: summary.promised_on.map(|day| promised(frame.today(), day)),
        last: standing.last.map(|(by, when)| Seen { by, when: frame.ago(when) }),
    }
}

/// A boat is on hold only if the current phase is on hold and no earlier phase has a step that
/// somebody could do instead.
fn stands(job: &Opened) -> Stands {
    let progress = job.progress();
    let Some(current) = progress.current_phase() else { return Stands::Finished };
    let hold_points = job.hold_points();
    if let Some(hold_point) =
        hold_points.iter().find(|hold_point| hold_point.into == current && !hold_point.is_open())
    {
        let danger = hold_point.standing().any(|obstacle| obstacle.key.starts_with("finding/"));
        let mut standing = hold_point.standing().map(|obstacle| obstacle.text.text(job.units));
        let first = standing.next().unwrap_or_default();
        return Stands::Held { first, more: standing.count(), danger };
    }
    match job.report.count(Level::Stop) {
        0 => Stands::Clear,
        stops => Stands::Warned { stops },
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

    #[test]
    fn what_holds_a_boat_up_is_said_with_how_much_more_there_is() {
        let held = Stands::Held { first: "Bow: old wiring in".to_owned(), more: 3, danger: false };
        assert_eq!(held.to_string(), "Bow: old wiring in, and 3 more");
        assert_eq!(Stands::Warned { stops: 2 }.to_string(), "2 stop findings: do not power up");
    }
}
