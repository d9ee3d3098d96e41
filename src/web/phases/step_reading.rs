//! A measurement of one step: ohms with the power off, volts, or the rating of a fuse. A measurement that passes also closes
//! its step, so that nobody has to enter the same thing twice.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use uuid::Uuid;

use super::show;
use super::unread;
use crate::job::before_power;
use crate::job::event::{Mark, Seen, StepReading, Tick};
use crate::job::meter::ReadingOutcome;
use crate::job::step::{Action, StepKey};
use crate::job::work::Work;
use crate::store::JobId;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, keep, once, seen};
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
    let (Some(step), Some(unit)) = (job.steps.get(&key), before_power::unit(&key)) else {
        return Err(Error::NotFound("step"));
    };
    let back = back::path(form.typed("back")).to_owned();
    let at = once::when(&form, &job, app.now());
    if job.history.step_readings.iter().any(|reading| reading.id == id && reading.step == key) {
        return Ok(Redirect::to(&back).into_response());
    }
    let bench = Bench::new(&frame, &job, String::new());
    if !bench.work.may_measure(&key) && !once::was_kept(&form) {
        let why = format!("{}: {}", step.about, bench.shut(step).unwrap_or_default());
        return show::with_refusal(frame, &job, &key, StatusCode::CONFLICT, why);
    }
    let shown = seen::read(&form, &job, &key)?;
    let reading = read(&mut form, unit, id, &key, &user, at);
    let was_kept = once::was_kept(&form);
    // Nobody is there to answer a question about what a tablet kept. Its verdict says that it is odd.
    let Some(reading) = reading.filter(|reading| was_kept || is_sure(&mut form, &bench, reading)) else {
        let (typed, status) = (TypedReading::of_step(key.clone(), form), StatusCode::UNPROCESSABLE_ENTITY);
        return show::with_typed(frame, &job, &key, status, typed);
    };
    let passes = bench.expected().judge_step(&reading).outcome == ReadingOutcome::Pass;
    let closes = (passes && closes(&bench, &reading)).then(|| done(tick, &reading, shown));
    let allows = |work: &Work<'_>| was_kept || work.may_measure(&key);
    if keep::allowed(&app, &user, &job, (&reading, closes.as_ref()), allows).await? {
        return Ok(Redirect::to(&back).into_response());
    }
    let job = Opened::load(&app, job.id).await?;
    let shut = Bench::new(&frame, &job, String::new()).shut(step).unwrap_or_default();
    let why = format!("{}: {shut}", step.about);
    show::with_refusal(frame, &job, &key, StatusCode::CONFLICT, why)
}

/// Whether no figure looks like a typing error, or the user confirmed the reading.
fn is_sure(form: &mut Form, bench: &Bench<'_>, reading: &StepReading) -> bool {
    if form.flag("sure") {
        return true;
    }
    let Some(question) = bench.expected().odd_step(reading) else { return true };
    form.refuse(question.field, question.text);
    form.put("asked", Some("yes"));
    false
}

fn read(
    form: &mut Form,
    unit: before_power::Unit,
    id: Uuid,
    step: &StepKey,
    user: &CurrentUser,
    at: Timestamp,
) -> Option<StepReading> {
    let (ohm, v, rating_a) = match unit {
        before_power::Unit::Ohm => (form.required("ohm"), None, None),
        before_power::Unit::Volt => (None, form.required("v"), None),
        before_power::Unit::Ampere => (None, None, form.required("rating_a")),
    };
    let point = form.optional("point");
    let (step, by) = (step.clone(), user.name().clone());
    let reading = StepReading { id, step, point, ohm, v, rating_a, note: None, by, at };
    match form.sound() {
        None if once::was_kept(form) => {
            let note = Some(unread::note(form, &["ohm", "v", "rating_a"])?);
            Some(StepReading { ohm: None, v: None, rating_a: None, note, ..reading })
        }
        sound => sound.map(|()| reading),
    }
}

/// Whether this measurement closes a step, or begins an isolation: it was measured everywhere else.
fn closes(bench: &Bench<'_>, reading: &StepReading) -> bool {
    let points = bench.work.points_to_measure(&reading.step);
    let others = points.into_iter().filter(|point| reading.point.as_ref() != Some(*point));
    let measured = |point: &_| {
        let taken = bench.job.history.step_readings.iter();
        taken.filter(|other| other.step == reading.step).any(|other| other.point.as_ref() == Some(point))
    };
    // A boat that was connected is isolated again by reading zero volts.
    let begins = reading.step.action == Action::Isolate && !bench.work.is_isolated();
    (begins || bench.is_open(&reading.step)) && others.into_iter().all(measured)
}

/// The tick that a passed measurement makes by itself.
fn done(id: Uuid, reading: &StepReading, seen: Seen) -> Tick {
    let (step, by, at) = (reading.step.clone(), reading.by.clone(), reading.at);
    Tick { id, step, mark: Mark::Done, reason: None, by, seen, at }
}
