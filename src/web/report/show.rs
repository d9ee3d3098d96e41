//! The finished-job report: what was fitted, its tests, its settings and releases. If the job is not finished, the
//! report starts with that and with what is open.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::annex::Annex;
use super::left::{self, ReleasedItem, Spared, Unfinished};
use super::proven::{self, Fed, Proven};
use crate::drawing::boat_plan::Lit;
use crate::job::phase::Phase;
use crate::job::plan::{Device, Fate};
use crate::job::point::Body;
use crate::job::step::{Action, StepKey};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::work::{StepCount, StepState};
use crate::store::JobId;
use crate::trade::energy::battery::Chemistry;
use crate::trade::working::WorkingText;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
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
    unfinished: Option<Unfinished>,
    facts: Vec<(&'static str, String)>,
    batteries: Vec<BatteryRow>,
    feeders: Vec<Fed>,
    circuits: Vec<Proven>,
    devices: Vec<Placed>,
    /// The boat from above; `None` while no location has a position.
    boat_plan: Option<BoatPlan>,
    came_off: Vec<CameOff>,
    phases: Vec<(Phase, StepCount)>,
    settings: Vec<Set>,
    passed: Vec<ReleasedItem>,
    judged: Vec<ReleasedItem>,
    spared: Vec<Spared>,
    /// The workings of the figures, by their numbers.
    annex: Vec<WorkingText>,
}

/// A fitted battery.
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
    fn proven(&self) -> usize {
        self.circuits.iter().filter(|circuit| circuit.proven).count()
    }

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
    let circuits = proven::circuits(&bench, &mut annex);
    let feeders = proven::feeders(&bench, &mut annex);
    let page = Page {
        letterhead: Letterhead::of(&app, &frame).await?,
        shop: frame.shop.as_ref().map_or_else(String::new, |shop| shop.name.to_string()),
        today: frame.today().to_string(),
        unfinished: Unfinished::of(&job),
        facts: facts(&job, frame.length_unit()),
        batteries: batteries(&job),
        feeders,
        circuits,
        devices: devices(&job),
        boat_plan: BoatPlan::where_locations_are(&job, &Lit::default()),
        came_off: came_off(&job),
        phases: Phase::ALL.map(|phase| (phase, bench.work.phase(phase))).into(),
        settings: settings(&job),
        passed: left::passed(&job, &frame),
        judged: left::judged(&job, &frame),
        spared: left::spared(&job),
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
        ("Wired to", head.rules.words().to_owned()),
        ("Fuel", boat.fuel.and_then(crate::web::kit::form::word).unwrap_or_else(unknown)),
    ]
}

fn batteries(job: &Opened) -> Vec<BatteryRow> {
    let unknown = || "not known".to_owned();
    let batteries = job.plan.points.iter().filter_map(|point| match &point.body {
        Body::Battery(battery) => Some((point, battery)),
        _ => None,
    });
    batteries
        .map(|(point, battery)| BatteryRow {
            name: point.called().to_owned(),
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
        .collect()
}

fn made_of(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "flooded lead-acid",
        Chemistry::Gel => "gel lead-acid",
        Chemistry::Agm => "AGM lead-acid",
        Chemistry::Lifepo4 => "lithium iron phosphate",
    }
}

fn devices(job: &Opened) -> Vec<Placed> {
    let at = |id| job.plan.devices.iter().filter(move |device: &&Device| device.location == id);
    let said = |device: &Device| match device.kept {
        true => format!("{} (kept from before)", device.name),
        false => device.name.to_string(),
    };
    let placed = job.plan.locations.iter().map(|location| Placed {
        location: location.name.to_string(),
        devices: at(location.id.clone()).map(said).collect(),
    });
    placed.filter(|placed| !placed.devices.is_empty()).collect()
}

fn came_off(job: &Opened) -> Vec<CameOff> {
    let of = |fate| {
        let removed = job.plan.removed.iter().filter(move |removed| removed.fate == fate);
        CameOff { fate, things: removed.map(|removed| removed.name.to_string()).collect() }
    };
    Fate::ALL.map(of).into_iter().filter(|came_off| !came_off.things.is_empty()).collect()
}

fn settings(job: &Opened) -> Vec<Set> {
    let work = job.work();
    let of = |device: &Device| {
        let numbered = device.settings.iter().enumerate();
        numbered
            .map(|(index, setting)| {
                let subject = Subject::new(SubjectKind::Setting, format!("{}-{}", device.id, index + 1));
                let standing = work.status(&StepKey { subject, action: Action::Set });
                let by = standing.last().map(|tick| tick.by.to_string()).unwrap_or_default();
                Set {
                    device: device.name.to_string(),
                    name: setting.name.to_string(),
                    value: setting.value.as_ref().map(ToString::to_string),
                    by: match standing.state {
                        StepState::Done => by,
                        StepState::NotNeeded => "not needed".to_owned(),
                        StepState::Open => "not set yet".to_owned(),
                    },
                }
            })
            .collect::<Vec<_>>()
    };
    job.plan.devices.iter().flat_map(of).collect()
}
