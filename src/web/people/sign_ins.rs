//! The tablets and browsers that are signed in, and how to end a sign-in from another device.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

use crate::shop::role::Permission;
use crate::store::SignInId;
use crate::store::sign_in::{self, SignedInDevice};
use crate::web::kit::cookie;
use crate::web::kit::frame::Frame;
use crate::web::kit::guard;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "people/sign_ins.html")]
struct Page {
    title_block: TitleBlock,
    everybody: bool,
    rows: Vec<Row>,
}

struct Row {
    id: SignInId,
    device: String,
    person: String,
    since: String,
    seen: String,
    here: bool,
}

impl Row {
    fn new(device: SignedInDevice, frame: &Frame, user: &CurrentUser) -> Self {
        Self {
            id: device.id,
            person: device.name.to_string(),
            since: frame.moment(device.created_at),
            seen: frame.ago(device.seen_at),
            here: device.id == user.sign_in().id,
            device: device.device,
        }
    }
}

/// The devices of the user; of everybody for a manager.
pub async fn list(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Html<String>, Error> {
    let rows = seen_by(&app, &frame, &user).await?;
    let rows = rows.into_iter().map(|device| Row::new(device, &frame, &user)).collect();
    let everybody = frame.may(Permission::People);
    html(&Page { title_block: frame.title_block("Signed-in tablets").at(Here::SignIns), everybody, rows })
}

/// Ends one of the user's own sign-ins, or as a manager one of somebody else.
pub async fn end(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<SignInId>,
    headers: HeaderMap,
    jar: CookieJar,
) -> Result<Response, Error> {
    let mut read = app.store().read().await?;
    let own = sign_in::devices(&mut read, Some(user.person().id), app.now()).await?;
    drop(read);
    let here = id == user.sign_in().id;
    if own.iter().any(|device| device.id == id) {
        let proven = if here { Ok(()) } else { user.access().proven() };
        proven.map_err(|refused| guard::error(refused, &headers))?;
    } else {
        if !seen_by(&app, &frame, &user).await?.iter().any(|device| device.id == id) {
            return Err(Error::NotFound("signed-in device"));
        }
        user.access().may(Permission::People, None).map_err(|refused| guard::error(refused, &headers))?;
    }
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    sign_in::revoke(&mut write, id).await?;
    write.commit().await?;
    if here {
        return Ok((jar.add(cookie::take(app.secure())), Redirect::to("/sign-in")).into_response());
    }
    Ok(Redirect::to("/sign-ins").into_response())
}

async fn seen_by(app: &AppState, frame: &Frame, user: &CurrentUser) -> Result<Vec<SignedInDevice>, Error> {
    let of = (!frame.may(Permission::People)).then_some(user.person().id);
    Ok(sign_in::devices(&mut *app.store().read().await?, of, app.now()).await?)
}
