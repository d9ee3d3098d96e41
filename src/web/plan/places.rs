//! The list of places, and of the passages between them.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::choices::PASSAGE_KINDS;
use super::row;
use crate::job::plan::{Passage, Place, PullString};
use crate::shop::role::Action;
use crate::store::JobId;
use crate::web::job::Opened;
use crate::web::length::LengthUnit;
use crate::web::page::{Frame, Sheet, Tab, html};
use crate::web::piece::Figure;
use crate::web::{AppState, Error};

#[derive(Template)]
#[template(path = "plan/places.html")]
struct Page {
    sheet: Sheet,
    plan: String,
    may_plan: bool,
    places: Vec<PlaceRow>,
    passages: Vec<PassageRow>,
}

struct PlaceRow {
    id: String,
    name: String,
    engine_space: bool,
    wet: bool,
    here: String,
}

struct PassageRow {
    id: String,
    kind: &'static str,
    way: String,
    length: Option<Figure>,
    bore: Option<Figure>,
    engine_space: bool,
    pull_string: &'static str,
}

/// Places and passages of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    html(&Page {
        plan: format!("{}/plan", job.href()),
        may_plan: frame.may(Action::Plan),
        places: job.plan.places.iter().map(|place| place_row(place, &job)).collect(),
        passages: job.plan.passages.iter().map(|passage| passage_row(passage, &job, unit)).collect(),
        sheet: job.sheet(frame, Tab::Places),
    })
}

fn place_row(place: &Place, job: &Opened) -> PlaceRow {
    let points = job.plan.points.iter().filter(|point| point.place == place.id).map(|point| point.called());
    let devices = job.plan.devices.iter().filter(|device| device.place == place.id);
    let here: Vec<&str> = points.chain(devices.map(|device| device.name.as_str())).collect();
    PlaceRow {
        id: place.id.to_string(),
        name: place.name.to_string(),
        engine_space: place.engine_space,
        wet: place.wet,
        here: if here.is_empty() { "nothing yet".to_owned() } else { here.join(", ") },
    }
}

fn passage_row(passage: &Passage, job: &Opened, unit: LengthUnit) -> PassageRow {
    let name = |id| job.plan.place(id).map_or_else(|| id.to_string(), |place| place.name.to_string());
    let [one, other] = &passage.between;
    PassageRow {
        id: passage.id.to_string(),
        kind: PASSAGE_KINDS.iter().find(|(kind, _)| *kind == passage.kind).map_or("", |(_, words)| words),
        way: format!("{} to {}", name(one), name(other)),
        length: passage.length_m.map(|length| row::given(length.number(), unit)),
        bore: passage.bore_mm.map(|bore| Figure::new(bore, "mm")),
        engine_space: passage.engine_space,
        pull_string: match passage.pull_string {
            None => "not looked at",
            Some(PullString::Yes) => "left in place",
            Some(PullString::No) => "none",
            Some(PullString::NotNeeded) => "not needed",
        },
    }
}
