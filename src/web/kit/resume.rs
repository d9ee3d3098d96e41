//! Keeps a form that needs the passphrase, and lets it go on once the passphrase is given.

use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request, State};
use axum::http::{HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use super::AppState;
use super::error::AskPassphrase;
use super::held_act::{GoesOn, HeldAct, Waits};
use super::user::CurrentUser;

/// Keeps a form that needs the passphrase. It lies around each route.
pub async fn keep(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let by_pin = request.extensions().get::<CurrentUser>().filter(|user| user.access().is_by_pin());
    let Some(sign_in) = by_pin.map(|user| user.sign_in().id).filter(|_| is_form(&request)) else {
        return next.run(request).await;
    };
    let (head, body) = request.into_parts();
    let body = match Bytes::from_request(Request::from_parts(head.clone(), body), &()).await {
        Ok(body) => body,
        Err(refused) => return refused.into_response(),
    };
    let (method, uri, headers) = (head.method.clone(), head.uri.clone(), head.headers.clone());
    let held = HeldAct { id: Uuid::new_v4(), method, uri, headers, body: body.clone() };
    let mut answer = next.run(Request::from_parts(head, Body::from(body))).await;
    if answer.extensions().get::<AskPassphrase>().is_some() {
        answer.extensions_mut().insert(Waits(held.id));
        app.held_acts().keep(sign_in, held).await;
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
