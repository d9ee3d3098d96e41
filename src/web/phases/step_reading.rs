//! A measurement of one step: ohms with the power off, or volts at first power. A measurement that passes also closes
//! its step, so that nobody has to enter the same thing twice.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use uuid::Uuid;

use super::head::PageNotes;
use super::power_up_test;
use super::show;
use crate::job::before_power::{self, Unit};
use crate::job::event::{Mark, StepReading, Tick};
use crate::job::meter::ReadingOutcome;
use crate::job::phase::Phase;
use crate::job::step::StepKey;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::TypedReading;

/// Records a measurement, or answers with the test's page and the error.
pub async fn take(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let (id, tick) = (once::event(&form, "event")?, once::event(&form, "tick")?);
    let key: StepKey = form.required("step").ok_or(Error::NotFound("step"))?;
    let job = Opened::load(&app, job).await?;
    let (Some(step), Some(unit)) = (job.steps.get(&key), before_power::unit(key.action)) else {
        return Err(Error::NotFound("step"));
    };
    let back = back::path(form.typed("back")).to_owned();
    let at = once::when(&form, &job, app.now());
    if job.history.step_readings.iter().any(|reading| reading.id == id && reading.step == key) {
        return Ok(Redirect::to(&back).into_response());
    }
    let bench = Bench::new(&frame, &job, String::new());
    let of_stage = || bench.shut_stage(key.action, step.circuits.first());
    if let Some(shut) = bench.shut_gate(Phase::PowerUpTest).or_else(of_stage) {
        let why = format!("{}: {shut}", step.about);
        return show::with_refusal(frame, &job, Phase::PowerUpTest, StatusCode::CONFLICT, why);
    }
    let reading = read(&mut form, unit, id, &key, &user, at);
    let Some(reading) = reading.filter(|reading| is_sure(&mut form, &bench, reading)) else {
        let page = power_up_test::page(frame, &job, PageNotes::default(), TypedReading::of_step(key, form))?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let passes = bench.proof().judge_step(&reading).outcome == ReadingOutcome::Pass;
    let closes = (passes && bench.is_open(&key)).then(|| done(tick, &reading));
    keep(&app, &user, &job, &reading, closes.as_ref()).await?;
    Ok(Redirect::to(&back).into_response())
}

/// Whether no figure looks like a typing error, or the user confirmed the reading.
fn is_sure(form: &mut Form, bench: &Bench<'_>, reading: &StepReading) -> bool {
    if form.flag("sure") {
        return true;
    }
    let Some(question) = bench.proof().odd_step(reading) else { return true };
    form.refuse(question.field, question.text);
    form.put("asked", Some("yes"));
    false
}

fn read(
    form: &mut Form,
    unit: Unit,
    id: Uuid,
    step: &StepKey,
    user: &CurrentUser,
    at: Timestamp,
) -> Option<StepReading> {
    let (ohm, v) = match unit {
        Unit::Ohm => (Some(form.required("ohm")), None),
        Unit::Volt => (None, Some(form.required("v"))),
    };
    form.sound()?;
    Some(StepReading {
        id,
        step: step.clone(),
        ohm: ohm.flatten(),
        v: v.flatten(),
        note: None,
        by: user.name().clone(),
        at,
    })
}

/// The tick that a passed measurement makes by itself.
fn done(id: Uuid, reading: &StepReading) -> Tick {
    let (step, by, at) = (reading.step.clone(), reading.by.clone(), reading.at);
    Tick { id, step, mark: Mark::Done, reason: None, by, at }
}

async fn keep(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    reading: &StepReading,
    closes: Option<&Tick>,
) -> Result<(), Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let new = record::add(&mut write, job.id, reading).await?;
    if let Some(tick) = closes.filter(|_| new) {
        record::add(&mut write, job.id, tick).await?;
    }
    Ok(write.commit().await?)
}
