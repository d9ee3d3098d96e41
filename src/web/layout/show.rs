//! The boat plan: places and passages on the boat seen from above.

use std::collections::HashMap;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::drawn::{self, BoatPlan};
use super::pulls::number;
use crate::drawing::boat_plan::Lit;
use crate::job::layout::passage_length;
use crate::job::plan::{Passage, Place, PullString, Spot};
use crate::job::value::PlaceId;
use crate::shop::role::Action;
use crate::store::{JobId, Version, places};
use crate::web::job::Opened;
use crate::web::length::LengthUnit;
use crate::web::page::{Frame, Sheet, Tab, html};
use crate::web::photos::Shown;
use crate::web::plan::choices::{CONDITIONS, PASSAGE_KINDS};
use crate::web::{AppState, Error, assets};

#[derive(Template)]
#[template(path = "layout/show.html")]
struct Page {
    sheet: Sheet,
    /// The job's address.
    job: String,
    plan: String,
    may_plan: bool,
    may_tick: bool,
    /// The sketch or photo that lies under the plan.
    sketch: Option<Shown>,
    script: String,
    drawn: BoatPlan,
    /// Where a place that is nowhere yet is put first: half the boat's length ahead of the transom.
    amidships: String,
    places: Vec<PlaceRow>,
    passages: Vec<PassageRow>,
}

struct PlaceRow {
    id: String,
    name: String,
    version: Version,
    /// Where it is, in words; `None`: nowhere yet.
    at: Option<String>,
}

struct PassageRow {
    /// Its number on the plan.
    number: usize,
    id: String,
    name: String,
    kind: &'static str,
    way: String,
    length: String,
    condition: &'static str,
    pull_string: &'static str,
}

impl Page {
    /// Places that are nowhere yet.
    fn homeless(&self) -> Vec<&PlaceRow> {
        self.places.iter().filter(|place| place.at.is_none()).collect()
    }
}

/// The boat plan of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let opened = Opened::load(&app, job).await?;
    let mut read = app.store().read().await?;
    let held = places::all(&mut read, job).await?;
    let versions: HashMap<&PlaceId, Version> =
        held.iter().map(|held| (&held.value.id, held.version)).collect();
    drop(read);
    let sketch = drawn::sketch(&app, &opened, &frame).await?;
    let unit = frame.length_unit();
    let version = |place: &Place| versions.get(&place.id).copied().unwrap_or(Version::first());
    html(&Page {
        job: opened.href(),
        plan: format!("{}/plan", opened.href()),
        may_plan: frame.may(Action::Plan),
        may_tick: frame.may(Action::Tick),
        script: assets::address("boat-plan.js"),
        amidships: format!("{:.2}", opened.plan.boat.length_m.number() / 2.0),
        drawn: BoatPlan::of(&opened, &Lit::default(), sketch.as_ref()),
        sketch,
        places: opened.plan.places.iter().map(|place| place_row(place, version(place), unit)).collect(),
        passages: opened.plan.passages.iter().map(|passage| passage_row(passage, &opened, unit)).collect(),
        sheet: opened.sheet(frame, Tab::Layout),
    })
}

fn place_row(place: &Place, version: Version, unit: LengthUnit) -> PlaceRow {
    PlaceRow {
        id: place.id.to_string(),
        name: place.name.to_string(),
        version,
        at: place.at.map(|at| whereabouts(&at, unit)),
    }
}

fn whereabouts(at: &Spot, unit: LengthUnit) -> String {
    let aside = at.starboard_m.number();
    let side = match aside {
        0.0 => "on the centreline".to_owned(),
        _ => format!("{} to {}", unit.said(aside.abs()), if aside < 0.0 { "port" } else { "starboard" }),
    };
    let up = at.up_m.map(|up| format!(", {} up", unit.said(up.number()))).unwrap_or_default();
    format!("{} ahead of the transom, {side}{up}", unit.said(at.ahead_m.number()))
}

fn passage_row(passage: &Passage, job: &Opened, unit: LengthUnit) -> PassageRow {
    let name = |id| job.plan.place(id).map_or_else(|| id.to_string(), |place| place.name.to_string());
    let [one, other] = &passage.between;
    let length = passage_length(&job.plan, passage);
    PassageRow {
        number: number(&job.plan, &passage.id),
        id: passage.id.to_string(),
        name: passage.name.as_ref().map_or_else(|| passage.id.to_string(), ToString::to_string),
        kind: PASSAGE_KINDS.iter().find(|(kind, _)| *kind == passage.kind).map_or("", |(_, words)| words),
        way: format!("{} to {}", name(one), name(other)),
        length: match length {
            Some((metres, known)) => format!("{} {}", unit.said(metres), known.words()),
            None => "not known".to_owned(),
        },
        condition: passage
            .condition
            .and_then(|found| CONDITIONS.iter().find(|(kind, _)| *kind == found))
            .map_or("Not looked at yet", |(_, words)| words),
        pull_string: pull_string(passage.pull_string),
    }
}

fn pull_string(left: Option<PullString>) -> &'static str {
    match left {
        None => "not looked at",
        Some(PullString::Yes) => "left in place",
        Some(PullString::No) => "none",
        Some(PullString::NotNeeded) => "not needed",
    }
}
