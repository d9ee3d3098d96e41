//! What the readings show: the likeliest place of a fault, where to look first, and what was repaired.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use uuid::Uuid;

use crate::job::diagnose::{DiagnosisReport, Explained, LikelyFault, Suspect, Told, diagnose};
use crate::job::event::Repair;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::CircuitId;
use crate::shop::role::Permission;
use crate::store::{JobId, record};
use crate::trade::quantity::Quantity;
use crate::trade::say::capital;
use crate::trade::source::{CIRCUIT_LAWS, LEAST_SQUARES};
use crate::trade::working::{Working, figure};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::once;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::linked::Linked;
use crate::web::parts::undo_button::UndoButton;
use crate::web::parts::workings::WorkingPiece;

#[derive(Template)]
#[template(path = "phases/diagnosis.html")]
struct Page {
    title_block: TitleBlock,
    lead: String,
    signs: Vec<Sign>,
    explanations: Vec<Explanation>,
    unseen: Vec<String>,
    without_current: Vec<Linked>,
    repaired: Vec<Repaired>,
    circuits: Vec<(String, String)>,
    form: Form,
    event: Uuid,
    action: String,
    may: bool,
}

/// A conclusion that needs no calculation.
#[derive(Debug)]
struct Sign {
    text: String,
    circuits: Vec<Linked>,
    look: Vec<String>,
}

/// One set of parts that together explain the readings.
#[derive(Debug)]
struct Explanation {
    number: usize,
    share: String,
    working: WorkingPiece,
    faults: Vec<Place>,
}

/// One place with its excess resistance.
#[derive(Debug)]
struct Place {
    spots: Vec<(String, Option<String>, String)>,
    circuits: Vec<Linked>,
    costs: String,
    working: Option<WorkingPiece>,
    look: Vec<String>,
}

/// A fault that was repaired.
#[derive(Debug)]
struct Repaired {
    circuit: Linked,
    place: String,
    found: String,
    by: String,
    at: String,
    undo: Option<UndoButton>,
}

/// The diagnosis of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    page(frame, &job, Form::default())
}

/// Records what was found and repaired, or answers with the page and the error.
pub async fn repair(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let id = once::event(&form, "event")?;
    let job = Opened::load(&app, job).await?;
    let back = back::path(form.typed("back")).to_owned();
    let at = once::when(&form, &job, app.now());
    if job.history.repairs.iter().any(|repair| repair.id == id) {
        return Ok(Redirect::to(&back).into_response());
    }
    let circuit: Option<CircuitId> = form.required("circuit");
    let place = form.required("where");
    let found = form.required("found");
    if circuit.as_ref().is_some_and(|id| job.plan.circuit(id).is_none()) {
        form.refuse("circuit", "Choose one of this job\u{2019}s circuits.");
    }
    let (Some(()), Some(circuit), Some(r#where), Some(found)) = (form.sound(), circuit, place, found) else {
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(frame, &job, form)?).into_response());
    };
    let by = user.name().clone();
    keep(&app, &user, job.id, &Repair { id, circuit, r#where, found, by, at }).await?;
    Ok(Redirect::to(&back).into_response())
}

async fn keep(app: &AppState, user: &CurrentUser, job: JobId, repair: &Repair) -> Result<(), Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job, repair).await?;
    Ok(write.commit().await?)
}

/// What a job's readings show; `None` if its network cannot be built.
pub fn answer(bench: &Bench<'_>) -> Option<DiagnosisReport> {
    let job = bench.job;
    let meter = bench.expected().meter()?;
    Some(diagnose(&job.plan, &job.conductors, meter, &bench.work))
}

/// What the diagnosis says about one circuit, in short.
pub fn in_short(answer: &DiagnosisReport, circuit: &CircuitId) -> Vec<String> {
    let (signs, faults) = answer.of_circuit(circuit);
    let signs = signs.into_iter().map(|told| format!("{}.", capital(&told.text)));
    let faults = faults.into_iter().map(|fault| {
        let most = fault.spots.iter().filter_map(|spot| spot.milliohm).fold(0.0, f64::max);
        let names: Vec<&str> = fault.spots.iter().map(|spot| spot.name.as_str()).take(2).collect();
        let more = fault.spots.len().saturating_sub(2);
        let more = if more > 0 { format!(" or {more} more") } else { String::new() };
        format!(
            "About {most:.0} m\u{3a9} too much at {}{more}: {} first.",
            names.join(" or "),
            fault.look.first().map_or("look", String::as_str)
        )
    });
    signs.chain(faults).collect()
}

fn page(frame: Frame, job: &Opened, form: Form) -> Result<Html<String>, Error> {
    let bench = Bench::new(&frame, job, format!("{}/diagnosis", job.href()));
    let answer = answer(&bench);
    let lead = lead(answer.as_ref());
    let answer = answer.unwrap_or_default();
    let mut repaired: Vec<&Repair> = job.history.repairs.iter().collect();
    repaired.sort_by_key(|repair| std::cmp::Reverse((repair.at, repair.id)));
    let page = Page {
        lead,
        signs: answer.signs.iter().map(|told| sign(job, told)).collect(),
        explanations: answer
            .explanations
            .iter()
            .zip(1..)
            .map(|(one, number)| explanation(job, one, number))
            .collect(),
        unseen: answer.unseen.iter().map(|spot| spot.name.clone()).collect(),
        without_current: answer.without_current.iter().map(|id| linked(job, id)).collect(),
        repaired: repaired.into_iter().map(|repair| shown(&frame, job, repair)).collect(),
        circuits: job.plan.circuits.iter().map(|one| (one.id.to_string(), one.name_and_label())).collect(),
        form,
        event: Uuid::now_v7(),
        action: format!("{}/repairs", job.href()),
        may: frame.may(Permission::Tick),
        title_block: job.title_block(frame.clone(), Tab::Diagnosis),
    };
    html(&page)
}

fn lead(answer: Option<&DiagnosisReport>) -> String {
    match answer {
        None => "The network has no solution. The findings say why. Without a solution no fault can be located.".to_owned(),
        Some(answer) if answer.readings == 0 => {
            "No reading yet. Measure circuits in the power-up test: the more of them share a feeder or a negative, the better a fault can be located.".to_owned()
        }
        Some(answer) if answer.is_clear() => {
            format!("{} readings, none of them off by more than the meter’s error.", answer.readings)
        }
        Some(answer) => format!("From {} readings, the latest at each load since its wire was last repaired.", answer.readings),
    }
}

fn linked(job: &Opened, id: &CircuitId) -> Linked {
    Linked::to(job, &Subject::new(SubjectKind::Circuit, id))
}

fn sign(job: &Opened, told: &Told) -> Sign {
    Sign {
        text: capital(&told.text),
        circuits: told.circuits.iter().map(|id| linked(job, id)).collect(),
        look: told.look.iter().map(|text| capital(text)).collect(),
    }
}

fn explanation(job: &Opened, one: &Explained, number: usize) -> Explanation {
    let percent = 100.0 * one.share;
    let share = if percent < 1.0 { "less than 1 %".to_owned() } else { format!("{percent:.0} %") };
    let working = Working {
        what: Quantity::Likelihood,
        formula: "excess resistances by least squares; e^(-chi-squared / 2) over the sum of that of all explanations",
        numbers: format!("chi-squared of all readings: {}", figure(one.amiss)).into(),
        result: share.clone().into(),
        source: &LEAST_SQUARES,
    };
    let faults = one.faults.iter().map(|fault| place(job, fault)).collect();
    Explanation { number, share, working: WorkingPiece::new(&working, job.units), faults }
}

/// The working of the extra drop of an excess resistance. Its current follows from the drop and the resistance.
fn cost(fault: &LikelyFault) -> Option<Working> {
    let excess = fault.spots.first()?.milliohm.filter(|excess| *excess > 0.0)?;
    Some(Working {
        what: Quantity::ExtraDrop,
        formula: "excess resistance x current through it, on the circuit with the largest extra drop",
        numbers: format!("{} mohm x {} A", figure(excess), figure(1000.0 * fault.costs_v / excess)).into(),
        result: format!("{} V", figure(fault.costs_v)).into(),
        source: &CIRCUIT_LAWS,
    })
}

fn place(job: &Opened, fault: &LikelyFault) -> Place {
    Place {
        spots: fault.spots.iter().map(|spot| named(job, spot)).collect(),
        circuits: fault.circuits.iter().map(|id| linked(job, id)).collect(),
        costs: format!("{:.1} V", fault.costs_v),
        working: cost(fault).map(|working| WorkingPiece::new(&working, job.units)),
        look: fault.look.iter().map(|text| capital(text)).collect(),
    }
}

fn named(job: &Opened, spot: &Suspect) -> (String, Option<String>, String) {
    let href = match sheet_of(&spot.subject) {
        Some(path) => Some(format!("{}{path}", job.href())),
        None => job.conductors.get(&spot.subject.id).map(|wire| match &wire.of {
            crate::job::conductor::Of::Circuit(id) => format!("{}/circuits/{id}", job.href()),
            crate::job::conductor::Of::Feeder(id) => format!("{}/feeders/{id}", job.href()),
        }),
    };
    let ohms = spot.milliohm.map_or_else(String::new, |excess| format!("{excess:.0} m\u{3a9}"));
    (capital(&spot.name), href, ohms)
}

fn shown(frame: &Frame, job: &Opened, repair: &Repair) -> Repaired {
    Repaired {
        circuit: linked(job, &repair.circuit),
        place: repair.r#where.to_string(),
        found: repair.found.to_string(),
        undo: UndoButton::new(
            frame,
            job,
            (repair.id, repair.by.as_str()),
            &format!("{}/diagnosis", job.href()),
            repair.found.as_str(),
        )
        .map(UndoButton::onward),
        by: repair.by.to_string(),
        at: frame.moment(repair.at),
    }
}
