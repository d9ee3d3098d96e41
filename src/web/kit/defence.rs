//! What applies to every request: its number in the log, the headers of the answer, and limits of time and size.

use std::any::Any;
use std::time::Instant;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::timeout::TimeoutLayer;
use tracing::Instrument;
use uuid::Uuid;

use super::{AppState, Error, error_page, form, host, identify, resume, watch};

/// The header with the number of a request.
pub const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Everything comes from this program, nothing is written inline, and no other site may frame a page.
const CONTENT_POLICY: &str = "default-src 'none'; object-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

const HEADERS: [(HeaderName, &str); 7] = [
    (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    // With `no-referrer`, browsers would send `Origin: null` with our own forms.
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    ),
];

/// Puts the defenses around the routes, the outermost last.
pub fn around(router: Router<AppState>, state: &AppState) -> Router<AppState> {
    router
        .layer(from_fn_with_state(state.clone(), resume::keep))
        .layer(DefaultBodyLimit::max(form::LIMIT))
        .layer(CsrfLayer::new())
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, state.setting().answer))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(from_fn_with_state(state.clone(), watch::announce))
        .layer(from_fn(error_page::show))
        .layer(from_fn_with_state(state.clone(), identify::identify))
        .layer(from_fn_with_state(state.clone(), host::check))
        .layer(CompressionLayer::new())
        .layer(from_fn_with_state(state.clone(), headers))
        .layer(from_fn(numbered))
}

/// Gives the request a number and one line in the log. The line has no query, body or cookie.
async fn numbered(mut request: Request, next: Next) -> Response {
    let id = Uuid::now_v7().to_string();
    let span = tracing::info_span!("request", %id, method = %request.method(), path = request.uri().path());
    let value = HeaderValue::from_str(&id).ok();
    if let Some(value) = &value {
        request.headers_mut().insert(REQUEST_ID, value.clone());
    }
    let started = Instant::now();
    let mut response = next.run(request).instrument(span.clone()).await;
    span.in_scope(|| {
        let elapsed_ms = started.elapsed().as_millis();
        tracing::info!(status = response.status().as_u16(), elapsed_ms, "answered");
    });
    if let Some(value) = value {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    response
}

async fn headers(
    axum::extract::State(state): axum::extract::State<AppState>,
    request: Request,
    next: Next,
) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Never with the shop's own authority: a tablet that has to trust a new one must get past the browser's warning
    // to the page that explains how.
    if state.setting().secure {
        headers.insert(header::STRICT_TRANSPORT_SECURITY, HeaderValue::from_static("max-age=31536000"));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("private, no-cache"));
    response
}

fn panicked(panic: Box<dyn Any + Send>) -> Response {
    let said = panic
        .downcast_ref::<String>()
        .cloned()
        .or_else(|| panic.downcast_ref::<&str>().map(|said| (*said).to_owned()))
        .unwrap_or_else(|| "no words".to_owned());
    Error::internal(format!("a handler panicked: {said}")).into_response()
}
