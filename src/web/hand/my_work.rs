//! "My work": the first page of whoever works on the boats. For each of their boats: the next task where they worked
//! last, and what waits for them.

use askama::Template;
use axum::extract::State;
use axum::response::Html;

use super::stand::{Onward, Stand};
use crate::job::called;
use crate::job::open_item::Acts;
use crate::job::phase::Phase;
use crate::job::plan::Location;
use crate::job::steps::Step;
use crate::job::value::LocationId;
use crate::store::{JobId, record};
use crate::trade::say::capital;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::place::step_page;

#[derive(Template)]
#[template(path = "hand/my_work.html")]
struct Page {
    title_block: TitleBlock,
    boats: Vec<MyBoat>,
}

/// A boat that the user works on.
#[derive(Debug)]
struct MyBoat {
    href: String,
    name: String,
    job: String,
    /// Where the user worked last.
    location: Option<String>,
    /// The next task; `None` if everything is done or on hold.
    next: Option<Onward>,
    waiting: Vec<Waiting>,
    /// Whether its plan is being checked, so that nothing else is known yet.
    is_checked: bool,
}

/// What waits for the user, of one sort.
#[derive(Debug)]
struct Waiting {
    title: String,
    shown: Vec<Onward>,
    more: usize,
}

/// How many boats the page shows.
const BOATS: u32 = 5;
/// How many things of one sort the page shows of a boat.
const SHOWN: usize = 5;

/// The work of the user.
///
/// # Errors
/// The database cannot be read.
pub async fn show(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Html<String>, Error> {
    let scope = user.access().scope();
    let person = user.person().id;
    let jobs = record::jobs_of(&mut *app.store().read().await?, person, &scope, BOATS).await?;
    let mut boats = Vec::new();
    for job in jobs {
        boats.push(boat(&app, &frame, job, user.name().as_str()).await?);
    }
    html(&Page { boats, title_block: frame.title_block("My work").at(Here::MyWork) })
}

async fn boat(app: &AppState, frame: &Frame, id: JobId, name: &str) -> Result<MyBoat, Error> {
    let job = match Opened::load(app, id).await {
        Err(Error::BeingChecked(_)) => return Ok(unchecked(id)),
        opened => opened?,
    };
    let location = last_location(&job, name);
    let at = location.as_ref().map_or("", |id| id.as_str());
    let (stand, bench) = (Stand::at(&job, at), Bench::new(frame, &job, String::new()));
    Ok(MyBoat {
        href: job.href(),
        name: job.plan.boat.name.to_string(),
        job: job.plan.job.name.to_string(),
        next: next(&bench, &stand),
        waiting: [open_items(&bench), failed(&bench), reopened(&bench)].into_iter().flatten().collect(),
        location: location
            .and_then(|id| job.plan.location(&id))
            .map(|Location { name, .. }| name.to_string()),
        is_checked: true,
    })
}

fn unchecked(id: JobId) -> MyBoat {
    MyBoat {
        href: format!("/jobs/{id}"),
        name: format!("Job {id}"),
        job: String::new(),
        location: None,
        next: None,
        waiting: Vec::new(),
        is_checked: false,
    }
}

/// The location of the last step that a person marked.
fn last_location(job: &Opened, name: &str) -> Option<LocationId> {
    let own = job.history.ticks.iter().filter(|tick| tick.by.as_str() == name);
    let placed = own.filter_map(|tick| Some((tick.at, location_of(job, job.steps.get(&tick.step)?)?)));
    placed.max_by_key(|(at, _)| *at).map(|(_, location)| location)
}

/// Where a step is done; for a step along a wire, where the wire starts.
fn location_of(job: &Opened, step: &Step) -> Option<LocationId> {
    let along = || {
        let (piece, _) = job.pieces().about(&step.key.subject)?;
        piece.ends()[0].at.location(&job.plan).cloned()
    };
    step.location.clone().or_else(along)
}

/// The first task at the location that may be done now; if there is none, the first on the boat.
fn next<'a>(bench: &Bench<'a>, stand: &Stand<'a>) -> Option<Onward> {
    let is_free = |step: &&Step| bench.is_open(&step.key) && !bench.work.is_on_hold(&step.key);
    let all = bench.work.steps().all();
    let here = stand.at.as_ref().and_then(|at| all.iter().filter(|step| stand.is_at(step, at)).find(is_free));
    let step = here.or_else(|| all.iter().find(is_free))?;
    let is_on_wire = matches!(step.phase(), Phase::Runs | Phase::Terminations);
    let order = if is_on_wire { stand.order(bench) } else { Vec::new() };
    let on_wire = order.into_iter().find(is_free).map(|step| Onward {
        href: stand.page_of(&step.key, None),
        words: format!("{}, {}", stand.words(step), step.key.action.line().to_lowercase()),
    });
    on_wire.or_else(|| Some(link(bench, step)))
}

fn link(bench: &Bench<'_>, step: &Step) -> Onward {
    Onward {
        href: step_page(&bench.job.href(), &step.key),
        words: format!("{}: {}", called::called(bench.job, step), step.key.action.line()),
    }
}

/// The open items that technicians act on.
fn open_items(bench: &Bench<'_>) -> Option<Waiting> {
    let items = bench.work.open_items().into_iter().filter(|item| item.acts == Acts::Technician);
    let links = items.map(|item| Onward {
        href: format!("{}/open-items#item-{}", bench.job.href(), item.id),
        words: format!(
            "{}, {}: {}",
            capital(item.severity.word()),
            called::thing(bench.job, item.thing.subject()),
            item.found
        ),
    });
    Waiting::of("Open items", links.collect())
}

fn failed(bench: &Bench<'_>) -> Option<Waiting> {
    let failing = bench.work.failing_steps().into_iter();
    let links = failing.map(|(words, step)| Onward { href: step_page(&bench.job.href(), &step), words });
    Waiting::of("Failed tests", links.collect())
}

fn reopened(bench: &Bench<'_>) -> Option<Waiting> {
    let again =
        bench.work.steps().all().iter().filter(|step| bench.work.status(&step.key).reopened.is_some());
    Waiting::of("Reopened steps", again.map(|step| link(bench, step)).collect())
}

impl Waiting {
    fn of(title: &str, mut shown: Vec<Onward>) -> Option<Self> {
        let count = shown.len();
        shown.truncate(SHOWN);
        let more = count - shown.len();
        (count > 0).then(|| Self { title: format!("{title}: {count}"), shown, more })
    }
}
