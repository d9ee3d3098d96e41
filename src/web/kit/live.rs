//! The changes of jobs and sign-ins, for the tablets that show a job. `watch.rs` sends them to the tablets.

use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::broadcast::{self, Receiver, Sender};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::store::JobId;

/// How many tablets may listen at once: well under the number of connections that the program accepts.
const MOST: usize = 96;
/// How many changes a slow tablet may miss one by one. After that it gets one signal for all of them.
const BEHIND: usize = 64;

/// What a listener may hear of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Signal {
    /// A job changed.
    Job(JobId),
    /// A sign-in, a person or a grant changed: a listener may have lost the right to listen.
    Access,
}

/// The changes of all jobs, for all listeners.
#[derive(Debug)]
pub struct Live {
    changes: Mutex<Option<Sender<Signal>>>,
    room: Arc<Semaphore>,
}

impl Default for Live {
    fn default() -> Self {
        let (changes, _) = broadcast::channel(BEHIND);
        Self { changes: Mutex::new(Some(changes)), room: Arc::new(Semaphore::new(MOST)) }
    }
}

impl Live {
    /// Sends a signal to all listeners.
    pub(super) fn send(&self, signal: Signal) {
        let changes = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
        // It is no failure if nobody listens.
        let _ = changes.as_ref().map(|changes| changes.send(signal));
    }

    /// Ends every stream and starts no new ones.
    pub fn close(&self) {
        self.changes.lock().unwrap_or_else(PoisonError::into_inner).take();
    }

    /// A listener's channel; `None` if all are in use or the program is stopping.
    pub(super) fn listen(&self) -> Option<(Receiver<Signal>, OwnedSemaphorePermit)> {
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
        live.send(Signal::Job(JobId::from(3)));
        assert_eq!(changes.try_recv(), Ok(Signal::Job(JobId::from(3))));
        live.close();
        assert_eq!(changes.try_recv(), Err(broadcast::error::TryRecvError::Closed));
        assert!(live.listen().is_none());
    }
}
