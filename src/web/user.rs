//! Who looks at a page: the person behind the cookie, looked up once for each request.

use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::uri::PathAndQuery;
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

use super::page::Frame;
use super::people::cookie;
use super::theme::Theme;
use super::{AppState, Error, error, manual, trust};
use crate::job::value::Name;
use crate::shop::role::Role;
use crate::store::people::Person;
use crate::store::sign_in::{self, SignedIn};
use crate::store::{Actor, shop};

/// Whose page an answer is, by the number of the person: what a tablet keeps of it is kept for them alone.
const VIEWER: HeaderName = HeaderName::from_static("x-user");
/// Where the shop is made.
const FIRST_RUN: &str = "/first-run";

/// Somebody who is signed in, at the device they are at.
#[derive(Debug, Clone)]
pub struct CurrentUser(SignedIn);

impl CurrentUser {
    /// The person.
    pub fn person(&self) -> &Person {
        &self.0.person
    }

    /// Name of the person.
    pub fn name(&self) -> &Name {
        &self.0.person.name
    }

    /// What the person is in the shop.
    pub fn role(&self) -> Role {
        self.0.person.role
    }

    /// The sign-in of the device.
    pub fn sign_in(&self) -> &SignedIn {
        &self.0
    }

    /// The person as the store's log names whoever changes something.
    pub fn actor(&self) -> Actor {
        self.0.person.actor()
    }
}

impl<S: Sync> FromRequestParts<S> for CurrentUser {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        parts.extensions.get::<Frame>().and_then(|frame| frame.user.clone()).ok_or(Error::SignInFirst)
    }
}

/// Puts what is known of the request around it: who, which theme, which shop. Before there is a shop, every
/// page leads to the one that makes it.
pub async fn identify(State(app): State<AppState>, mut request: Request, next: Next) -> Response {
    let path = request.uri().path();
    if path.starts_with("/static/") {
        return next.run(request).await;
    }
    let making = path == FIRST_RUN
        || path == "/theme"
        || path.starts_with(trust::PAGE)
        || path.starts_with(manual::ADDRESS);
    let asked = request.uri().path_and_query().map_or("/", PathAndQuery::as_str).to_owned();
    let jar = CookieJar::from_headers(request.headers());
    let frame = match frame(&app, &jar, asked).await {
        Ok(frame) => frame,
        Err(error) => return error::page(Frame::default(), error::number(&request), error.into_response()),
    };
    if frame.shop.is_none() && !making {
        return Redirect::to(FIRST_RUN).into_response();
    }
    let user = frame.user.as_ref().map(|user| user.person().id.to_string());
    let user = user.and_then(|number| HeaderValue::from_str(&number).ok());
    request.extensions_mut().insert(frame);
    let mut response = next.run(request).await;
    if let Some(user) = user {
        response.headers_mut().insert(VIEWER, user);
    }
    response
}

async fn frame(app: &AppState, jar: &CookieJar, path: String) -> Result<Frame, Error> {
    let now = app.now();
    let shop = shop::get(&mut *app.store().read().await?).await?.map(|shop| shop.value);
    let signed_in = match cookie::token(jar, app.secure()) {
        Some(token) => sign_in::find(app.store(), &token, now).await?,
        None => None,
    };
    let authority = app.identity().is_some();
    Ok(Frame { user: signed_in.map(CurrentUser), theme: Theme::asked(jar), shop, now, path, authority })
}
