//! Tablets that look at one job hear when it changed, by server-sent events, and look again.
//!
//! The event says only that something changed: what, a tablet reads from the page it shows. Streams are
//! bounded in number and in time, and end when the program is asked to stop.

use std::convert::Infallible;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::extract::{Path, Request, State};
use axum::http::{Method, header};
use axum::middleware::Next;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::{StreamExt, future};
use tokio::sync::broadcast::{self, Receiver, Sender};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio_stream::wrappers::BroadcastStream;

use super::{AppState, Error};
use crate::store::{JobId, jobs};

/// How many tablets listen at once: well under the connections the program takes in all.
const MOST: usize = 96;
/// How many changes a slow tablet may miss one by one; after that it hears of them as one.
const BEHIND: usize = 64;
/// How long one stream lasts. The tablet asks anew, and whoever was signed out meanwhile is not let in.
const LASTS: Duration = Duration::from_secs(600);
/// How often a quiet stream says that it is there.
const BREATH: Duration = Duration::from_secs(15);

/// The changes of all jobs, for whoever listens.
#[derive(Debug)]
pub struct Live {
    changes: Mutex<Option<Sender<JobId>>>,
    room: Arc<Semaphore>,
}

impl Default for Live {
    fn default() -> Self {
        let (changes, _) = broadcast::channel(BEHIND);
        Self { changes: Mutex::new(Some(changes)), room: Arc::new(Semaphore::new(MOST)) }
    }
}

impl Live {
    /// Tells everybody who listens that a job changed.
    pub fn changed(&self, job: JobId) {
        let changes = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
        // Nobody listening is no failure.
        let _ = changes.as_ref().map(|changes| changes.send(job));
    }

    /// Ends every stream and begins none any more.
    pub fn close(&self) {
        self.changes.lock().unwrap_or_else(PoisonError::into_inner).take();
    }

    /// A place to listen at; `None` where all are taken, or the program is stopping.
    fn listen(&self) -> Option<(Receiver<JobId>, OwnedSemaphorePermit)> {
        let place = Arc::clone(&self.room).try_acquire_owned().ok()?;
        let changes = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
        Some((changes.as_ref()?.subscribe(), place))
    }
}

/// Tells of the changes of one job until the listener leaves.
pub async fn listen(State(app): State<AppState>, Path(job): Path<JobId>) -> Result<Response, Error> {
    jobs::get(&mut *app.store().read().await?, job).await?;
    let Some((changes, place)) = app.live().listen() else {
        return Err(Error::TooMany { wait_s: BREATH.as_secs() });
    };
    let heard = BroadcastStream::new(changes).filter_map(move |change| {
        // The place is given up when the stream is dropped.
        let _held = &place;
        let of_this = change.map_or(true, |changed| changed == job);
        future::ready(of_this.then(|| Ok::<_, Infallible>(Event::default().event("changed").data("job"))))
    });
    let heard = heard.take_until(Box::pin(tokio::time::sleep(LASTS)));
    let stream = Sse::new(heard).keep_alive(KeepAlive::new().interval(BREATH));
    Ok(([(header::CACHE_CONTROL, "no-store")], stream).into_response())
}

/// Every change of a job is sent to an address under it: what was taken is told to whoever listens.
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

    #[test]
    fn only_so_many_listen_and_nobody_once_it_is_closed() {
        let live = Live::default();
        let listeners: Vec<_> = (0..MOST).map_while(|_| live.listen()).collect();
        assert_eq!(listeners.len(), MOST);
        assert!(live.listen().is_none());
        drop(listeners);
        let (mut changes, _place) = live.listen().unwrap();
        live.changed(JobId::from(3));
        assert_eq!(changes.try_recv(), Ok(JobId::from(3)));
        live.close();
        assert_eq!(changes.try_recv(), Err(broadcast::error::TryRecvError::Closed));
        assert!(live.listen().is_none());
    }
}
