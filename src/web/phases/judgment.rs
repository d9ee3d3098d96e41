//! A judgment: a qualified person's recorded decision that one `stop` finding does not apply.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use uuid::Uuid;

use crate::job::event::Judgment;
use crate::job::finding::Finding;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, once};

#[derive(Template)]
#[template(path = "phases/judgment.html")]
struct Page {
    title_block: TitleBlock,
    text: String,
    key: String,
    action: String,
    back: String,
    event: Uuid,
    form: Form,
}

/// The finding to judge.
#[derive(Debug, Deserialize)]
pub struct Asked {
    #[serde(default)]
    finding: String,
}

/// The form of a judgment; without a finding the list of all judgments.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    if asked.finding.is_empty() {
        return Ok(Redirect::to(&format!("{}/releases", job.href())).into_response());
    }
    page(frame, &job, &asked.finding, Form::default())
}

/// Records a judgment, or answers with the page and the error.
pub async fn keep(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let id = once::event(&form, "event")?;
    let job = Opened::load(&app, job).await?;
    let back = format!("{}/releases", job.href());
    if job.history.judgments.iter().any(|judgment| judgment.id == id) {
        return Ok(Redirect::to(&back).into_response());
    }
    let key = form.typed("finding").to_owned();
    let (judge, qualification) = (form.required("judge"), form.required("qualification"));
    let reason = form.required("reason");
    let (Some(()), Some(judge), Some(qualification), Some(reason)) =
        (form.sound(), judge, qualification, reason)
    else {
        let page = page(frame, &job, &key, form)?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let finding = stop(&job, &key)?;
    let judgment = Judgment {
        id,
        value: finding.value,
        limit: finding.limit,
        finding: key,
        judge,
        qualification,
        reason,
        by: user.name().clone(),
        at: job.moment(app.now()),
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job.id, &judgment).await?;
    write.commit().await?;
    Ok(Redirect::to(&back).into_response())
}

/// The open `stop` finding with this key.
fn stop(job: &Opened, key: &str) -> Result<Finding, Error> {
    let stop = job.work().stops().find(|finding| finding.key() == key).cloned();
    stop.ok_or(Error::NotFound("stop finding"))
}

fn page(frame: Frame, job: &Opened, key: &str, form: Form) -> Result<Response, Error> {
    let finding = stop(job, key)?;
    let page = Page {
        title_block: job.title_block(frame, Tab::Releases),
        text: finding.line().text(job.units),
        key: key.to_owned(),
        action: format!("{}/judgments", job.href()),
        back: format!("{}/releases", job.href()),
        event: Uuid::now_v7(),
        form,
    };
    html(&page).map(IntoResponse::into_response)
}
