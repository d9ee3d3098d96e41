//! Server-sent events: tablets that show a job learn that it changed, and load it again.
//!
//! The event says only that something changed. The tablet reads the change from the page it shows. Streams are
//! limited in number and time, and end when the program stops.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::{Path, Request, State};
use axum::http::{Method, header};
use axum::middleware::Next;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum_extra::extract::CookieJar;
use futures_util::{StreamExt, future};
use tokio_stream::wrappers::BroadcastStream;

use super::{AppState, Error, identify};
use crate::store::JobId;

/// How long one stream lasts. The tablet then asks again; a person who was signed out meanwhile is refused.
const LASTS: Duration = Duration::from_secs(600);

/// How often a quiet stream sends a sign of life.
const BREATH: Duration = Duration::from_secs(15);

/// Sends the changes of one job until the listener leaves, or may no longer see the job.
pub async fn listen(
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    jar: CookieJar,
) -> Result<Response, Error> {
    let Some((changes, place)) = app.live().listen() else {
        return Err(Error::TooMany { wait_s: BREATH.as_secs() });
    };
    let heard = BroadcastStream::new(changes).filter_map(move |change| {
        // The listener's slot is free again when the stream is dropped.
        let _held = &place;
        let of_this = change.map_or(true, |changed| changed == job);
        future::ready(of_this.then(|| Ok::<_, Infallible>(Event::default().event("changed").data("job"))))
    });
    let heard = heard.take_while(move |_| still_sees(app.clone(), jar.clone(), job));
    let heard = heard.take_until(Box::pin(tokio::time::sleep(LASTS)));
    let stream = Sse::new(heard).keep_alive(KeepAlive::new().interval(BREATH));
    Ok(([(header::CACHE_CONTROL, "no-store")], stream).into_response())
}

/// Whether the listener may still see the job. A sign-in or a grant may end while the stream lasts.
async fn still_sees(app: AppState, jar: CookieJar, job: JobId) -> bool {
    let user = identify::user(&app, &jar).await.ok().flatten();
    user.is_some_and(|user| user.access().may_see(job))
}

/// Signals each accepted change of a job to its listeners. Every such change is sent to an address under the job.
pub async fn announce(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let job = (request.method() == Method::POST).then(|| job_of(request.uri().path())).flatten();
    let response = next.run(request).await;
    let taken = !response.status().is_client_error() && !response.status().is_server_error();
    if let Some(job) = job.filter(|_| taken) {
        app.live().changed(job);
    }
    response
}

fn job_of(path: &str) -> Option<JobId> {
    path.strip_prefix("/jobs/")?.split('/').next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_job_is_read_from_the_address() {
        assert_eq!(job_of("/jobs/12/ticks"), Some(JobId::from(12)));
        assert_eq!(job_of("/jobs/new"), None);
        assert_eq!(job_of("/people/12"), None);
    }
}
