//! Photos: added, shown, removed.

use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};

use crate::job::subject::{Subject, SubjectKind};
use crate::store::{JobId, PhotoId, photos};
use crate::web::kit::form::Form;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, pictures};

/// What was sent with a photo.
#[derive(Default)]
struct Sent {
    subject: String,
    back: String,
    photo: Vec<u8>,
}

/// Adds a photo of a thing of the job.
///
/// # Errors
/// [`Error::BadRequest`]: the file is not a picture. [`Error::NotFound`]: the job does not have its subject.
/// [`Error::TooMany`]: too many pictures are sent at once.
pub async fn add(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    sent: Multipart,
) -> Result<Response, Error> {
    let sending = app.pictures().send(user.person().id).await?;
    let sent = received(sent).await?;
    let subject: Subject =
        sent.subject.parse().map_err(|bad| Error::BadRequest(format!("subject: {bad}.")))?;
    if !has(&Opened::load(&app, job).await?, &subject) {
        return Err(Error::NotFound("thing"));
    }
    let picture = sending.decode(sent.photo).await?;
    drop(sending);
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    photos::add(&mut write, app.store().folder(), job, &subject, &picture).await?;
    write.commit().await?;
    Ok(Redirect::to(back::path(&sent.back)).into_response())
}

/// Whether the job has a thing, or an open item.
fn has(job: &Opened, subject: &Subject) -> bool {
    let is_item = || job.history.open_items.iter().any(|item| item.id.to_string() == subject.id);
    job.has(subject) || (subject.kind == SubjectKind::OpenItem && is_item())
}

/// Shows a photo. As every answer to somebody who is signed in, the browser does not keep it.
pub async fn file(
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, PhotoId)>,
) -> Result<Response, Error> {
    let photo = photos::get(&mut *app.store().read().await?, job, id).await?;
    let bytes = tokio::fs::read(photo.path(app.store().folder())).await.map_err(Error::internal)?;
    Ok(([(header::CONTENT_TYPE, "image/jpeg")], bytes).into_response())
}

/// Removes a photo.
pub async fn remove(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, PhotoId)>,
    form: Form,
) -> Result<Response, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    photos::remove(&mut write, job, id).await?;
    write.commit().await?;
    Ok(Redirect::to(back::path(form.typed("back"))).into_response())
}

async fn received(mut sent: Multipart) -> Result<Sent, MultipartError> {
    let mut received = Sent::default();
    while let Some(field) = sent.next_field().await? {
        match field.name() {
            Some("subject") => received.subject = field.text().await?,
            Some("back") => received.back = field.text().await?,
            Some("photo") => received.photo = pictures::file(field).await?,
            _ => {}
        }
    }
    Ok(received)
}
