//! The state of a job: closed, put aside, reopened, deleted.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use crate::job::value::Name;
use crate::shop::job_state::JobState;
use crate::store::{JobId, deletion, jobs};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "job/state.html")]
struct Page {
    title_block: TitleBlock,
    href: String,
    state: JobState,
    /// What has to be typed before the job is deleted: the name of the boat or of the job.
    names: [Name; 2],
    folder: String,
    form: Form,
}

#[derive(Template)]
#[template(path = "job/deleted.html")]
struct Deleted {
    title_block: TitleBlock,
    folder: String,
}

impl Page {
    async fn new(app: &AppState, frame: Frame, id: JobId, form: Form) -> Result<Self, Error> {
        let intake = jobs::get(&mut *app.store().read().await?, id).await?.value;
        let state = frame.job.map_or(JobState::Open, |job| job.state);
        Ok(Self {
            href: format!("/jobs/{id}"),
            state,
            names: [intake.boat.name, intake.job.name],
            folder: app.store().folder().deleted().display().to_string(),
            form: form.refused_as("Not deleted"),
            title_block: opened::unchecked(app, id, frame, Tab::Overview).await?.titled("Job state"),
        })
    }

    fn to_type(&self) -> String {
        let [boat, job] = &self.names;
        format!("To delete it, type {boat} or {job}")
    }
}

/// The state of the job, with what the manager can do.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    html(&Page::new(&app, frame, job, Form::default()).await?)
}

/// Closes the job, puts it aside or reopens it.
pub async fn change(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Redirect, Error> {
    let state = form.required_choice("state");
    let state = state.ok_or_else(|| Error::BadRequest("Choose open, put-aside or closed.".to_owned()))?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    jobs::change_state(&mut write, job, state).await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/state")))
}

/// Deletes the job, if the name of the boat or of the job was typed.
pub async fn delete(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let held = jobs::get(&mut *app.store().read().await?, id).await?.value;
    let typed = form.typed("name").trim();
    if ![held.boat.name.as_str(), held.job.name.as_str()].contains(&typed) {
        form.refuse("name", format!("Type {} or {} exactly.", held.boat.name, held.job.name));
        let page = Page::new(&app, frame, id, form).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&page)?).into_response());
    }
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let kept = deletion::delete(&mut write, app.store().folder(), id).await?;
    write.commit().await?;
    let folder = kept.display().to_string();
    Ok(html(&Deleted { title_block: frame.title_block("Job deleted"), folder })?.into_response())
}
