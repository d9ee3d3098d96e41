//! The line in which heavy work waits for a thread of its own.
//!
//! A job has one place in the line. A newer revision of its plan takes the place of an older one, so that many
//! changes in a row cost one check.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot};
use tokio::task::{self, JoinError};

use crate::store::JobId;

/// The line of those that wait.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// As many run at once as there are cores, but for one that answers.
    threads: Arc<Semaphore>,
    places: Arc<Mutex<HashMap<JobId, Place>>>,
}

/// The place of a job: the newest revision that waits, and where its turn is announced.
#[derive(Debug)]
struct Place {
    revision: i64,
    turn: oneshot::Sender<Option<OwnedSemaphorePermit>>,
}

/// Why something was not run.
#[derive(Debug, thiserror::Error)]
pub(super) enum NotRun {
    /// A newer revision of the same job took its place.
    #[error("a newer revision waits")]
    Newer,
    /// It panicked.
    #[error(transparent)]
    Broken(#[from] JoinError),
}

impl Default for Line {
    fn default() -> Self {
        let cores = thread::available_parallelism().map_or(1, usize::from);
        Self { threads: Arc::new(Semaphore::new((cores - 1).max(1))), places: Arc::default() }
    }
}

impl Line {
    /// Runs work as soon as a thread is free.
    pub(super) async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, JoinError> {
        // The semaphore is never closed; then the work runs without a permit.
        on_thread(Arc::clone(&self.threads).acquire_owned().await.ok(), work).await
    }

    /// Runs work for a revision of a job, unless a newer one waits or comes while it waits.
    pub(super) async fn run_newest<T: Send + 'static>(
        &self,
        job: JobId,
        revision: i64,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, NotRun> {
        let turn = self.enter(job, revision).ok_or(NotRun::Newer)?;
        // Whoever loses the place hears nothing more.
        let permit = turn.await.map_err(|_| NotRun::Newer)?;
        Ok(on_thread(permit, work).await?)
    }

    /// Takes the place of a job, unless a newer revision has it.
    fn enter(&self, job: JobId, revision: i64) -> Option<oneshot::Receiver<Option<OwnedSemaphorePermit>>> {
        let (turn, heard) = oneshot::channel();
        let mut places = self.places();
        if places.get(&job).is_some_and(|place| place.revision > revision) {
            return None;
        }
        if places.insert(job, Place { revision, turn }).is_none() {
            task::spawn(self.clone().announce(job));
        }
        Some(heard)
    }

    /// Waits for a thread, and then gives it to whoever has the place of the job by then.
    async fn announce(self, job: JobId) {
        let permit = Arc::clone(&self.threads).acquire_owned().await.ok();
        let place = self.places().remove(&job);
        if let Some(place) = place {
            // If nobody waits any more, the permit goes back here.
            drop(place.turn.send(permit));
        }
    }

    fn places(&self) -> MutexGuard<'_, HashMap<JobId, Place>> {
        self.places.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Runs work on a thread that may block. The permit is held for as long as it runs.
async fn on_thread<T: Send + 'static>(
    permit: Option<OwnedSemaphorePermit>,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, JoinError> {
    let run = move || {
        let _held = permit;
        work()
    };
    task::spawn_blocking(run).await
}

#[cfg(test)]
impl Line {
    /// Keeps every thread busy until what it returns is dropped.
    pub(super) async fn hold_all(&self) -> OwnedSemaphorePermit {
        let all = u32::try_from(self.threads.available_permits()).unwrap();
        Arc::clone(&self.threads).acquire_many_owned(all).await.unwrap()
    }

    /// Waits until this revision of a job has its place.
    pub(super) async fn until_waiting(&self, job: JobId, revision: i64) {
        while self.places().get(&job).is_none_or(|place| place.revision != revision) {
            task::yield_now().await;
        }
    }
}
