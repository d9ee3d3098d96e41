//! A release: a person's written reason to do one step although one item that it waits for is open.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use uuid::Uuid;

use crate::job::event::Release;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::work::{Hold, Who, Work};
use crate::store::JobId;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, keep, once};
use crate::web::parts::bench::{self, Bench};
use crate::web::parts::place::step_page;

#[derive(Template)]
#[template(path = "phases/release.html")]
struct Page {
    title_block: TitleBlock,
    about: String,
    line: &'static str,
    action: String,
    step: String,
    back: String,
    event: Uuid,
    choices: Vec<Choice>,
    form: Form,
}

/// One open item that the step waits for.
#[derive(Debug)]
struct Choice {
    key: Option<String>,
    text: String,
    by: &'static str,
    chosen: bool,
}

/// The step to release.
#[derive(Debug, Deserialize)]
pub struct Asked {
    #[serde(default)]
    step: String,
}

/// The form that releases one step; without a step the list of all releases.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    if asked.step.is_empty() {
        return Ok(Redirect::to(&format!("{}/releases", job.href())).into_response());
    }
    let key: StepKey = asked.step.parse().map_err(|_| Error::NotFound("step"))?;
    page(frame, &job, &key, Form::default())
}

/// Releases the step from the chosen item, or answers with the page and the error.
pub async fn pass(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let id = once::event(&form, "event")?;
    let step: StepKey = form.required("step").ok_or(Error::NotFound("step"))?;
    let job = Opened::load(&app, job).await?;
    let back = back::path(form.typed("back")).to_owned();
    if job.history.releases.iter().any(|release| release.id == id && release.step == step) {
        return Ok(Redirect::to(&back).into_response());
    }
    let obstacle = form.typed("obstacle").to_owned();
    let held = job.work().on_hold(&step);
    let hold = held.iter().find(|hold| hold.obstacle.key().as_deref() == Some(obstacle.as_str()));
    match hold {
        None if obstacle.is_empty() => form.refuse("obstacle", "Choose the item to release."),
        None => form.refuse("obstacle", "This item does not hold the step any more. Choose another."),
        Some(hold) => may_release(&frame, hold)?,
    }
    let reason = form.required("reason");
    let (Some(()), Some(reason)) = (form.sound(), reason) else {
        let page = page(frame, &job, &step, form)?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let (by, at) = (user.name().clone(), once::when(&form, &job, app.now()));
    let release = Release { id, step, obstacle, reason, by, at };
    let holds = |work: &Work<'_>| {
        let held = work.on_hold(&release.step);
        held.iter().any(|hold| hold.obstacle.key().as_deref() == Some(release.obstacle.as_str()))
    };
    if !keep::allowed(&app, &user, &job, (&release, None), holds).await? {
        return Err(Error::Conflict("This item does not hold the step any more.".to_owned()));
    }
    Ok(Redirect::to(&back).into_response())
}

fn may_release(frame: &Frame, hold: &Hold<'_>) -> Result<(), Error> {
    let allowed = bench::who(frame).is_some_and(|who| hold.can_be_released() && hold.by <= who);
    if allowed { Ok(()) } else { Err(Error::NotAllowed(role(hold.by))) }
}

/// The role that a release needs.
pub fn role(who: Who) -> &'static str {
    match who {
        Who::Apprentice => "apprentice",
        Who::Technician => "technician",
        Who::Manager | Who::Judge | Who::Nobody => "manager",
    }
}

fn page(frame: Frame, job: &Opened, key: &StepKey, form: Form) -> Result<Response, Error> {
    let step: &Step = job.steps.get(key).ok_or(Error::NotFound("step"))?;
    let bench = Bench::new(&frame, job, String::new());
    let choice = |hold: Hold<'_>| {
        let may = hold.can_be_released() && bench.who().is_some_and(|who| hold.by <= who);
        let key = hold.obstacle.key().filter(|_| may);
        Choice {
            chosen: key.as_deref() == Some(form.typed("obstacle")),
            key,
            text: hold.text.text(job.units),
            by: who_may(&hold),
        }
    };
    let back = match form.typed("back") {
        "" => step_page(&job.href(), key),
        typed => back::path(typed).to_owned(),
    };
    let page = Page {
        title_block: job.title_block(frame.clone(), Tab::Phase(key.action.phase())),
        about: step.about.clone(),
        line: key.action.line(),
        action: format!("{}/releases", job.href()),
        step: key.to_string(),
        back,
        event: Uuid::now_v7(),
        choices: bench.work.on_hold(key).into_iter().map(choice).collect(),
        form,
    };
    html(&page).map(IntoResponse::into_response)
}

fn who_may(hold: &Hold<'_>) -> &'static str {
    match hold.by {
        _ if !hold.can_be_released() && hold.by < Who::Judge => "Do this first. It cannot be released.",
        Who::Apprentice | Who::Technician => "A technician may release it.",
        Who::Manager => "A manager may release it.",
        Who::Judge => "Only the judgment of a qualified person passes a stop finding.",
        Who::Nobody => "Nobody may release this.",
    }
}
