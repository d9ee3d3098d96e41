//! The passphrase within a session that began with a PIN. After it, everything that the role allows is possible, and
//! the act that needed it goes on.

use askama::Template;
use axum::Extension;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use serde::Deserialize;
use uuid::Uuid;

use super::client::Client;
use super::sign_in;
use crate::store::sign_in::{SignInRefusal, confirm};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::held_act::GoesOn;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, cookie};

#[derive(Template)]
#[template(path = "people/confirm.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self {
            title_block: frame.title_block("Enter your passphrase").help("people#switching-user-with-a-pin"),
            form: form.refused_as("Not accepted"),
        }
    }
}

/// The page to go back to.
#[derive(Debug, Deserialize)]
pub struct Back {
    #[serde(default)]
    back: String,
}

/// The form.
pub async fn ask(frame: Frame, Query(to): Query<Back>) -> Result<Html<String>, Error> {
    html(&Page::new(frame, Form::filled([("back", back::path(&to.back))])))
}

/// Checks the passphrase. Then the act that needed it goes on, or the user goes back to where they were.
pub async fn enter(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    jar: CookieJar,
    client: Client,
    mut form: Form,
) -> Result<Response, Error> {
    let passphrase = form.typed("passphrase");
    match confirm(app.store(), user.sign_in(), passphrase, &client.address, app.now()).await {
        Ok(token) => Ok(given(&app, &user, jar.add(cookie::give(&token, app.secure())), &form).await),
        Err(SignInRefusal::Wrong) => {
            form.refuse("passphrase", "This is not your passphrase.");
            Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
        }
        Err(refusal) => Err(sign_in::refused(&app, refusal)),
    }
}

/// The answer after the passphrase.
async fn given(app: &AppState, user: &CurrentUser, jar: CookieJar, form: &Form) -> Response {
    let back = Redirect::to(back::path(form.typed("back")));
    let Ok(act) = form.typed("act").parse::<Uuid>() else { return (jar, back).into_response() };
    let sign_in = user.sign_in().id;
    if !app.held_acts().has(sign_in, act).await {
        return (jar, Error::Conflict(TOO_LATE.to_owned())).into_response();
    }
    let cookies = jar.iter().map(|cookie| format!("{}={}", cookie.name(), cookie.value()));
    let goes_on = GoesOn { act, sign_in, cookies: cookies.collect::<Vec<_>>().join("; ") };
    (jar, Extension(goes_on), back).into_response()
}

/// What is said if the act is not kept any more.
const TOO_LATE: &str = "Your passphrase was accepted. The form waited too long for it and is not kept. Go back and send it again.";
