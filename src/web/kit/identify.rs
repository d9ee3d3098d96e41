//! Finds out who sent a request, once, before its handler runs.

use axum::extract::{Request, State};
use axum::http::uri::PathAndQuery;
use axum::http::{HeaderMap, HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

use super::frame::Frame;
use super::theme::Theme;
use super::user::CurrentUser;
use super::{AppState, Error, cookie, error_page, manual};
use crate::store::sign_in::SignedIn;
use crate::store::{grants, shop, sign_in};

/// The number of the person whose page an answer is. A tablet keeps the page for that person only.
const VIEWER: HeaderName = HeaderName::from_static("x-user");

/// Tells a browser to delete what it kept. It goes with every answer to a sign-in that is over, and with every one that
/// changes the sign-in: signing in and out, a switch, a new passphrase.
const CLEAR: HeaderName = HeaderName::from_static("clear-site-data");

/// The page that explains how a tablet comes to trust the shop.
pub const TRUST: &str = "/trust";
/// The page that sets up the shop.
const FIRST_RUN: &str = "/first-run";

/// Adds what is known to the request: user, theme and shop. Until the shop is set up, every page leads to the page
/// that sets it up.
pub async fn identify(State(app): State<AppState>, mut request: Request, next: Next) -> Response {
    let path = request.uri().path();
    if path.starts_with("/static/") {
        return next.run(request).await;
    }
    let making =
        path == FIRST_RUN || path == "/theme" || path.starts_with(TRUST) || path.starts_with(manual::ADDRESS);
    let asked = request.uri().path_and_query().map_or("/", PathAndQuery::as_str).to_owned();
    let jar = CookieJar::from_headers(request.headers());
    let frame = match frame(&app, &jar, asked).await {
        Ok(frame) => frame,
        Err(error) => {
            return error_page::page(Frame::default(), error_page::number(&request), error.into_response());
        }
    };
    if frame.shop.is_none() && !making {
        return Redirect::to(FIRST_RUN).into_response();
    }
    let user = frame.user.as_ref().map(|user| user.person().id.to_string());
    let user = user.and_then(|number| HeaderValue::from_str(&number).ok());
    if let Some(user) = &frame.user {
        request.extensions_mut().insert(user.clone());
    }
    request.extensions_mut().insert(frame);
    let is_over = user.is_none() && cookie::token(&jar, app.secure()).is_some();
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    if is_over || cookie::is_changed(headers, app.secure()) {
        headers.insert(CLEAR, HeaderValue::from_static("\"cache\""));
    }
    if let Some(user) = user {
        keep_for(user, headers);
    }
    response
}

/// What was made for one person is not for the cache of a browser, which shows it to whoever goes back. The tablet's own
/// script keeps it for that person only, unless the handler said that nobody keeps it.
fn keep_for(user: HeaderValue, headers: &mut HeaderMap) {
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-store"));
        headers.insert(VIEWER, user);
    }
}

async fn frame(app: &AppState, jar: &CookieJar, path: String) -> Result<Frame, Error> {
    let now = app.now();
    let shop = shop::get(&mut *app.store().read().await?).await?.map(|shop| shop.value);
    let user = user(app, jar).await?;
    let authority = app.identity().is_some();
    Ok(Frame { user, theme: Theme::asked(jar), shop, now, path, authority, job: None })
}

/// The user of the browser with these cookies. This counts as a use of the sign-in.
async fn user(app: &AppState, jar: &CookieJar) -> Result<Option<CurrentUser>, Error> {
    let Some(token) = cookie::token(jar, app.secure()) else { return Ok(None) };
    current(app, sign_in::find(app.store(), &token, app.now()).await?).await
}

/// The same for a page that stays open, without a use of the sign-in.
pub async fn watcher(app: &AppState, jar: &CookieJar) -> Result<Option<CurrentUser>, Error> {
    let Some(token) = cookie::token(jar, app.secure()) else { return Ok(None) };
    current(app, sign_in::look_up(app.store(), &token, app.now()).await?).await
}

/// A sign-in with what its person may see and do at this moment.
async fn current(app: &AppState, signed_in: Option<SignedIn>) -> Result<Option<CurrentUser>, Error> {
    let Some(signed_in) = signed_in else { return Ok(None) };
    let access = grants::access(&mut *app.store().read().await?, &signed_in).await?;
    Ok(Some(CurrentUser::new(signed_in, access)))
}
