//! The list of locations, and of the raceways between them.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::plan::{Location, PullString, Raceway};
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::raceway::PASSAGE_KINDS;

#[derive(Template)]
#[template(path = "plan/locations.html")]
struct Page {
    title_block: TitleBlock,
    plan: String,
    may_plan: bool,
    locations: Vec<LocationRow>,
    raceways: Vec<RacewayRow>,
    /// The longer of both lists has the links to its other pages.
    paging: Paging,
}

struct LocationRow {
    id: String,
    name: String,
    engine_space: bool,
    wet: bool,
    here: String,
}

struct RacewayRow {
    id: String,
    kind: &'static str,
    way: String,
    length: Option<Figure>,
    bore: Option<Figure>,
    engine_space: bool,
    pull_string: &'static str,
}

/// Locations and raceways of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    let (locations, of_locations) = page_of(&job.plan.locations, &frame);
    let (raceways, of_raceways) = page_of(&job.plan.raceways, &frame);
    html(&Page {
        plan: format!("{}/plan", job.href()),
        may_plan: frame.may(Permission::Plan),
        locations: locations.iter().map(|location| location_row(location, &job)).collect(),
        raceways: raceways.iter().map(|raceway| raceway_row(raceway, &job, unit)).collect(),
        paging: of_locations.longer(of_raceways),
        title_block: job.title_block(frame, Tab::Locations),
    })
}

fn location_row(location: &Location, job: &Opened) -> LocationRow {
    let points =
        job.plan.points.iter().filter(|point| point.location == location.id).map(|point| point.called());
    let devices = job.plan.devices.iter().filter(|device| device.location == location.id);
    let here: Vec<&str> = points.chain(devices.map(|device| device.name.as_str())).collect();
    LocationRow {
        id: location.id.to_string(),
        name: location.name.to_string(),
        engine_space: location.engine_space,
        wet: location.wet,
        here: if here.is_empty() { "nothing yet".to_owned() } else { here.join(", ") },
    }
}

fn raceway_row(raceway: &Raceway, job: &Opened, unit: LengthUnit) -> RacewayRow {
    let name =
        |id| job.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string());
    let [one, other] = &raceway.between;
    RacewayRow {
        id: raceway.id.to_string(),
        kind: PASSAGE_KINDS.iter().find(|(kind, _)| *kind == raceway.kind).map_or("", |(_, words)| words),
        way: format!("{} to {}", name(one), name(other)),
        length: raceway.length_m.map(|length| Figure::length(length.number(), unit)),
        bore: raceway.bore_mm.map(|bore| Figure::new(bore, "mm")),
        engine_space: raceway.engine_space,
        pull_string: match raceway.pull_string {
            None => "not looked at",
            Some(PullString::Yes) => "left in place",
            Some(PullString::No) => "none",
            Some(PullString::NotNeeded) => "not needed",
        },
    }
}
