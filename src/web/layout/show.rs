//! The boat plan: locations and raceways on the boat seen from above.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::drawing::boat_plan::Lit;
use crate::job::layout::raceway_length;
use crate::job::plan::{Location, PullString, Raceway, Spot};
use crate::shop::role::Permission;
use crate::store::{JobId, Version, item};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error, assets};
use crate::web::parts::boat_plan::{self, BoatPlan};
use crate::web::parts::photo::PhotoPiece;
use crate::web::parts::pulls::number;
use crate::web::parts::raceway::{CONDITIONS, PASSAGE_KINDS};

#[derive(Template)]
#[template(path = "layout/show.html")]
struct Page {
    title_block: TitleBlock,
    /// The job's address.
    job: String,
    plan: String,
    may_plan: bool,
    may_tick: bool,
    /// The background sketch or photo of the plan.
    sketch: Option<PhotoPiece>,
    script: String,
    drawn: BoatPlan,
    /// Where a location without a position starts: half the boat's length ahead of the transom.
    amidships: String,
    locations: Vec<LocationRow>,
    raceways: Vec<RacewayRow>,
}

struct LocationRow {
    id: String,
    name: String,
    version: Version,
    /// Its position in plain text; `None` if it has none yet.
    at: Option<String>,
}

struct RacewayRow {
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
    /// Locations without a position.
    fn homeless(&self) -> Vec<&LocationRow> {
        self.locations.iter().filter(|location| location.at.is_none()).collect()
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
    let versions = item::versions::<Location>(&mut read, job).await?;
    drop(read);
    let sketch = boat_plan::sketch(&app, &opened, &frame).await?;
    let unit = frame.length_unit();
    let version = |location: &Location| versions.get(&location.id).copied().unwrap_or(Version::first());
    html(&Page {
        job: opened.href(),
        plan: format!("{}/plan", opened.href()),
        may_plan: frame.may(Permission::Plan),
        may_tick: frame.may(Permission::Tick),
        script: assets::address("boat-plan.js"),
        amidships: format!("{:.2}", opened.plan.boat.length_m.number() / 2.0),
        drawn: BoatPlan::of(&opened, &Lit::default(), sketch.as_ref()),
        sketch,
        locations: opened
            .plan
            .locations
            .iter()
            .map(|location| location_row(location, version(location), unit))
            .collect(),
        raceways: opened.plan.raceways.iter().map(|raceway| raceway_row(raceway, &opened, unit)).collect(),
        title_block: opened.title_block(frame, Tab::Layout),
    })
}

fn location_row(location: &Location, version: Version, unit: LengthUnit) -> LocationRow {
    LocationRow {
        id: location.id.to_string(),
        name: location.name.to_string(),
        version,
        at: location.at.map(|at| whereabouts(&at, unit)),
    }
}

fn whereabouts(at: &Spot, unit: LengthUnit) -> String {
    let aside = at.starboard_m.number();
    let side = match aside {
        0.0 => "on the centerline".to_owned(),
        _ => format!("{} to {}", unit.said(aside.abs()), if aside < 0.0 { "port" } else { "starboard" }),
    };
    let up = at.up_m.map(|up| format!(", {} up", unit.said(up.number()))).unwrap_or_default();
    format!("{} ahead of the transom, {side}{up}", unit.said(at.ahead_m.number()))
}

fn raceway_row(raceway: &Raceway, job: &Opened, unit: LengthUnit) -> RacewayRow {
    let name =
        |id| job.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string());
    let [one, other] = &raceway.between;
    let length = raceway_length(&job.plan, raceway);
    RacewayRow {
        number: number(&job.plan, &raceway.id),
        id: raceway.id.to_string(),
        name: raceway.name.as_ref().map_or_else(|| raceway.id.to_string(), ToString::to_string),
        kind: PASSAGE_KINDS.iter().find(|(kind, _)| *kind == raceway.kind).map_or("", |(_, words)| words),
        way: format!("{} to {}", name(one), name(other)),
        length: match length {
            Some((meters, known)) => format!("{} {}", unit.said(meters), known.words()),
            None => "not known".to_owned(),
        },
        condition: raceway
            .condition
            .and_then(|found| CONDITIONS.iter().find(|(kind, _)| *kind == found))
            .map_or("Not looked at yet", |(_, words)| words),
        pull_string: pull_string(raceway.pull_string),
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
