//! Changes the user's own passphrase, which needs the old one.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

use super::client::Client;
use super::sign_in;
use crate::shop::secret::Passphrase;
use crate::store::sign_in::SignInRefusal;
use crate::store::{Hashed, people};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "people/passphrase.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self {
            title_block: frame.title_block("Your passphrase").at(Here::SignIns).help("people#signing-in"),
            form,
        }
    }
}

/// The form.
pub async fn ask(frame: Frame) -> Result<Html<String>, Error> {
    html(&Page::new(frame, Form::default()))
}

/// Changes it. Every sign-in of the person ends, and this browser gets a new sign-in.
pub async fn change(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    jar: CookieJar,
    client: Client,
    mut form: Form,
) -> Result<Response, Error> {
    let Some(passphrase) = read(&mut form) else {
        return refused(frame, form);
    };
    // The old passphrase is tried as at sign-in, so that guesses here and there count together.
    let name = user.name().as_str();
    match sign_in::open(&app, &client, name, form.typed("old")).await {
        Ok(_) => {}
        Err(SignInRefusal::Wrong) => {
            form.refuse("old", "This is not your passphrase.");
            return refused(frame, form);
        }
        Err(refusal) => return Err(sign_in::refused(&app, refusal)),
    }
    let hashed = Hashed::passphrase(&passphrase).await?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    people::set_passphrase(&mut write, user.person().id, &hashed).await?;
    write.commit().await?;
    match sign_in::open(&app, &client, name, passphrase.reveal()).await {
        Ok(cookie) => Ok((jar.add(cookie), Redirect::to("/sign-ins")).into_response()),
        Err(refusal) => Err(sign_in::refused(&app, refusal)),
    }
}

fn refused(frame: Frame, form: Form) -> Result<Response, Error> {
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
}

fn read(form: &mut Form) -> Option<Passphrase> {
    if form.typed("old").is_empty() {
        form.refuse("old", "Required.");
    }
    let passphrase = form.required("passphrase");
    if form.error("passphrase").is_none() && form.typed("passphrase") != form.typed("passphrase_again") {
        form.refuse("passphrase_again", "The passphrases differ.");
    }
    form.sound()?;
    passphrase
}
