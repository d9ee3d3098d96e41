//! Sign-in by name and passphrase, and sign-out.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::Cookie;
use serde::Deserialize;

use super::client::Client;
use crate::shop::demo;
use crate::shop::role::Role;
use crate::store::sign_in::{self, Attempt, SignInRefusal};
use crate::web::kit::cookie;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back};

#[derive(Template)]
#[template(path = "people/sign_in.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        Self {
            title_block: frame.title_block("Sign in").help("people#signing-in"),
            form: form.refused_as("Not signed in"),
        }
    }

    /// The accounts of the demo shop, which are not secret; none for any other shop.
    fn demo_people(&self) -> &'static [demo::Account] {
        let demo = self.title_block.frame.shop.as_ref().is_some_and(|shop| shop.name.as_str() == demo::SHOP);
        if demo { demo::people() } else { &[] }
    }
}

/// Where to go after signing in.
#[derive(Debug, Deserialize)]
pub struct Next {
    #[serde(default)]
    next: String,
}

/// The form.
pub async fn ask(frame: Frame, Query(next): Query<Next>) -> Result<Html<String>, Error> {
    html(&Page::new(frame, Form::filled([("next", back::path(&next.next))])))
}

/// Signs a person in.
pub async fn enter(
    frame: Frame,
    State(app): State<AppState>,
    jar: CookieJar,
    client: Client,
    mut form: Form,
) -> Result<Response, Error> {
    match admit(&app, &client, form.typed("name"), form.typed("passphrase")).await {
        Ok((cookie, role)) => {
            end(&app, frame.user.as_ref()).await?;
            let next = Redirect::to(first_page(role, form.typed("next")));
            Ok((jar.add(cookie), next).into_response())
        }
        Err(SignInRefusal::Wrong) => {
            tracing::warn!(address = %client.address, device = %client.device, "sign-in refused");
            form.refuse("passphrase", "The name or the passphrase is wrong.");
            Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::new(frame, form))?).into_response())
        }
        Err(refusal) => Err(refused(&app, refusal)),
    }
}

/// Signs this device out, for everybody who switches on it.
pub async fn leave(
    user: CurrentUser,
    State(app): State<AppState>,
    jar: CookieJar,
) -> Result<Response, Error> {
    end(&app, Some(&user)).await?;
    Ok((jar.add(cookie::take(app.secure())), Redirect::to("/sign-in")).into_response())
}

/// The page that a person wanted; without one, the work of whoever works on the boats, and the shop floor of others.
fn first_page(role: Role, next: &str) -> &str {
    match (role, back::path(next)) {
        (Role::Apprentice | Role::Technician, "/") => "/my-work",
        (_, path) => path,
    }
}

/// Tries a name and passphrase, and returns the cookie of the new sign-in.
pub(super) async fn open(
    app: &AppState,
    client: &Client,
    name: &str,
    passphrase: &str,
) -> Result<Cookie<'static>, SignInRefusal> {
    admit(app, client, name, passphrase).await.map(|(cookie, _)| cookie)
}

/// The same, with the role of the person.
async fn admit(
    app: &AppState,
    client: &Client,
    name: &str,
    passphrase: &str,
) -> Result<(Cookie<'static>, Role), SignInRefusal> {
    let attempt = Attempt { name, passphrase, address: &client.address, device: &client.device };
    let (token, person) = sign_in::open(app.store(), attempt, app.now()).await?;
    Ok((cookie::give(&token, app.secure()), person.role))
}

/// The error for a refusal that no field of the form can correct.
pub(super) fn refused(app: &AppState, refusal: SignInRefusal) -> Error {
    match refusal {
        SignInRefusal::Wait { until } => {
            let wait = until.as_second().saturating_sub(app.now().as_second());
            Error::TooMany { wait_s: u64::try_from(wait).unwrap_or(0) }
        }
        SignInRefusal::Store(error) => error.into(),
        other => Error::BadRequest(format!("Refused: {other}.")),
    }
}

/// Ends the browser's old sign-in, so that its old token is no longer valid.
async fn end(app: &AppState, user: Option<&CurrentUser>) -> Result<(), Error> {
    if let Some(user) = user {
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        sign_in::revoke(&mut write, user.sign_in().id).await?;
        write.commit().await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_works_on_the_boats_starts_with_the_own_work() {
        for role in [Role::Apprentice, Role::Technician] {
            assert_eq!((first_page(role, "/"), first_page(role, "")), ("/my-work", "/my-work"));
            assert_eq!(first_page(role, "/jobs/3"), "/jobs/3", "a page that was wanted comes first");
        }
        assert_eq!((first_page(Role::Manager, "/"), first_page(Role::Viewer, "/")), ("/", "/"));
    }
}
