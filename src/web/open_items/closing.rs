//! Closes an open item with what was done.

use axum::extract::{Path, State};
use axum::response::Redirect;
use uuid::Uuid;

use crate::job::open_item::{Closing, Severity};
use crate::job::value::Prose;
use crate::job::work::Work;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::bench;

/// Closes an open item.
///
/// # Errors
/// [`Error::NotFound`] if no such item is open. [`Error::NotAllowed`] if the user may not close it. [`Error::BadRequest`] if the form does not say what was done.
pub async fn add(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Redirect, Error> {
    let (id, item) = (once::event(&form, "event")?, once::event(&form, "item")?);
    let job = Opened::load(&app, job).await?;
    let back = Redirect::to(back::path(form.typed("back")));
    if job.history.closings.iter().any(|closing| closing.id == id) {
        return Ok(back);
    }
    let severity = severity(&job, item)?;
    if bench::who(&frame).is_none_or(|who| who < Work::closed_by(severity)) {
        return Err(Error::NotAllowed("technician"));
    }
    let at = once::when(&form, &job, app.now());
    let Some(done) = form.required::<Prose>("done") else {
        return Err(Error::BadRequest(
            "What was done: missing. Enter what was done, or why nothing is.".to_owned(),
        ));
    };
    let closing = Closing { id, item, done, by: user.name().clone(), at };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job.id, &closing).await?;
    write.commit().await?;
    Ok(back)
}

/// The severity of an item that nobody closed.
fn severity(job: &Opened, id: Uuid) -> Result<Severity, Error> {
    let open = job.work().open_items();
    open.iter().find(|item| item.id == id).map(|item| item.severity).ok_or(Error::NotFound("open item"))
}
