//! A reading: the meter's values at a circuit's source and load. Measuring again makes another reading.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use uuid::Uuid;

use super::show;
use super::unread;
use crate::job::event::{History, Reading};
use crate::job::meter;
use crate::job::plan::Circuit;
use crate::job::step::StepKey;
use crate::job::work::{Work, test_of};
use crate::store::JobId;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, keep, once};
use crate::web::parts::bench::Bench;
use crate::web::parts::expected::Expectations;
use crate::web::parts::measured::TypedReading;

/// Records a reading, or answers with the test's page and the error.
pub async fn take(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, circuit)): Path<(JobId, String)>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let circuit =
        job.plan.circuits.iter().find(|one| one.id.as_str() == circuit).ok_or(Error::NotFound("circuit"))?;
    let id = once::event(&form, "event")?;
    let back = back::path(form.typed("back")).to_owned();
    let at = once::when(&form, &job, app.now());
    if is_kept(&job.history, id, circuit) {
        return Ok(Redirect::to(&back).into_response());
    }
    let bench = Bench::new(&frame, &job, String::new());
    let test = test_of(&circuit.id);
    if !bench.work.may_measure(&test) && !once::was_kept(&form) {
        let why = refusal(&bench, &test);
        return show::with_refusal(frame, &job, &test, StatusCode::CONFLICT, why);
    }
    let reading = read(&mut form, circuit, id, &user, at);
    let (asks, was_kept) = (form.flag("expect"), once::was_kept(&form));
    // Nobody is there to answer a question about what a tablet kept. Its verdict says that it is odd.
    let is_stored = |reading: &Reading| !asks && (was_kept || is_sure(&mut form, &job, circuit, reading));
    let Some(reading) = reading.filter(is_stored) else {
        let status = if asks { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        return show::with_typed(frame, &job, &test, status, TypedReading::of_circuit(circuit, form));
    };
    let allows = |work: &Work<'_>| was_kept || work.may_measure(&test);
    if keep::allowed(&app, &user, &job, (&reading, None), allows).await? {
        return Ok(Redirect::to(&back).into_response());
    }
    let job = Opened::load(&app, job.id).await?;
    let why = refusal(&Bench::new(&frame, &job, String::new()), &test);
    show::with_refusal(frame, &job, &test, StatusCode::CONFLICT, why)
}

/// Why a circuit is not measured now.
fn refusal(bench: &Bench<'_>, test: &StepKey) -> String {
    let step = bench.job.steps.get(test);
    let about = step.map_or("", |step| step.about.as_str());
    let shut = step.and_then(|step| bench.shut(step)).unwrap_or_default();
    format!("{about}: {shut} Do not energize anything before that.")
}

/// Whether no figure looks like a typing error, or the user confirmed the reading.
fn is_sure(form: &mut Form, job: &Opened, circuit: &Circuit, reading: &Reading) -> bool {
    if form.flag("sure") {
        return true;
    }
    let expected = Expectations::of(job).of_circuit(circuit, reading.device.as_ref());
    let questions = meter::odd(reading, expected.as_ref(), job.report.nominal_v);
    for question in &questions {
        form.refuse(question.field, question.text.clone());
    }
    if !questions.is_empty() {
        form.put("asked", Some("yes"));
    }
    questions.is_empty()
}

/// The fields that say something.
const FIELDS: [&str; 7] =
    ["source_v", "load_v", "current_a", "return_ohm", "load_off_v", "current_off_a", "note"];

fn is_kept(history: &History, id: Uuid, circuit: &Circuit) -> bool {
    history.readings.iter().any(|reading| reading.id == id && reading.circuit == circuit.id)
}

fn read(form: &mut Form, circuit: &Circuit, id: Uuid, user: &CurrentUser, at: Timestamp) -> Option<Reading> {
    let device: Option<crate::job::value::DeviceId> = form.optional("device");
    let source_v = form.optional("source_v");
    let load_v = form.optional("load_v");
    let current_a = form.optional("current_a");
    let return_ohm = form.optional("return_ohm");
    let load_off_v = form.optional("load_off_v");
    let current_off_a = form.optional("current_off_a");
    let note = form.optional("note");
    if device.as_ref().is_some_and(|device| !circuit.feeds(device)) {
        form.refuse("device", "Choose one of this circuit\u{2019}s devices.");
    }
    if FIELDS.iter().all(|name| form.typed(name).trim().is_empty()) {
        form.refuse("source_v", "Nothing was entered. Enter at least one reading or a note.");
    }
    let (by, circuit) = (user.name().clone(), circuit.id.clone());
    let reading = Reading {
        id,
        by,
        at,
        circuit,
        device,
        source_v,
        load_v,
        current_a,
        return_ohm,
        load_off_v,
        current_off_a,
        note,
    };
    match form.sound() {
        None if once::was_kept(form) => as_note(form, reading),
        sound => sound.map(|()| reading),
    }
}

/// A reading that a tablet kept and nobody can read. None of its figures counts without the others.
fn as_note(form: &Form, reading: Reading) -> Option<Reading> {
    let note = Some(unread::note(form, &FIELDS)?);
    let (source_v, load_v, load_off_v) = (None, None, None);
    let (current_a, current_off_a, return_ohm) = (None, None, None);
    let figures = Reading { source_v, load_v, load_off_v, current_a, current_off_a, return_ohm, ..reading };
    Some(Reading { device: None, note, ..figures })
}
