//! A job's overview: its status, its findings, the boat, and the latest activity.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::drawing::boat_plan::Lit;
use crate::job::phase::Phase;
use crate::job::plan::{Engine, Fuel};
use crate::job::steps::Step;
use crate::job::value::LocationId;
use crate::job::work::Work;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::finding::Level;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{PhaseCell, Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::activity;
use crate::web::parts::boat_plan::BoatPlan;
use crate::web::parts::finding::{FindingPiece, LevelMark};
use crate::web::parts::reason::LinkedReason;

#[derive(Template)]
#[template(path = "job/overview.html")]
struct Page {
    title_block: TitleBlock,
    job: Opened,
    may_plan: bool,
    may_close: bool,
    /// The boat from above; `None` while no location has a position.
    boat_plan: Option<BoatPlan>,
    cells: Vec<PhaseCell>,
    held_by: Vec<LinkedReason>,
    /// What to say if nothing holds it.
    nothing_holds: String,
    facts: Vec<Fact>,
    happened: Vec<Happened>,
}

struct Fact {
    name: &'static str,
    value: Value,
}

enum Value {
    Figure(Figure),
    Text(String),
    Missing,
}

/// How many findings and log lines the overview shows; the others are on their own pages.
const SHOWN: usize = 8;
/// How many reasons are shown at once; the others open on demand.
const HELD_SHOWN: usize = 12;

impl Page {
    fn levels(&self) -> [(LevelMark, usize); 3] {
        [Level::Stop, Level::Fix, Level::Note].map(|level| (LevelMark(level), self.job.count(level)))
    }

    fn findings(&self) -> Vec<FindingPiece> {
        let shown = self.job.findings().iter().take(SHOWN);
        shown.map(|finding| FindingPiece::new(finding, &self.job.href(), self.job.units)).collect()
    }

    fn findings_left(&self) -> usize {
        self.job.findings().len().saturating_sub(SHOWN)
    }

    fn current(&self) -> Option<Phase> {
        self.job.current_phase()
    }

    /// What holds it: the worst, and the rest.
    fn held(&self) -> (&[LinkedReason], &[LinkedReason]) {
        self.held_by.split_at(self.held_by.len().min(HELD_SHOWN))
    }

    /// The number of things of each kind in the plan, with their page.
    fn counts(&self) -> [(&'static str, usize, String); 6] {
        let plan = &self.job.plan;
        [
            (Tab::Locations, plan.locations.len()),
            (Tab::Points, plan.points.len()),
            (Tab::Feeders, plan.feeders.len()),
            (Tab::Devices, plan.devices.len()),
            (Tab::Circuits, plan.circuits.len()),
            (Tab::Modes, plan.modes.len()),
        ]
        .map(|(tab, count)| (tab.title(), count, format!("{}{}", self.job.href(), tab.path())))
    }
}

/// The overview of one job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let work = job.work();
    let summary = work.summary();
    let page = Page {
        may_plan: frame.may(Permission::Plan),
        may_close: frame.may(Permission::Close),
        boat_plan: boat_plan(&job, &work),
        cells: job.strip(None).cells,
        held_by: summary.reasons().iter().map(|reason| LinkedReason::of(&job.href(), reason)).collect(),
        nothing_holds: summary.without_lines(),
        facts: facts(&job, frame.length_unit()),
        happened: activity::latest(&job, SHOWN, &frame),
        title_block: job.title_block(frame, Tab::Overview),
        job,
    };
    html(&page)
}

/// The boat plan, which highlights locations with open steps in the current phase.
fn boat_plan(job: &Opened, work: &Work<'_>) -> Option<BoatPlan> {
    let open = job.current_phase().into_iter().flat_map(|phase| work.open_in(phase));
    let locations = open.flat_map(|step| locations_of(job, step)).collect();
    BoatPlan::where_locations_are(job, &Lit { locations, ..Lit::default() })
}

/// Where a step is done: at its location, or at the devices of its circuits.
fn locations_of(job: &Opened, step: &Step) -> Vec<LocationId> {
    if let Some(location) = &step.location {
        return vec![location.clone()];
    }
    let circuits = step.circuits.iter().filter_map(|id| job.plan.circuit(id));
    let devices = circuits.flat_map(|circuit| circuit.devices()).filter_map(|id| job.plan.device(id));
    devices.map(|device| device.location.clone()).collect()
}

fn facts(job: &Opened, unit: LengthUnit) -> Vec<Fact> {
    let (head, boat, customer) = (&job.plan.job, &job.plan.boat, job.plan.customer.as_ref());
    let figure = |number: f64, unit| Value::Figure(Figure::new(number, unit));
    let length = |meters: f64| Value::Figure(Figure::length(meters, unit));
    let text = |text: Option<String>| text.map_or(Value::Missing, Value::Text);
    [
        ("Length overall", length(boat.length_m.number())),
        ("Beam", boat.beam_m.map_or(Value::Missing, |beam| length(beam.number()))),
        ("Fuel", text(boat.fuel.map(fuel))),
        ("Propane", text(boat.propane.map(propane))),
        ("Engine", text(boat.engine.map(engine))),
        ("Sails", Value::Text(if boat.sails { "Carried" } else { "None" }.to_owned())),
        ("Top speed", boat.top_speed_kn.map_or(Value::Missing, |speed| figure(speed.number(), "kn"))),
        ("Voltage", figure(head.nominal_v.number(), "V")),
        ("Rules", Value::Text(head.rules.words().to_owned())),
        ("Ambient", figure(head.ambient_c.number(), "°C")),
        ("Customer", text(customer.map(|customer| customer.name.to_string()))),
        (
            "Customer’s contact",
            text(customer.and_then(|customer| Some(customer.contact.as_ref()?.to_string()))),
        ),
        ("Came in", text(head.received_on.map(|day| day.to_string()))),
        ("Promised", text(head.promised_on.map(|day| day.to_string()))),
    ]
    .map(|(name, value)| Fact { name, value })
    .into()
}

fn fuel(fuel: Fuel) -> String {
    match fuel {
        Fuel::Gasoline => "Gasoline: ignition-protected parts",
        Fuel::Diesel => "Diesel",
        Fuel::Electric => "Electric",
    }
    .to_owned()
}

fn propane(is_aboard: bool) -> String {
    if is_aboard { "Aboard: ignition-protected parts" } else { "Not aboard" }.to_owned()
}

fn engine(engine: Engine) -> String {
    match engine {
        Engine::Outboard => "Outboard",
        Engine::Inboard => "Inboard",
        Engine::None => "None",
    }
    .to_owned()
}
