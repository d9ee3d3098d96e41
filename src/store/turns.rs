//! Turns at work that few may do at once. Each asker has a queue of its own, and the queues take turns: whoever asks
//! often waits behind himself.

use std::collections::{HashMap, VecDeque};
use std::hash::Hash;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::oneshot;

use super::PersonId;

/// The turns at one kind of work.
#[derive(Debug, Clone)]
pub struct Turns<K: Clone + Eq + Hash + Grouped> {
    queues: Arc<Mutex<Queues<K>>>,
    /// How many may wait, over all askers.
    most: usize,
}

#[derive(Debug)]
struct Queues<K: Clone + Eq + Hash + Grouped> {
    /// How many more may work at once.
    free: usize,
    waiting: HashMap<K, VecDeque<oneshot::Sender<Turn<K>>>>,
    /// The askers that wait.
    order: Order<K>,
    /// The askers before them.
    first: Order<K>,
    /// Whether the next turn is for the group that came last. Every other turn is: so a newcomer has a turn soon,
    /// however many came before, and those who came before have theirs at half the speed.
    is_for_last: bool,
}

/// Groups of askers that wait, the one that waits longest first.
type Order<K> = VecDeque<Group<K>>;

/// A group of askers, the next one first.
#[derive(Debug)]
struct Group<K> {
    name: K,
    askers: VecDeque<K>,
    /// Whether it had a turn since it came.
    had_turn: bool,
}

/// An asker that may be one of many behind which the same person can be. Groups take turns, and within a group its
/// askers.
pub trait Grouped: Clone {
    /// The group, by a name that is an asker itself. Most askers are a group alone.
    fn group(&self) -> Self {
        self.clone()
    }
}

impl Grouped for PersonId {}

/// The permission to work. The next one in line has it when this is dropped.
#[derive(Debug)]
pub struct Turn<K: Clone + Eq + Hash + Grouped>(Turns<K>);

/// Too many wait already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("too many wait for the same work; try again in a few seconds")]
pub struct Crowded;

impl<K: Clone + Eq + Hash + Grouped> Turns<K> {
    /// So many at work at once, and so many that wait.
    pub fn new(at_once: usize, most: usize) -> Self {
        let queues = Queues {
            free: at_once,
            waiting: HashMap::new(),
            order: VecDeque::new(),
            first: VecDeque::new(),
            is_for_last: false,
        };
        Self { queues: Arc::new(Mutex::new(queues)), most }
    }

    /// The same, before all that asked by [`Self::turn`] and still wait.
    ///
    /// # Errors
    ///
    /// [`Crowded`] if too many wait already.
    pub async fn turn_first(&self, asker: K) -> Result<Turn<K>, Crowded> {
        self.ask(asker, true)?.await.map_err(|_| Crowded)
    }

    /// Waits for a turn of this asker. Whoever stops waiting leaves the queue.
    ///
    /// # Errors
    ///
    /// [`Crowded`] if too many wait already.
    pub async fn turn(&self, asker: K) -> Result<Turn<K>, Crowded> {
        // A queue gives every sender a turn, or is gone with the program.
        self.ask(asker, false)?.await.map_err(|_| Crowded)
    }

    /// Where the turn of an asker arrives, at once if nobody waits.
    fn ask(&self, asker: K, first: bool) -> Result<oneshot::Receiver<Turn<K>>, Crowded> {
        let (given, turn) = oneshot::channel();
        let mut queues = self.queues();
        if queues.free > 0 {
            queues.free -= 1;
            drop(queues);
            // The receiver is here, so it arrives.
            drop(given.send(Turn(self.clone())));
        } else if queues.count() < self.most {
            queues.enter(asker, first, given);
        } else {
            return Err(Crowded);
        }
        Ok(turn)
    }

    fn queues(&self) -> MutexGuard<'_, Queues<K>> {
        self.queues.lock().unwrap_or_else(PoisonError::into_inner)
    }

    #[cfg(test)]
    pub(crate) fn waiting(&self) -> usize {
        self.queues().count()
    }
}

impl<K: Clone + Eq + Hash + Grouped> Queues<K> {
    /// How many wait. Those that left are removed first.
    fn count(&mut self) -> usize {
        self.waiting.retain(|_, queue| {
            queue.retain(|one| !one.is_closed());
            !queue.is_empty()
        });
        for order in [&mut self.order, &mut self.first] {
            for group in order.iter_mut() {
                group.askers.retain(|asker| self.waiting.contains_key(asker));
            }
            order.retain(|group| !group.askers.is_empty());
        }
        self.waiting.values().map(VecDeque::len).sum()
    }

    fn enter(&mut self, asker: K, first: bool, given: oneshot::Sender<Turn<K>>) {
        let queue = self.waiting.entry(asker.clone()).or_default();
        if queue.is_empty() {
            let order = if first { &mut self.first } else { &mut self.order };
            let name = asker.group();
            match order.iter_mut().find(|group| group.name == name) {
                Some(group) => group.askers.push_back(asker),
                None => order.push_back(Group { name, askers: [asker].into(), had_turn: false }),
            }
        }
        queue.push_back(given);
    }

    /// The next one that still waits. Its asker goes to the end of its group, and its group to the end of the order.
    fn next(&mut self) -> Option<oneshot::Sender<Turn<K>>> {
        loop {
            let order = if self.first.is_empty() { &mut self.order } else { &mut self.first };
            let last = order.iter().rposition(|group| !group.had_turn).filter(|_| self.is_for_last);
            self.is_for_last = !self.is_for_last;
            let mut group = order.remove(last.unwrap_or_default())?;
            let asker = group.askers.pop_front()?;
            let queue = self.waiting.get_mut(&asker)?;
            let next = std::iter::from_fn(|| queue.pop_front()).find(|one| !one.is_closed());
            if queue.is_empty() {
                self.waiting.remove(&asker);
            } else {
                group.askers.push_back(asker);
            }
            if !group.askers.is_empty() {
                order.push_back(Group { had_turn: true, ..group });
            }
            if next.is_some() {
                return next;
            }
        }
    }
}

impl<K: Clone + Eq + Hash + Grouped> Drop for Turn<K> {
    fn drop(&mut self) {
        let mut queues = self.0.queues();
        match queues.next() {
            None => queues.free += 1,
            Some(next) => {
                drop(queues);
                // If that one left at this moment, the turn is dropped here, and goes on to the one after it.
                drop(next.send(Turn(self.0.clone())));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Grouped for u8 {
        fn group(&self) -> Self {
            self / 100
        }
    }

    #[tokio::test]
    async fn groups_take_turns_and_so_do_the_askers_of_each() {
        let (turns, said) = (Turns::new(1, 300), Arc::<Mutex<Vec<u8>>>::default());
        let held = turns.turn(0).await.unwrap();
        let mut tasks: Vec<_> = (1..=90).map(|asker| wait(&turns, asker, asker, &said)).collect();
        while turns.waiting() < 90 {
            tokio::task::yield_now().await;
        }
        for asker in [200, 201, 200] {
            tasks.push(wait(&turns, asker, asker, &said));
            tokio::task::yield_now().await;
        }
        drop(held);
        for task in tasks {
            task.await.unwrap();
        }
        assert_eq!(said.lock().unwrap()[..6], [1, 200, 2, 201, 3, 200]);
    }

    #[tokio::test]
    async fn a_newcomer_has_a_turn_soon_however_many_came_before() {
        let (turns, said) = (Turns::new(1, 300), Arc::<Mutex<Vec<u8>>>::default());
        let held = turns.turn(0).await.unwrap();
        let mut tasks = Vec::new();
        for asker in [1, 100, 200] {
            tasks.push(wait(&turns, asker, asker, &said));
            tokio::task::yield_now().await;
        }
        drop(held);
        for task in tasks {
            task.await.unwrap();
        }
        assert_eq!(*said.lock().unwrap(), [1, 200, 100]);
    }

    /// Starts to wait, and says its name in the order of turns.
    fn wait(
        turns: &Turns<u8>,
        asker: u8,
        name: u8,
        said: &Arc<Mutex<Vec<u8>>>,
    ) -> tokio::task::JoinHandle<()> {
        let (turns, said) = (turns.clone(), Arc::clone(said));
        tokio::spawn(async move {
            let _turn = turns.turn(asker).await.unwrap();
            said.lock().unwrap().push(name);
        })
    }

    #[tokio::test]
    async fn askers_take_turns_however_much_one_asks() {
        let (turns, said) = (Turns::new(1, 100), Arc::default());
        let held = turns.turn(0).await.unwrap();
        let mut tasks = Vec::new();
        for (asker, name) in [(1, 10), (1, 11), (1, 12), (2, 20), (3, 30), (2, 21)] {
            tasks.push(wait(&turns, asker, name, &said));
            while turns.waiting() < tasks.len() {
                tokio::task::yield_now().await;
            }
        }
        drop(held);
        for task in tasks {
            task.await.unwrap();
        }
        assert_eq!(*said.lock().unwrap(), [10, 20, 30, 11, 21, 12]);
    }

    #[tokio::test]
    async fn who_is_known_comes_before_strangers() {
        let (turns, said) = (Turns::new(1, 100), Arc::<Mutex<Vec<u8>>>::default());
        let held = turns.turn(0).await.unwrap();
        let strangers: Vec<_> = (1..9).map(|asker| wait(&turns, asker, asker, &said)).collect();
        while turns.waiting() < 8 {
            tokio::task::yield_now().await;
        }
        let mut known = turns.ask(100, true).unwrap();
        assert!(known.try_recv().is_err());
        drop(held);
        let turn = known.await.unwrap();
        assert!(said.lock().unwrap().is_empty(), "before all strangers");
        drop(turn);
        for stranger in strangers {
            stranger.await.unwrap();
        }
        assert_eq!(said.lock().unwrap().len(), 8);
    }

    #[tokio::test]
    async fn who_leaves_holds_nobody_up_and_too_many_are_refused() {
        let (turns, said) = (Turns::new(1, 2), Arc::default());
        let held = turns.turn(0).await.unwrap();
        let (leaver, stayer) = (wait(&turns, 1, 10, &said), wait(&turns, 1, 11, &said));
        while turns.waiting() < 2 {
            tokio::task::yield_now().await;
        }
        assert_eq!(turns.turn(2).await.err(), Some(Crowded));
        leaver.abort();
        let _ = leaver.await;
        assert_eq!(turns.waiting(), 1);
        drop(held);
        stayer.await.unwrap();
        assert_eq!(*said.lock().unwrap(), [11]);
        drop(turns.turn(0).await.unwrap());
        assert_eq!(turns.queues().free, 1);
    }
}
