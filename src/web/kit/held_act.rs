//! An act that waits for the passphrase: a form that was refused because the session began with a PIN.
//!
//! The form is kept in memory as it was sent. When its sender gives the passphrase, it goes on as if it were sent
//! then, so nobody types anything twice. No page contains it, because a form may have a passphrase in it.

use std::fmt;
use std::time::Duration;

use axum::body::{self, Body, Bytes};
use axum::extract::{Request, State};
use axum::http::{Extensions, HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use moka::future::Cache;
use uuid::Uuid;

use super::AppState;
use super::defence::FORM_LIMIT;
use super::error::AskPassphrase;
use super::user::CurrentUser;
use crate::store::SignInId;

/// How long an act waits.
const KEPT: Duration = Duration::from_secs(15 * 60);
/// How many acts wait at most, of the whole shop. Each sign-in has one.
const MOST: u64 = 64;

/// The acts that wait, each by the sign-in of its sender. A newer one of the same sign-in takes the place of an older
/// one.
pub struct HeldActs(Cache<SignInId, HeldAct>);

/// On an answer: the act that waits for the passphrase.
#[derive(Debug, Clone, Copy)]
pub(super) struct Waits(pub(super) Uuid);

/// On an answer: the passphrase was given, and this act goes on.
#[derive(Debug, Clone)]
pub struct GoesOn {
    /// The act.
    pub act: Uuid,
    /// The sign-in that gave the passphrase.
    pub sign_in: SignInId,
    /// The cookies of the browser, with the new one of the sign-in.
    pub cookies: String,
}

/// A form as it was sent.
#[derive(Clone)]
struct HeldAct {
    id: Uuid,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
    body: Bytes,
}

impl Default for HeldActs {
    fn default() -> Self {
        Self(Cache::builder().max_capacity(MOST).time_to_live(KEPT).build())
    }
}

impl fmt::Debug for HeldActs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("HeldActs").field(&self.0.entry_count()).finish()
    }
}

impl HeldActs {
    /// Whether an act of a sign-in still waits.
    pub async fn has(&self, sign_in: SignInId, act: Uuid) -> bool {
        self.0.get(&sign_in).await.is_some_and(|held| held.id == act)
    }

    async fn take(&self, go: &GoesOn) -> Option<HeldAct> {
        if !self.has(go.sign_in, go.act).await {
            return None;
        }
        self.0.remove(&go.sign_in).await
    }
}

/// Keeps a form that needs the passphrase. It lies around each route.
pub async fn keep(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let by_pin = request.extensions().get::<CurrentUser>().filter(|user| user.access().is_by_pin());
    let Some(sign_in) = by_pin.map(|user| user.sign_in().id).filter(|_| is_form(&request)) else {
        return next.run(request).await;
    };
    let (head, body) = request.into_parts();
    let Ok(body) = body::to_bytes(body, FORM_LIMIT).await else {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    };
    let (method, uri, headers) = (head.method.clone(), head.uri.clone(), head.headers.clone());
    let held = HeldAct { id: Uuid::new_v4(), method, uri, headers, body: body.clone() };
    let mut answer = next.run(Request::from_parts(head, Body::from(body))).await;
    if answer.extensions().get::<AskPassphrase>().is_some() {
        answer.extensions_mut().insert(Waits(held.id));
        app.held_acts().0.insert(sign_in, held).await;
    }
    answer
}

/// Lets the act go on for which the passphrase was just given. It lies around the whole program, so that the act takes
/// its own route.
pub async fn go_on(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let extensions = request.extensions().clone();
    let mut answer = next.clone().run(request).await;
    let Some(go) = answer.extensions_mut().remove::<GoesOn>() else { return answer };
    // If the passphrase was sent twice at once, the act went on with the other answer.
    let Some(held) = app.held_acts().take(&go).await else { return answer };
    let mut done = next.run(held.again(&go.cookies, extensions)).await;
    for cookie in answer.headers().get_all(header::SET_COOKIE) {
        done.headers_mut().append(header::SET_COOKIE, cookie.clone());
    }
    done
}

/// Whether a request sends the fields of a form. A file is not kept.
fn is_form(request: &Request) -> bool {
    let kind = request.headers().get(header::CONTENT_TYPE).map(HeaderValue::as_bytes);
    request.method() == Method::POST
        && kind.is_some_and(|kind| kind.starts_with(b"application/x-www-form-urlencoded"))
}

impl HeldAct {
    /// The same form with other cookies, sent over the connection that has these extensions.
    fn again(self, cookies: &str, extensions: Extensions) -> Request {
        let mut request = Request::new(Body::from(self.body));
        (*request.method_mut(), *request.uri_mut(), *request.headers_mut()) =
            (self.method, self.uri, self.headers);
        *request.extensions_mut() = extensions;
        if let Ok(cookies) = HeaderValue::from_str(cookies) {
            request.headers_mut().insert(header::COOKIE, cookies);
        }
        request
    }
}
