//! A location moved on the boat plan.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use crate::job::plan::{Location, Spot};
use crate::job::value::LocationId;
use crate::store::{JobId, Versioned, item};
use crate::web::kit::form::Form;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

/// Moves a location to another position on the boat. Its height does not change.
///
/// # Errors
/// [`Error::BadRequest`]: the position is not valid. A location that somebody else moved meanwhile is refused.
pub async fn move_to(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, LocationId)>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    let (ahead, starboard) = (form.required("ahead_m"), form.required("starboard_m"));
    let (Some(ahead_m), Some(starboard_m)) = (ahead, starboard) else {
        let wrong = form.errors().iter().map(|error| format!("{}: {}", error.about(), error.text));
        return Err(Error::BadRequest(wrong.collect::<Vec<_>>().join(" ")));
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let held: Versioned<Location> = item::get(&mut write, job, &id).await?;
    let up_m = held.value.at.and_then(|at| at.up_m);
    let moved = Location { at: Some(Spot { ahead_m, starboard_m, up_m }), ..held.value };
    item::save(&mut write, job, &moved, Some(version)).await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/layout")).into_response())
}
