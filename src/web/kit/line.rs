//! The line in which heavy work waits for a thread of its own.
//!
//! Jobs are light or heavy, by their size. Light ones never wait behind heavy ones: the check of a heavy job has a
//! thread apart, and so has the work on its pages. Heavy jobs wait behind each other, one job after another.
//!
//! A job has one place in the line for its check. A newer revision of its plan takes the place of an older one, so
//! that many changes in a row cost one check.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use tokio::runtime::Handle;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot};
use tokio::task::{self, JoinError};
use tracing::Instrument as _;

use super::Error;
use crate::store::job_size::JobSize;
use crate::store::turns::{Grouped, Turns};
use crate::store::{self, JobId, PersonId};

/// The plan of a large real boat takes less than this, in bytes.
const HEAVY_PLAN: i64 = 96 * 1024;
/// Its records are fewer than these.
const HEAVY_RECORDS: i64 = 4_000;
/// How many requests about heavy jobs may wait.
const MOST_WAITING: usize = 256;

/// In which part of the line a job waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Load {
    /// It costs no more than the boats of a shop do.
    Light,
    /// It may take seconds.
    Heavy,
}

impl From<JobSize> for Load {
    fn from(size: JobSize) -> Self {
        if size.plan > HEAVY_PLAN || size.records > HEAVY_RECORDS { Self::Heavy } else { Self::Light }
    }
}

/// Whom heavy work is for: they take turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum For {
    /// Pages of a job, and what is sent to it.
    Job(JobId),
    /// A job file that somebody imports.
    Importer(PersonId),
}

impl Grouped for For {}

/// The line of those that wait.
#[derive(Debug, Clone)]
pub struct Line {
    /// For light jobs, as many run at once as there are cores, but for one that answers.
    light: Arc<Semaphore>,
    /// For heavy jobs, one check.
    heavy: Arc<Semaphore>,
    /// And one page.
    pages: Turns<For>,
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
        Self {
            light: Arc::new(Semaphore::new((cores - 1).max(1))),
            heavy: Arc::new(Semaphore::new(1)),
            pages: Turns::new(1, MOST_WAITING),
            places: Arc::default(),
        }
    }
}

impl Line {
    /// Runs work as soon as a thread is free.
    ///
    /// # Errors
    ///
    /// The work panicked.
    pub async fn run<T: Send + 'static>(
        &self,
        load: Load,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, JoinError> {
        on_thread(self.thread(load).await, work).await
    }

    /// Does the work on a page of a heavy job, or on what is sent to it, on the thread for such pages. It ends
    /// at its next pause if nobody waits for it any more.
    ///
    /// # Errors
    ///
    /// [`Error::TooMany`] if too many wait already, [`Error::Internal`] if the work panicked.
    pub async fn page<T: Send + 'static>(
        &self,
        whom: For,
        work: impl Future<Output = T> + Send + 'static,
    ) -> Result<T, Error> {
        let turn = self.pages.turn(whom).await.map_err(store::Error::from)?;
        let (mut answer, answered) = oneshot::channel();
        let work = work.in_current_span();
        let run = move || {
            let _held = turn;
            Handle::current().block_on(async {
                tokio::select! {
                    done = work => drop(answer.send(done)),
                    () = answer.closed() => {}
                }
            });
        };
        task::spawn_blocking(run);
        answered.await.map_err(Error::internal)
    }

    /// Runs work for a revision of a job, unless a newer one waits or comes while it waits.
    pub(super) async fn run_newest<T: Send + 'static>(
        &self,
        (job, load): (JobId, Load),
        revision: i64,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, NotRun> {
        let turn = self.enter(job, load, revision).ok_or(NotRun::Newer)?;
        // Whoever loses the place hears nothing more.
        let permit = turn.await.map_err(|_| NotRun::Newer)?;
        Ok(on_thread(permit, work).await?)
    }

    /// Takes the place of a job, unless a newer revision has it.
    fn enter(
        &self,
        job: JobId,
        load: Load,
        revision: i64,
    ) -> Option<oneshot::Receiver<Option<OwnedSemaphorePermit>>> {
        let (turn, heard) = oneshot::channel();
        let mut places = self.places();
        if places.get(&job).is_some_and(|place| place.revision > revision) {
            return None;
        }
        if places.insert(job, Place { revision, turn }).is_none() {
            task::spawn(self.clone().announce(job, load));
        }
        Some(heard)
    }

    /// Waits for a thread, and then gives it to whoever has the place of the job by then.
    async fn announce(self, job: JobId, load: Load) {
        let permit = self.thread(load).await;
        let place = self.places().remove(&job);
        if let Some(place) = place {
            // If nobody waits any more, the permit goes back here.
            drop(place.turn.send(permit));
        }
    }

    /// The permit for a thread. The semaphores are never closed; then the work runs without a permit.
    async fn thread(&self, load: Load) -> Option<OwnedSemaphorePermit> {
        Arc::clone(self.threads(load)).acquire_owned().await.ok()
    }

    fn threads(&self, load: Load) -> &Arc<Semaphore> {
        match load {
            Load::Light => &self.light,
            Load::Heavy => &self.heavy,
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
    /// Keeps every thread for checks of this kind busy until what it returns is dropped.
    pub(super) async fn hold_all(&self, load: Load) -> OwnedSemaphorePermit {
        let threads = self.threads(load);
        let all = u32::try_from(threads.available_permits()).unwrap();
        Arc::clone(threads).acquire_many_owned(all).await.unwrap()
    }

    /// Waits until this revision of a job has its place.
    pub(super) async fn until_waiting(&self, job: JobId, revision: i64) {
        while self.places().get(&job).is_none_or(|place| place.revision != revision) {
            task::yield_now().await;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn light_jobs_do_not_wait_behind_heavy_ones() {
        let line = Line::default();
        let _busy = line.hold_all(Load::Heavy).await;
        assert_eq!(line.run(Load::Light, || 7).await.unwrap(), 7);
        let held = line.hold_all(Load::Light).await;
        let page = line.page(For::Job(JobId::from(1)), async { 8 }).await;
        assert_eq!(page.unwrap(), 8, "pages have a thread apart from checks");
        drop(held);
    }

    #[tokio::test]
    async fn a_page_that_nobody_waits_for_gives_its_thread_back() {
        let line = Line::default();
        let never = line.page(For::Job(JobId::from(1)), std::future::pending::<()>());
        assert!(tokio::time::timeout(std::time::Duration::from_millis(20), never).await.is_err());
        assert_eq!(line.page(For::Job(JobId::from(2)), async { 7 }).await.unwrap(), 7);
    }

    #[test]
    fn a_large_plan_or_a_long_history_is_heavy() {
        let load = |plan, records| Load::from(JobSize { plan, records });
        assert_eq!(load(46_000, 1_100), Load::Light, "the largest boat of the demo");
        assert_eq!((load(232_000, 0), load(0, 50_000)), (Load::Heavy, Load::Heavy));
    }
}
