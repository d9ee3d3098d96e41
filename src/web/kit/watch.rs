//! Server-sent events: tablets that show a job learn that it changed, and load it again.
//!
//! The event says only that something changed. The tablet reads the change from the page it shows. Streams are
//! limited in number and time, and end when the program stops.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::{Path, Request, State};
use axum::http::{Method, header};
use axum::middleware::Next;
use axum::response::sse::{Event, Sse};
use axum::response::{IntoResponse, Response};
use axum_extra::extract::CookieJar;
use futures_util::{Stream, StreamExt, future, stream};
use tokio::time::Instant;
use tokio_stream::wrappers::BroadcastStream;

use super::live::Signal;
use super::{AppState, Error, identify};
use crate::store::JobId;

/// How long one stream lasts. The tablet then asks again; a person who was signed out meanwhile is refused.
const LASTS: Duration = Duration::from_secs(600);

/// How often a quiet stream sends a sign of life. It also looks then whether its listener is still signed in: a sign-in
/// can expire, or be ended on the command line.
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
    let signals = BroadcastStream::new(changes).filter_map(move |signal| {
        // The listener's slot is free again when the stream is dropped.
        let _held = &place;
        future::ready(event_of(signal.ok(), job))
    });
    let breaths =
        stream::unfold(tokio::time::interval_at(Instant::now() + BREATH, BREATH), |mut clock| async move {
            clock.tick().await;
            Some((Event::default().comment(""), clock))
        });
    // Whatever happens, a listener who may no longer see the job is not told of it: the stream ends.
    let heard = ends_with(signals, breaths).take_while(move |_| still_sees(app.clone(), jar.clone(), job));
    let heard = heard.take_until(Box::pin(tokio::time::sleep(LASTS)));
    let stream = Sse::new(heard.map(Ok::<_, Infallible>));
    Ok(([(header::CACHE_CONTROL, "no-store")], stream).into_response())
}

/// What a listener of one job is sent for a signal. A listener who missed some is sent one event for all of them.
fn event_of(signal: Option<Signal>, job: JobId) -> Option<Event> {
    match signal {
        Some(Signal::Job(other)) if other != job => None,
        Some(Signal::Access) => Some(Event::default().comment("")),
        Some(Signal::Job(_)) | None => Some(Event::default().event("changed").data("job")),
    }
}

/// Two streams as one, which ends with the first of them.
fn ends_with<T>(first: impl Stream<Item = T>, second: impl Stream<Item = T>) -> impl Stream<Item = T> {
    let ended = stream::once(future::ready(None));
    let first = first.map(Some).chain(ended);
    stream::select(first, second.map(Some))
        .take_while(|item| future::ready(item.is_some()))
        .filter_map(future::ready)
}

/// Whether the listener may still see the job. A sign-in or a grant may end while the stream lasts.
async fn still_sees(app: AppState, jar: CookieJar, job: JobId) -> bool {
    let user = identify::watcher(&app, &jar).await.ok().flatten();
    user.is_some_and(|user| user.access().may_see(job))
}

/// Signals each accepted change to the listeners. Every change of a job is sent to an address under the job. Any other
/// change may end a sign-in or a grant.
pub async fn announce(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let signal = (request.method() == Method::POST).then(|| signal_of(request.uri().path()));
    let response = next.run(request).await;
    let taken = !response.status().is_client_error() && !response.status().is_server_error();
    if let Some(signal) = signal.filter(|_| taken) {
        app.live().send(signal);
    }
    response
}

fn signal_of(path: &str) -> Signal {
    job_of(path).map_or(Signal::Access, Signal::Job)
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
