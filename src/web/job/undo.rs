//! Undoes a change of the plan.

use axum::extract::{Path, State};
use axum::response::Redirect;

use crate::store::{JobId, undo};
use crate::web::kit::form::Form;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back};

/// Undoes one change.
pub async fn change(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, line)): Path<(JobId, i64)>,
    form: Form,
) -> Result<Redirect, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    undo::line(&mut write, app.store().folder(), job, line).await?;
    write.commit().await?;
    Ok(Redirect::to(back::path(form.typed("back"))))
}
