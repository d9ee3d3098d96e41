//! The report for the customer: what the records show about the work, and what the plan says about the boat. It starts
//! with whether the boat can be handed over.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::annex::Annex;
use super::left::{Decision, Punched, Status, decided, punched};
use super::proven::{self, Fed, Proven};
use super::said::{self, Said};
use crate::drawing::boat_plan::Lit;
use crate::job::handover::{ExceptionKind, Topic, claims, mounting_result, setting_result};
use crate::job::plan::{Device, Fate, Setting};
use crate::job::point::{Battery, Body, Point};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::work::Work;
use crate::store::JobId;
use crate::trade::energy::battery::Chemistry;
use crate::trade::working::WorkingText;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::boat_plan::BoatPlan;
use crate::web::parts::letterhead::Letterhead;

#[derive(Template)]
#[template(path = "report/report.html")]
struct Page {
    title_block: TitleBlock,
    shop: String,
    letterhead: Letterhead,
    today: String,
    status: Status,
    judged: Vec<Decision>,
    /// What the records show about the work.
    said: Vec<Said>,
    /// The same about the tests of the circuits.
    tested: Option<String>,
    /// The same about the tests of the feeders.
    feeders_tested: Option<String>,
    facts: Vec<(&'static str, String)>,
    batteries: Vec<BatteryRow>,
    feeders: Vec<Fed>,
    circuits: Vec<Proven>,
    devices: Vec<Placed>,
    /// The boat from above; `None` while no location has a position.
    boat_plan: Option<BoatPlan>,
    came_off: Vec<CameOff>,
    settings: Vec<Set>,
    released: Vec<Decision>,
    spared: Vec<Decision>,
    items: Vec<Punched>,
    /// The workings of the figures, by their numbers.
    annex: Vec<WorkingText>,
    /// A report with long lists has parts.
    paging: Paging,
}

/// A battery.
#[derive(Debug)]
struct BatteryRow {
    name: String,
    location: String,
    made_of: &'static str,
    voltage: String,
    capacity: String,
    cranking: String,
}

/// The equipment at one location.
#[derive(Debug)]
struct Placed {
    location: String,
    devices: Vec<String>,
}

/// Removed equipment with the same fate.
#[derive(Debug)]
struct CameOff {
    fate: Fate,
    things: Vec<String>,
}

/// One setting of a device.
#[derive(Debug)]
struct Set {
    device: String,
    name: String,
    value: Option<String>,
    by: String,
}

impl Page {
    fn is_gasoline_possible(&self) -> bool {
        self.facts.iter().any(|(name, value)| *name == "Fuel" && value != "diesel" && value != "electric")
    }
}

/// The report of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let bench = Bench::new(&frame, &job, String::new());
    let mut annex = Annex::default();
    let (circuits, of_circuits) = proven::circuits(&bench, &mut annex);
    let (feeders, of_feeders) = proven::feeders(&bench, &mut annex);
    let (work, claims) = (&bench.work, claims(&job, &bench.work));
    let decided = |kinds: &[ExceptionKind]| decided(&job, work, &frame, kinds);
    let (judged, of_judged) = decided(&[ExceptionKind::Judged]);
    let (released, of_released) = decided(&[ExceptionKind::Released]);
    let (spared, of_spared) = decided(&[ExceptionKind::Waived, ExceptionKind::NotNeeded]);
    let (batteries, of_batteries) = batteries(&job, work, &frame);
    let (devices, of_devices) = devices(&job, work, &frame);
    let (came_off, of_removed) = came_off(&job, &frame);
    let (settings, of_settings) = settings(&job, work, &frame);
    let (items, of_items) = punched(&job, work, &frame);
    let status = Status::of(&frame, &job, work);
    let others = [of_circuits, of_feeders, of_judged, of_released, of_spared, of_batteries, of_devices];
    let others = others.into_iter().chain([of_removed, of_settings, of_items]);
    let paging = others.fold(status.paging.clone(), Paging::longer);
    let page = Page {
        letterhead: Letterhead::of(&app, &frame).await?,
        shop: frame.shop.as_ref().map_or_else(String::new, |shop| shop.name.to_string()),
        today: frame.today().to_string(),
        status,
        judged,
        released,
        spared,
        items,
        paging,
        said: said::rows(&claims, &frame),
        tested: said::sentence(&claims, Topic::Circuits),
        feeders_tested: said::sentence(&claims, Topic::Feeders),
        facts: facts(&job, frame.length_unit()),
        batteries,
        feeders,
        circuits,
        devices,
        boat_plan: BoatPlan::where_locations_are(&job, &Lit::default()),
        came_off,
        settings,
        annex: annex.workings(),
        title_block: job.title_block(frame.clone(), Tab::Report),
    };
    html(&page)
}

fn facts(job: &Opened, unit: LengthUnit) -> Vec<(&'static str, String)> {
    let (head, boat) = (&job.plan.job, &job.plan.boat);
    let unknown = || "not known".to_owned();
    vec![
        ("Boat", boat.name.to_string()),
        ("Length overall", unit.said(boat.length_m.number())),
        ("Customer", job.plan.customer.as_ref().map_or_else(unknown, |customer| customer.name.to_string())),
        ("Job", head.name.to_string()),
        ("Came in", head.received_on.map_or_else(unknown, |day| day.to_string())),
        ("System", format!("{} V direct current", head.nominal_v)),
        ("Rules of the plan", head.rules.words().to_owned()),
        ("Fuel", boat.fuel.and_then(crate::web::kit::form::word).unwrap_or_else(unknown)),
    ]
}

fn batteries(job: &Opened, work: &Work<'_>, frame: &Frame) -> (Vec<BatteryRow>, Paging) {
    let unknown = || "not known".to_owned();
    let batteries = job.plan.points.iter().filter_map(|point| match &point.body {
        Body::Battery(battery) => Some((point, battery)),
        _ => None,
    });
    let batteries: Vec<(&Point, &Battery)> = batteries.collect();
    let (shown, paging) = page_of(&batteries, frame);
    let rows = shown
        .iter()
        .map(|(point, battery)| BatteryRow {
            name: with_note(
                point.called(),
                mounting_result(work, &Subject::new(SubjectKind::Point, &point.id)),
            ),
            location: job
                .plan
                .location(&point.location)
                .map_or_else(String::new, |location| location.name.to_string()),
            made_of: battery.chemistry.map_or("not known", made_of),
            voltage: format!("{} V at rest", battery.open_circuit_v),
            capacity: battery.capacity_ah.map_or_else(unknown, |capacity| format!("{capacity} Ah")),
            cranking: battery
                .cranking_a
                .map_or_else(String::new, |amperes| format!("{amperes} A cold cranking")),
        })
        .collect();
    (rows, paging)
}

fn made_of(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "flooded lead-acid",
        Chemistry::Gel => "gel lead-acid",
        Chemistry::Agm => "AGM lead-acid",
        Chemistry::Lifepo4 => "lithium iron phosphate",
    }
}

/// A name with a note in parentheses.
fn with_note(name: &str, note: Option<&str>) -> String {
    note.map_or_else(|| name.to_owned(), |note| format!("{name} ({note})"))
}

fn devices(job: &Opened, work: &Work<'_>, frame: &Frame) -> (Vec<Placed>, Paging) {
    let mut devices: Vec<&Device> = job.plan.devices.iter().collect();
    devices.sort_by_key(|device| job.plan.locations.position(device.location.as_str()));
    let (shown, paging) = page_of(&devices, frame);
    let said = |device: &&Device| {
        let kept = device.kept.then_some("kept from before");
        let mounting = mounting_result(work, &Subject::new(SubjectKind::Device, &device.id));
        let notes: Vec<&str> = kept.into_iter().chain(mounting).collect();
        with_note(device.name.as_str(), (!notes.is_empty()).then(|| notes.join("; ")).as_deref())
    };
    let placed = shown.chunk_by(|one, other| one.location == other.location).filter_map(|devices| {
        let location = job.plan.location(&devices.first()?.location)?;
        Some(Placed { location: location.name.to_string(), devices: devices.iter().map(said).collect() })
    });
    (placed.collect(), paging)
}

fn came_off(job: &Opened, frame: &Frame) -> (Vec<CameOff>, Paging) {
    let (shown, paging) = page_of(&job.plan.removed, frame);
    let of = |fate| {
        let removed = shown.iter().filter(move |removed| removed.fate == fate);
        CameOff { fate, things: removed.map(|removed| removed.name.to_string()).collect() }
    };
    (Fate::ALL.map(of).into_iter().filter(|came_off| !came_off.things.is_empty()).collect(), paging)
}

fn settings(job: &Opened, work: &Work<'_>, frame: &Frame) -> (Vec<Set>, Paging) {
    let devices = job.plan.devices.iter();
    let all = devices.flat_map(|device| (1_usize..).zip(&device.settings).map(move |own| (device, own)));
    let all: Vec<(&Device, (usize, &Setting))> = all.collect();
    let (shown, paging) = page_of(&all, frame);
    let set = |(device, (number, setting)): &(&Device, (usize, &Setting))| Set {
        device: device.name.to_string(),
        name: setting.name.to_string(),
        value: setting.value.as_ref().map(ToString::to_string),
        by: setting_result(work, Subject::new(SubjectKind::Setting, format!("{}-{number}", device.id))),
    };
    (shown.iter().map(set).collect(), paging)
}
