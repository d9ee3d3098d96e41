//! Undoes a reading, a pull, a note, a repair or a release. The record stays in the log and no longer counts.

use axum::extract::{Path, State};
use axum::response::Redirect;
use uuid::Uuid;

use crate::job::event::{Mark, Tick, Withdrawal};
use crate::job::meter::ReadingOutcome;
use crate::job::progress;
use crate::job::step::StepKey;
use crate::job::value::Name;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::proof::{ReadingComparison, test_of};
use crate::web::parts::undo_button::may;

/// Undoes a record.
pub async fn withdraw(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    form: Form,
) -> Result<Redirect, Error> {
    let (id, event) = (once::event(&form, "event")?, once::event(&form, "of")?);
    let job = Opened::load(&app, job).await?;
    let back = Redirect::to(back::path(form.typed("back")));
    if job.history.withdrawals.iter().any(|withdrawal| withdrawal.event == event) {
        return Ok(back);
    }
    let by = author(&app, &job, event).await?;
    if !may(&frame, by.as_str()) {
        return Err(Error::NotAllowed("technician"));
    }
    if let Some(why) = rests_on(&job, event) {
        return Err(Error::Conflict(why));
    }
    if let Some(circuit) = proven_by(&job, event) {
        return Err(Error::Conflict(format!(
            "{circuit} is marked as passed because of its readings. Undo that mark first."
        )));
    }
    let withdrawal = Withdrawal { id, event, by: user.name().clone(), at: job.moment(app.now()) };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let new = record::add(&mut write, job.id, &withdrawal).await?;
    if let Some(step) = closed_by(&job, event).filter(|_| new) {
        record::add(&mut write, job.id, &undone(step, &withdrawal)).await?;
    }
    write.commit().await?;
    Ok(back)
}

/// Who made the record to undo.
async fn author(app: &AppState, job: &Opened, event: Uuid) -> Result<Name, Error> {
    let history = record::history(&mut *app.store().read().await?, job.id).await?;
    let readings = history.readings.iter().map(|reading| (reading.id, &reading.by));
    let of_steps = history.step_readings.iter().map(|reading| (reading.id, &reading.by));
    let repairs = history.repairs.iter().map(|repair| (repair.id, &repair.by));
    let pulls = history.crimp_pulls.iter().map(|pull| (pull.id, &pull.by));
    let notes = history.end_notes.iter().map(|note| (note.id, &note.by));
    let releases = history.releases.iter().map(|release| (release.id, &release.by));
    let mut all = releases.chain(readings).chain(of_steps).chain(repairs).chain(pulls).chain(notes);
    let found = all.find(|(id, _)| *id == event);
    found.map(|(_, by)| by.clone()).ok_or(Error::NotFound("record"))
}

/// Why a release cannot be undone yet: the step that it released is done because of it.
fn rests_on(job: &Opened, event: Uuid) -> Option<String> {
    let release = job.history.releases.iter().find(|release| release.id == event)?;
    let key: StepKey = release.obstacle.parse().ok()?;
    let step = job.steps.get(&key)?;
    let done = job.progress().state(&key) == progress::StepState::Done;
    done.then(|| format!("{} is done because of that release. Undo that mark first.", step.about))
}

/// The circuit that is marked as passed because of this reading.
fn proven_by(job: &Opened, event: Uuid) -> Option<String> {
    let reading = job.history.readings.iter().find(|reading| reading.id == event)?;
    let circuit = job.plan.circuit(&reading.circuit)?;
    let closed = job.progress().state(&test_of(circuit)).is_closed();
    closed.then(|| circuit.name_and_label())
}

/// The step that was closed by this measurement, and that no other measurement proves.
fn closed_by(job: &Opened, event: Uuid) -> Option<StepKey> {
    let of_steps = &job.history.step_readings;
    let step = &of_steps.iter().find(|reading| reading.id == event)?.step;
    let others = of_steps.iter().filter(|other| other.step == *step && other.id != event);
    let latest = others.max_by_key(|other| (other.at, other.id));
    let borne_out = latest
        .is_some_and(|other| ReadingComparison::of(job).judge_step(other).outcome == ReadingOutcome::Pass);
    (job.progress().state(step) == progress::StepState::Done && !borne_out).then(|| step.clone())
}

/// The tick that opens a step again when its measurement is undone.
fn undone(step: StepKey, withdrawal: &Withdrawal) -> Tick {
    let (by, at) = (withdrawal.by.clone(), withdrawal.at);
    Tick { id: Uuid::now_v7(), step, mark: Mark::Undone, reason: None, by, at }
}
