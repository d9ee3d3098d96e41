//! Requests about a heavy job: they are answered on a thread for such jobs, so that everybody else is answered
//! meanwhile.

use axum::RequestExt;
use axum::body::{self, Body};
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::line::{For, Load};
use super::{AppState, Error, form};
use crate::shop::access::OnJob;
use crate::store::{JobId, job_size};

/// Lets a request go on, on a thread apart if its job is heavy.
pub(super) async fn answer(
    app: &AppState,
    job: Option<OnJob<JobId>>,
    request: Request,
    next: Next,
) -> Response {
    match job {
        Some(job) => answered(app, job.id, request, next).await.unwrap_or_else(IntoResponse::into_response),
        None => next.run(request).await,
    }
}

async fn answered(app: &AppState, job: JobId, request: Request, next: Next) -> Result<Response, Error> {
    let load = Load::from(job_size::of(&mut *app.store().read().await?, job).await?);
    if load == Load::Light || sends_a_file(&request) {
        return Ok(next.run(request).await);
    }
    // A form that arrives slowly must not keep the thread.
    let (head, body) = request.with_limited_body().into_parts();
    match body::to_bytes(body, form::LIMIT).await {
        Ok(body) => {
            app.line().page(For::Job(job), next.run(Request::from_parts(head, Body::from(body)))).await
        }
        Err(_) => Ok(StatusCode::PAYLOAD_TOO_LARGE.into_response()),
    }
}

/// Whether a request brings a file, such as a photo. Files are large and arrive slowly, and their pages cost little.
fn sends_a_file(request: &Request) -> bool {
    let kind = request.headers().get(header::CONTENT_TYPE);
    kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/"))
}
