//! The changes of jobs, for the tablets that look at them. `watch.rs` takes them to the tablets.

use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::broadcast::{self, Receiver, Sender};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::store::JobId;

/// How many tablets listen at once: well under the connections the program takes in all.
const MOST: usize = 96;
/// How many changes a slow tablet may miss one by one; after that it hears of them as one.
const BEHIND: usize = 64;

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
    pub(super) fn listen(&self) -> Option<(Receiver<JobId>, OwnedSemaphorePermit)> {
        let place = Arc::clone(&self.room).try_acquire_owned().ok()?;
        let changes = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
        Some((changes.as_ref()?.subscribe(), place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
