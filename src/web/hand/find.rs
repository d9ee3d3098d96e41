//! The page to choose a location and find a wire: by its label, by a search, or one after another.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::now::JustDone;
use super::stand::{LocationWork, Onward, Stand};
use crate::job::find;
use crate::job::steps::Step;
use crate::store::JobId;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::wire_row::{self, WireRow};

#[derive(Template)]
#[template(path = "hand/find.html")]
struct Page {
    title_block: TitleBlock,
    action: String,
    at: Option<String>,
    form: Form,
    asked: bool,
    found: Vec<WireRow>,
    done: Option<JustDone>,
    location: Option<String>,
    next: Option<Onward>,
    held: Option<String>,
    then: Vec<Onward>,
    spots: Vec<LocationWork>,
}

/// The query of the page's address.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct WiresQuery {
    /// The search text.
    pub q: String,
    /// The user's location.
    pub at: String,
    /// The step ticked just before.
    pub done: String,
}

/// How many steps are shown ahead of the next one.
const AHEAD: usize = 12;

/// The wires of a job. A label that matches exactly one wire leads straight to it.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<WiresQuery>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let stand = Stand::at(&job, &asked.at);
    let hits = find::pieces(&job.plan, &job.conductors, &asked.q);
    if let Some(hit) = find::meant(&hits) {
        return Ok(Redirect::to(&stand.page_of_piece(hit.piece, hit.end)).into_response());
    }
    let bench = Bench::new(&frame, &job, stand.list());
    let order = stand.order(&bench);
    let page = Page {
        action: format!("{}/wires", job.href()),
        at: stand.at.as_ref().map(ToString::to_string),
        asked: !asked.q.trim().is_empty(),
        found: hits.iter().map(|hit| wire_row::row(&bench, hit.piece)).collect(),
        form: Form::filled([("q", asked.q.as_str())]),
        done: JustDone::new(&bench, &stand, &asked.done),
        location: stand
            .at
            .as_ref()
            .and_then(|id| job.plan.location(id))
            .map(|location| location.name.to_string()),
        next: stand.onward(&bench, order.iter().copied(), None),
        held: order.first().and_then(|step| bench.shut(step)),
        then: ahead(&bench, &stand, &order),
        spots: stand.spots(&order),
        title_block: job.title_block(frame.clone(), Tab::Wires),
    };
    Ok(html(&page)?.into_response())
}

/// The steps after the next one.
fn ahead(bench: &Bench<'_>, stand: &Stand<'_>, order: &[&Step]) -> Vec<Onward> {
    let free = order.iter().filter(|step| bench.shut(step).is_none()).skip(1).take(AHEAD);
    free.map(|step| Onward {
        href: stand.page_of(&step.key, None),
        words: format!("{}, {}", stand.words(step), step.key.action.line().to_lowercase()),
    })
    .collect()
}
