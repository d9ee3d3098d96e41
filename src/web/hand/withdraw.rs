//! Taking back a reading, a pull or a note: it stays on record and counts no more.

use axum::extract::{Path, State};
use axum::response::Redirect;
use uuid::Uuid;

use crate::job::event::Withdrawal;
use crate::job::value::Name;
use crate::shop::role::Action;
use crate::store::{self, JobId, history, withdrawals};
use crate::web::form::Form;
use crate::web::job::Opened;
use crate::web::page::Frame;
use crate::web::phases::{once, test_of};
use crate::web::viewer::Viewer;
use crate::web::{AppState, Error, back};

/// Whether the viewer may take back what somebody wrote down: their own, or anybody's as a technician.
pub fn may(frame: &Frame, by: &Name) -> bool {
    let own = frame.viewer.as_ref().is_some_and(|viewer| viewer.name() == by);
    frame.may(Action::Release) || (own && frame.may(Action::Tick))
}

/// Takes something back.
pub async fn take_back(
    frame: Frame,
    viewer: Viewer,
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
    if !may(&frame, &by) {
        return Err(Error::NotAllowed("technician"));
    }
    if let Some(circuit) = proven_by(&job, event) {
        return Err(Error::Conflict(format!(
            "{circuit} is ticked as passed on the strength of its readings. Take that tick back first."
        )));
    }
    let withdrawal = Withdrawal { id, event, by: viewer.name().clone(), at: job.moment(app.now()) };
    let mut write = app.store().write(&viewer.actor(), app.now()).await?;
    match withdrawals::add(&mut write, job.id, &withdrawal).await {
        Ok(_) => write.commit().await?,
        Err(store::Error::EventDiffers(_)) => {
            let kept = withdrawals::all(&mut write, job.id).await?;
            once::sent_before(kept.iter().any(|kept| kept.id == id && kept.event == event), id)?;
        }
        Err(error) => return Err(error.into()),
    }
    Ok(back)
}

/// Who wrote down what is to be taken back.
async fn author(app: &AppState, job: &Opened, event: Uuid) -> Result<Name, Error> {
    let history = history::load(&mut *app.store().read().await?, job.id).await?;
    let readings = history.readings.iter().map(|reading| (reading.id, &reading.by));
    let pulls = history.crimp_pulls.iter().map(|pull| (pull.id, &pull.by));
    let notes = history.end_notes.iter().map(|note| (note.id, &note.by));
    let found = readings.chain(pulls).chain(notes).find(|(id, _)| *id == event);
    found.map(|(_, by)| by.clone()).ok_or(Error::NotFound("record"))
}

/// The circuit that is ticked as passed and whose reading this is.
fn proven_by(job: &Opened, event: Uuid) -> Option<String> {
    let reading = job.history.readings.iter().find(|reading| reading.id == event)?;
    let circuit = job.plan.circuit(&reading.circuit)?;
    let closed = job.progress().state(&test_of(circuit)).is_closed();
    closed.then(|| format!("{} {}", circuit.id, circuit.name))
}
