//! A circuit's page: its facts, its figures, its history and its readings.

use askama::Template;
use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};

use super::figured::Figured;
use super::stops::StopRow;
use super::story::{self, PhaseSteps};
use super::what_if::WhatIf;
use super::{figures, path};
use crate::drawing::svg::Drawing;
use crate::job::finding::Finding;
use crate::job::plan::{Circuit, Wiring};
use crate::job::routing::RunReport;
use crate::job::run::PieceId;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::FeederId;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::store::log::{self, LogLine};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::measured::Measured;
use crate::web::parts::open_item::FoundHere;
use crate::web::parts::wire_row::{self, WireRow};
use crate::web::parts::wires;

#[derive(Template)]
#[template(path = "circuit/show.html")]
struct Page {
    title_block: TitleBlock,
    edit: Option<String>,
    neighbors: Neighbors,
    facts: Vec<PlanFact>,
    figures: Vec<Figured>,
    path: Option<Drawing>,
    /// The stops of the drawing as figures.
    stops: Vec<StopRow>,
    wires: Vec<WireRow>,
    findings: Vec<FindingPiece>,
    what_if: WhatIf,
    measured: Measured,
    found: FoundHere,
    chapters: Vec<PhaseSteps>,
    happened: Vec<Happened>,
}

/// The circuits or feeders before and after this one.
#[derive(Debug, Default)]
pub struct Neighbors {
    /// Address and name of the previous one.
    pub before: Option<(String, String)>,
    /// Address and name of the next one.
    pub after: Option<(String, String)>,
}

/// One fact of the plan, with links to more about it.
#[derive(Debug)]
pub struct PlanFact {
    /// Its name.
    pub name: &'static str,
    /// The text in pieces, each with its link.
    pub said: Vec<(String, Option<String>)>,
}

impl PlanFact {
    /// The feeder whose protection protects something else as well.
    pub fn protected_by(job: &Opened, id: &FeederId) -> Self {
        let said = format!("the protection of feeder {id}");
        Self { name: "Protected by", said: vec![(said, Some(format!("{}/feeders/{id}", job.href())))] }
    }
}

/// How many log lines the page searches.
const LOOKS_BACK: u32 = 2000;
/// How many log lines it shows.
const SHOWN: usize = 30;

/// The page of a circuit. If its address has what-if values, the page also shows their effect.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, circuit)): Path<(JobId, String)>,
    RawQuery(query): RawQuery,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let asked = query.filter(|query| !query.is_empty()).map(|query| asked(&query)).transpose()?;
    let what_if = WhatIf::new(&frame, &app, &job, find(&job, &circuit)?, asked).await?;
    let status = if what_if.is_refused() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((status, page(frame, &app, &job, &circuit, what_if).await?).into_response())
}

/// The page with its what-if part.
pub async fn page(
    frame: Frame,
    app: &AppState,
    job: &Opened,
    circuit: &str,
    what_if: WhatIf,
) -> Result<Html<String>, Error> {
    let circuit = find(job, circuit)?;
    let here = format!("{}/circuits/{}", job.href(), circuit.id);
    let own_page = here.clone();
    let lines = log::of_job(&mut *app.store().read().await?, job.id, None, LOOKS_BACK).await?;
    let bench = Bench::new(&frame, job, here);
    let unit = frame.length_unit();
    let report = job.report.circuits.get(&circuit.id);
    let (path, stops) = report
        .and_then(|report| path::of(job, circuit, report, unit))
        .map(|along| (along.drawn.draw(), along.rows))
        .unzip();
    let page = Page {
        edit: frame.may(Permission::Plan).then(|| format!("{}/plan/circuits/{}", job.href(), circuit.id)),
        neighbors: neighbors(job, circuit),
        facts: facts(job, circuit),
        figures: computed(job, circuit, unit),
        stops: stops.unwrap_or_default(),
        path,
        wires: job
            .conductors
            .of_circuit(&circuit.id)
            .iter()
            .map(|conductor| wire_row::row(&bench, conductor))
            .collect(),
        findings: findings(job, circuit)
            .into_iter()
            .map(|finding| FindingPiece::new(finding, &job.href(), job.units))
            .collect(),
        measured: measured(&bench, circuit),
        found: FoundHere::on(&bench, &Subject::new(SubjectKind::Circuit, &circuit.id), &own_page),
        chapters: story::chapters(&bench, own_steps(job, circuit)),
        happened: happened(&frame, &lines, circuit),
        what_if,
        title_block: titled(job, frame, circuit),
    };
    html(&page)
}

/// The circuit with this id.
///
/// # Errors
/// There is none.
pub fn find<'j>(job: &'j Opened, id: &str) -> Result<&'j Circuit, Error> {
    job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == id).ok_or(Error::NotFound("circuit"))
}

fn titled(job: &Opened, frame: Frame, circuit: &Circuit) -> TitleBlock {
    let title_block = job.title_block(frame, Tab::Circuits);
    TitleBlock { title: circuit.name_and_label(), ..title_block }
}

fn asked(query: &str) -> Result<Form, Error> {
    let pairs: Vec<(String, String)> = serde_urlencoded::from_str(query)
        .map_err(|_| Error::BadRequest("The address could not be read.".to_owned()))?;
    Ok(Form::filled(pairs.iter().map(|(name, value)| (name.as_str(), value))))
}

fn neighbors(job: &Opened, circuit: &Circuit) -> Neighbors {
    let circuits = &job.plan.circuits;
    let at = circuits.iter().position(|other| other.id == circuit.id);
    let link = |index: Option<usize>| {
        let other = circuits.get(index?)?;
        Some((format!("{}/circuits/{}", job.href(), other.id), other.name_and_label()))
    };
    Neighbors { before: link(at.and_then(|at| at.checked_sub(1))), after: link(at.map(|at| at + 1)) }
}

/// The steps of a circuit, without those of feeders it shares with others.
fn own_steps<'j>(job: &'j Opened, circuit: &'j Circuit) -> impl Iterator<Item = &'j Step> {
    job.steps.of_circuit(&circuit.id).filter(|step| step.key.subject.kind != SubjectKind::Feeder)
}

/// The findings about a circuit and its conductors, the worst first.
pub fn findings<'j>(job: &'j Opened, circuit: &Circuit) -> Vec<&'j Finding> {
    let conductors = job.conductors.of_circuit(&circuit.id);
    let own = |subject: &Subject| match subject.kind {
        SubjectKind::Circuit => subject.id == circuit.id.as_str(),
        SubjectKind::Conductor => conductors.iter().any(|conductor| conductor.id.as_str() == subject.id),
        _ => false,
    };
    job.findings().iter().filter(|finding| own(&finding.subject)).collect()
}

fn computed(job: &Opened, circuit: &Circuit, unit: LengthUnit) -> Vec<Figured> {
    let report = job.report.circuits.get(&circuit.id);
    report.map(|report| figures::of_circuit(report, findings(job, circuit), unit)).unwrap_or_default()
}

/// The readings of a circuit, and the form for a new one.
fn measured(bench: &Bench<'_>, circuit: &Circuit) -> Measured {
    let back = format!("{}/circuits/{}#measured-{}", bench.job.href(), circuit.id, circuit.id);
    Measured::new(bench, circuit, back, Form::default(), false)
}

fn happened(frame: &Frame, lines: &[LogLine], circuit: &Circuit) -> Vec<Happened> {
    let mut happened = story::about(lines, frame, SubjectKind::Circuit, circuit.id.as_str());
    happened.truncate(SHOWN);
    happened
}

fn facts(job: &Opened, circuit: &Circuit) -> Vec<PlanFact> {
    let plan = &job.plan;
    let point = |id: &crate::job::value::PointId| {
        let name = plan.point(id).map_or(id.as_str(), |point| point.called());
        (name.to_owned(), Some(format!("{}/plan/points#{id}", job.href())))
    };
    let device = |id: &crate::job::value::DeviceId| {
        let device = plan.device(id);
        let location =
            device.and_then(|device| plan.location(&device.location)).map(|location| location.name.as_str());
        let name = device.map_or(id.as_str(), |device| device.name.as_str());
        let said = location.map_or_else(|| name.to_owned(), |location| format!("{name}, {location}"));
        (said, Some(format!("{}/plan/devices#{id}", job.href())))
    };
    let plain = |text: String| vec![(text, None)];
    let switch = wires::switch(plan, circuit).map(|label| (label, None));
    let mut facts = vec![
        PlanFact { name: "Feeds", said: circuit.devices().map(device).collect() },
        PlanFact { name: "Fed from", said: vec![point(&circuit.from)] },
        PlanFact { name: "Return", said: vec![point(&circuit.r#return)] },
    ];
    facts.extend(switch.map(|said| PlanFact { name: "Switch", said: vec![said] }));
    facts
        .extend(circuit.junction.as_ref().map(|id| PlanFact { name: "Junction bar", said: vec![point(id)] }));
    if circuit.legs.len() > 1 {
        facts.push(PlanFact { name: "Wired", said: plain(wired(circuit.wiring).to_owned()) });
    }
    facts.push(PlanFact { name: "Insulation", said: plain(format!("{} \u{b0}C", circuit.insulation_c)) });
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    facts.extend(ways(job, &subject));
    facts.extend(
        bundle(job, circuit.bundle, &subject)
            .map(|said| PlanFact { name: "In a bundle of", said: plain(said) }),
    );
    if circuit.jacketed {
        facts.push(PlanFact { name: "Covered", said: plain("in a jacket".to_owned()) });
    }
    let protected_by =
        job.report.circuits.get(&circuit.id).and_then(|report| report.conductor.protected_by.as_ref());
    facts.extend(protected_by.map(|id| PlanFact::protected_by(job, id)));
    facts
}

/// The routes of its runs, each with a link that highlights it.
pub fn ways(job: &Opened, subject: &Subject) -> Option<PlanFact> {
    let way = |(id, run): (&PieceId, &RunReport)| {
        let by = run.raceways.iter().map(|raceway| raceway.as_str()).collect::<Vec<_>>().join(", ");
        let said = if by.is_empty() { format!("{id}: {}", run.why) } else { format!("{id} by {by}") };
        (said, Some(format!("{}/routes?run={id}", job.href())))
    };
    let said: Vec<_> = job.report.routes.of(subject).map(way).collect();
    (!said.is_empty()).then_some(PlanFact { name: "Route", said })
}

/// How many current-carrying conductors are bundled, as given or by the routes.
fn bundle(job: &Opened, given: Option<u16>, subject: &Subject) -> Option<String> {
    let shared =
        || job.report.routes.of(subject).map(|(_, run)| run.company).filter(|count| *count > 0).max();
    given.map(|count| count.to_string()).or_else(|| shared().map(|count| format!("{count}, by its route")))
}

fn wired(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::Chain => "one pair from device to device",
        Wiring::HomeRuns => "a pair for each device",
    }
}
