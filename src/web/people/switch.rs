//! The quick switch: who uses this tablet now, by PIN.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use serde::Deserialize;

use super::sign_in;
use crate::store::PersonId;
use crate::store::people::Person;
use crate::store::sign_in::SignInRefusal;
use crate::store::switch;
use crate::web::kit::cookie;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back};

#[derive(Template)]
#[template(path = "people/switch.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    people: Vec<Person>,
}

impl Page {
    async fn new(app: &AppState, frame: Frame, form: Form) -> Result<Self, Error> {
        let people = switch::people(&mut *app.store().read().await?).await?;
        Ok(Self {
            title_block: frame.title_block("Switch user").help("people#switching-user-with-a-pin"),
            form,
            people,
        })
    }

    fn back(&self) -> &str {
        back::path(self.form.typed("back"))
    }

    fn chosen(&self, person: &Person) -> bool {
        self.form.typed("person") == person.id.to_string()
    }
}

/// The page to come back to.
#[derive(Debug, Deserialize)]
pub struct Back {
    #[serde(default)]
    back: String,
}

/// Who could use this tablet.
pub async fn ask(
    frame: Frame,
    State(app): State<AppState>,
    Query(to): Query<Back>,
) -> Result<Html<String>, Error> {
    html(&Page::new(&app, frame, Form::filled([("back", back::path(&to.back))])).await?)
}

/// Switches this tablet to another person.
pub async fn to(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    jar: CookieJar,
    mut form: Form,
) -> Result<Response, Error> {
    if let Some(person) = read(&mut form) {
        match switch::to(app.store(), user.sign_in(), person, form.typed("pin").trim(), app.now()).await {
            Ok(token) => {
                let back = Redirect::to(back::path(form.typed("back")));
                return Ok((jar.add(cookie::give(&token, app.secure())), back).into_response());
            }
            Err(SignInRefusal::WrongPin) => form.refuse("pin", "This is not the PIN of that person."),
            Err(SignInRefusal::PinSpent) => {
                form.refuse("pin", "Too many wrong PINs. That person has to sign in with the passphrase.");
            }
            Err(refusal) => return Err(sign_in::refused(&app, refusal)),
        }
    }
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(&app, frame, form).await?)?).into_response())
}

/// The chosen person, if a PIN is given with it.
fn read(form: &mut Form) -> Option<PersonId> {
    let person = form.required("person");
    if form.typed("pin").trim().is_empty() {
        form.refuse("pin", "Required.");
    }
    form.sound()?;
    person
}
