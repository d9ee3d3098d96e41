//! A release: a named person's written reason to pass a hold point with an open item.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use uuid::Uuid;

use super::{hold_point, show};
use crate::job::event::{History, Release};
use crate::job::phase::Phase;
use crate::job::stage::{Stages, Standing};
use crate::job::value::Prose;
use crate::shop::role::Permission;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::proof::ReadingComparison;

/// One chosen item, with the id of the event that releases it.
struct Chosen {
    id: Uuid,
    obstacle: String,
}

/// Releases the chosen items, or answers with the page and the error.
pub async fn pass(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let into: Phase = form
        .required("into")
        .ok_or_else(|| Error::BadRequest("The form did not name the hold point.".to_owned()))?;
    let chosen = form.every("release").map(chosen).collect::<Result<Vec<_>, _>>()?;
    let job = Opened::load(&app, job).await?;
    let back = back::path(form.typed("back")).to_owned();
    let chosen: Vec<Chosen> = chosen.into_iter().filter(|one| !is_kept(&job.history, into, one)).collect();
    if chosen.is_empty() && form.every("release").next().is_some() {
        return Ok(Redirect::to(&back).into_response());
    }
    for one in &chosen {
        may_pass(&frame, &job, into, &one.obstacle)?;
    }
    let reason: Option<Prose> = form.required("reason");
    if chosen.is_empty() {
        form.refuse("", "Choose the items to release.");
    }
    let (Some(()), Some(reason)) = (form.sound(), reason) else {
        return show::with_release(frame, &job, into, StatusCode::UNPROCESSABLE_ENTITY, form);
    };
    keep(&app, &user, &job, into, &chosen, &reason).await?;
    Ok(Redirect::to(&back).into_response())
}

async fn keep(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    into: Phase,
    chosen: &[Chosen],
    reason: &Prose,
) -> Result<(), Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    for Chosen { id, obstacle } in chosen {
        let (obstacle, reason, by) = (obstacle.clone(), reason.clone(), user.name().clone());
        let release = Release { id: *id, into, obstacle, reason, by, at: job.moment(app.now()) };
        record::add(&mut write, job.id, &release).await?;
    }
    Ok(write.commit().await?)
}

fn chosen(sent: &str) -> Result<Chosen, Error> {
    let (id, obstacle) = sent.split_once(' ').unwrap_or((sent, ""));
    Ok(Chosen { id: once::id(id)?, obstacle: obstacle.to_owned() })
}

fn is_kept(history: &History, into: Phase, chosen: &Chosen) -> bool {
    let same = |release: &&Release| {
        release.id == chosen.id && release.into == into && release.obstacle == chosen.obstacle
    };
    history.releases.iter().any(|release| same(&release))
}

/// Whether this person may release this item now.
fn may_pass(frame: &Frame, job: &Opened, into: Phase, obstacle: &str) -> Result<(), Error> {
    let needed = needed(job, into, obstacle).ok_or_else(|| {
        Error::Conflict(format!("\u{2018}{obstacle}\u{2019} no longer holds up this phase. Reload the page."))
    })?;
    if frame.may(needed) { Ok(()) } else { Err(Error::NotAllowed(needed.least().word())) }
}

/// The permission that a release needs; `None` if there is nothing to release.
fn needed(job: &Opened, into: Phase, obstacle: &str) -> Option<Permission> {
    let hold_points = job.hold_points();
    let stands = hold_points
        .iter()
        .filter(|hold_point| hold_point.into == into)
        .flat_map(|hold_point| hold_point.standing());
    match stands.into_iter().any(|standing| standing.key == obstacle) {
        true => Some(hold_point::takes(obstacle)),
        false => within(job, into, obstacle),
    }
}

/// Whether the item keeps a step on hold after the phase's hold point is clear: a stage of the power-up test, a
/// circuit's own readings, or the untested circuits of a run.
fn within(job: &Opened, into: Phase, obstacle: &str) -> Option<Permission> {
    let progress = job.progress();
    let of_stage = || {
        let stages = Stages::of(&progress, &job.history);
        let named = |open: &Standing<'_>| open.released.is_none() && open.step.key.to_string() == obstacle;
        (into == Phase::PowerUpTest && stages.open().iter().any(named)).then_some(Permission::Release)
    };
    let of_run = || {
        let step = job.steps.get(&obstacle.parse().ok()?)?;
        (into == Phase::TieDown && !progress.shut_by(step).is_empty()).then_some(Permission::Release)
    };
    of_stage().or_else(of_run).or_else(|| ReadingComparison::of(job).release_takes(into, obstacle))
}
