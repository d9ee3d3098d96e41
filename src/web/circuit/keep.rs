//! Saves the what-if values of a circuit to the plan.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::show;
use super::supposed::{self, Supposed};
use super::what_if::WhatIf;
use crate::job::plan::{Circuit, Device};
use crate::store::{self, ChangeSet, JobId, Version};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

/// Saves the what-if values to the plan.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, String)>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let circuit = show::find(&job, &id)?;
    let version = form.version()?;
    let unit = frame.length_unit();
    if let Some(supposed) = supposed::read(&mut form, &job.plan, circuit, unit) {
        match keep(&app, &user, &job, circuit, &supposed, version).await {
            Ok(()) => return Ok(Redirect::to(&format!("{}/circuits/{id}", job.href())).into_response()),
            Err(store::Error::Stale(stale)) => {
                let mut theirs = supposed::filled(&job.plan, circuit, unit);
                theirs.put("version", Some(stale.version));
                form.refuse_stale(&theirs);
            }
            Err(error) => form.refuse_saving(error)?,
        }
    }
    let what_if = WhatIf::new(&frame, &app, &job, circuit, None).await?;
    let what_if = what_if.with(form);
    let page = show::page(frame, &app, &job, &id, what_if).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

async fn keep(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    planned: &Circuit,
    supposed: &Supposed,
    version: Version,
) -> Result<(), store::Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    if supposed.circuit != *planned {
        change.save(&supposed.circuit, Some(version))?;
    }
    for supposed in &supposed.devices {
        change.alter(&supposed.id, |device| Device { load: supposed.load, ..device })?;
    }
    change.commit().await?;
    write.commit().await
}
