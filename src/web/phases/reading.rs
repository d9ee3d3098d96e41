//! A reading: what the meter showed at a circuit's source and load. Taken again, it is another reading.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use uuid::Uuid;

use super::bench::Bench;
use super::measured::Typed;
use super::show::{self, Said};
use super::{once, trial};
use crate::job::event::{History, Reading};
use crate::job::phase::Phase;
use crate::job::plan::Circuit;
use crate::store::{self, JobId, readings};
use crate::web::form::Form;
use crate::web::job::Opened;
use crate::web::page::Frame;
use crate::web::viewer::Viewer;
use crate::web::{AppState, Error, back};

/// Writes a reading down, or answers with the test's page and what is wrong.
pub async fn take(
    frame: Frame,
    viewer: Viewer,
    State(app): State<AppState>,
    Path((job, circuit)): Path<(JobId, String)>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let circuit =
        job.plan.circuits.iter().find(|one| one.id.as_str() == circuit).ok_or(Error::NotFound("circuit"))?;
    let id = once::event(&form, "event")?;
    let back = back::path(form.typed("back")).to_owned();
    if is_kept(&job.history, id, circuit) {
        return Ok(Redirect::to(&back).into_response());
    }
    if let Some(shut) = Bench::new(&frame, &job, String::new()).shut_gate(Phase::PowerUpTest) {
        let why = format!("{}: {shut} Nothing is energised before it is open.", circuit.name);
        return show::with_refusal(frame, &job, Phase::PowerUpTest, StatusCode::CONFLICT, why);
    }
    let Some(reading) = read(&mut form, circuit, id, &viewer, job.moment(app.now())) else {
        let typed = Typed { circuit: Some(circuit.id.to_string()), form };
        let page = trial::page(frame, &job, Said::default(), typed)?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    keep(&app, &viewer, &job, &reading).await?;
    Ok(Redirect::to(&back).into_response())
}

async fn keep(app: &AppState, viewer: &Viewer, job: &Opened, reading: &Reading) -> Result<(), Error> {
    let mut write = app.store().write(&viewer.actor(), app.now()).await?;
    match readings::add(&mut write, job.id, reading).await {
        Ok(_) => Ok(write.commit().await?),
        Err(store::Error::EventDiffers(_)) if stored_meanwhile(&mut write, job.id, reading).await? => Ok(()),
        Err(error) => Err(error.into()),
    }
}

/// Whether the same form, sent twice at once, was kept by the other one already.
async fn stored_meanwhile(write: &mut store::Write, job: JobId, reading: &Reading) -> Result<bool, Error> {
    let stored = readings::all(write, job).await?;
    Ok(stored
        .iter()
        .any(|stored| Reading { at: reading.at, by: reading.by.clone(), ..stored.clone() } == *reading))
}

fn is_kept(history: &History, id: Uuid, circuit: &Circuit) -> bool {
    history.readings.iter().any(|reading| reading.id == id && reading.circuit == circuit.id)
}

fn read(form: &mut Form, circuit: &Circuit, id: Uuid, viewer: &Viewer, at: Timestamp) -> Option<Reading> {
    let device: Option<crate::job::value::DeviceId> = form.optional("device");
    let source_v = form.optional("source_v");
    let load_v = form.optional("load_v");
    let current_a = form.optional("current_a");
    let return_ohm = form.optional("return_ohm");
    let note = form.optional("note");
    if device.as_ref().is_some_and(|device| !circuit.devices.contains(device)) {
        form.refuse("device", "Choose one of this circuit\u{2019}s devices.");
    }
    let nothing =
        [source_v.is_none(), load_v.is_none(), current_a.is_none(), return_ohm.is_none(), note.is_none()];
    if nothing.iter().all(|nothing| *nothing) && form.errors().is_empty() {
        form.refuse("source_v", "Nothing was measured: give at least one figure or what was seen.");
    }
    form.sound()?;
    Some(Reading {
        id,
        by: viewer.name().clone(),
        at,
        circuit: circuit.id.clone(),
        device,
        source_v,
        load_v,
        current_a,
        return_ohm,
        note,
    })
}
