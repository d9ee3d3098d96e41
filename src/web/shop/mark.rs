//! The shop's mark: set, removed and shown.

use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};

use crate::store::mark;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, pictures};

/// The largest accepted file.
pub const BODY_LIMIT: usize = 8 * 1024 * 1024;

/// Sets the mark from the picture that is sent, or removes it.
///
/// # Errors
/// [`Error::BadRequest`]: the file is not a picture.
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    sent: Multipart,
) -> Result<Response, Error> {
    let sending = app.pictures().send(user.person().id).await?;
    let (picture, remove) = received(sent).await?;
    let picture = if remove { None } else { Some(sending.decode(picture).await?) };
    drop(sending);
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    mark::set(&mut write, picture.as_ref()).await?;
    write.commit().await?;
    Ok(Redirect::to("/shop").into_response())
}

/// Shows the mark. Another mark has another address.
pub async fn file(State(app): State<AppState>, Path(hash): Path<String>) -> Result<Response, Error> {
    let mark = mark::get(&mut *app.store().read().await?).await?;
    let mark = mark.filter(|mark| mark.hash() == hash).ok_or(Error::NotFound("mark"))?;
    Ok(([(header::CONTENT_TYPE, "image/jpeg")], mark.bytes).into_response())
}

/// The file that was sent, and whether the mark is to be removed.
async fn received(mut sent: Multipart) -> Result<(Vec<u8>, bool), MultipartError> {
    let (mut picture, mut remove) = (Vec::new(), false);
    while let Some(field) = sent.next_field().await? {
        match field.name() {
            Some("mark") => picture = pictures::file(field).await?,
            Some("remove") => remove = true,
            _ => {}
        }
    }
    Ok((picture, remove))
}
