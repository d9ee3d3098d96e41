//! How far a job is: what the ticks say of the steps.
//!
//! A step stands as its latest tick says, by the time it was made and then by its id. Ticks may
//! therefore arrive in any order, late or twice, and the job stands the same. Ticks that contradict
//! each other are all kept and shown.

use std::collections::HashMap;

use super::event::{History, Mark, Tick};
use super::phase::Phase;
use super::step::{Action, StepKey};
use super::steps::{Step, Steps};
use super::subject::{Kind, Subject};
use super::value::CircuitId;

/// Where a step stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum State {
    /// To be done.
    Open,
    /// Done.
    Done,
    /// Not needed on this boat.
    NotNeeded,
}

impl State {
    /// Whether nothing is left to do.
    pub fn is_closed(self) -> bool {
        self != Self::Open
    }

    /// The state in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Done => "done",
            Self::NotNeeded => "not needed",
        }
    }
}

/// A step's ticks and what they come to.
#[derive(Debug, Clone, Default)]
pub struct Standing<'a> {
    /// Every tick of the step, the oldest first.
    pub ticks: Vec<&'a Tick>,
}

impl<'a> Standing<'a> {
    /// Where the step stands.
    pub fn state(&self) -> State {
        match self.last().map(|tick| tick.mark) {
            Some(Mark::Done) => State::Done,
            Some(Mark::NotNeeded) => State::NotNeeded,
            Some(Mark::Undone) | None => State::Open,
        }
    }

    /// The tick that decides.
    pub fn last(&self) -> Option<&'a Tick> {
        self.ticks.last().copied()
    }

    /// The tick before, where another person said something else: worth a look.
    pub fn contradicted(&self) -> Option<&'a Tick> {
        let [.., before, last] = self.ticks.as_slice() else { return None };
        (before.by != last.by && before.mark != last.mark).then_some(*before)
    }
}

/// How many steps stand how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct Count {
    /// Done.
    pub done: usize,
    /// Not needed.
    pub not_needed: usize,
    /// Open.
    pub open: usize,
}

impl Count {
    /// All steps.
    pub fn all(self) -> usize {
        self.done + self.not_needed + self.open
    }

    /// Whether no step is open.
    pub fn is_finished(self) -> bool {
        self.open == 0
    }

    /// How much is closed, in whole percent; 100 only when nothing is open.
    pub fn percent(self) -> usize {
        (100 * (self.done + self.not_needed)).checked_div(self.all()).unwrap_or(100)
    }

    fn add(&mut self, state: State) {
        match state {
            State::Open => self.open += 1,
            State::Done => self.done += 1,
            State::NotNeeded => self.not_needed += 1,
        }
    }
}

/// The steps of a job with their ticks.
#[derive(Debug, Clone)]
pub struct Progress<'a> {
    steps: &'a Steps,
    standings: HashMap<&'a StepKey, Standing<'a>>,
}

impl<'a> Progress<'a> {
    /// Lays the ticks of a history on the steps of a plan.
    pub fn new(steps: &'a Steps, history: &'a History) -> Self {
        let mut standings: HashMap<&StepKey, Standing<'_>> = HashMap::new();
        for tick in &history.ticks {
            standings.entry(&tick.step).or_default().ticks.push(tick);
        }
        for standing in standings.values_mut() {
            standing.ticks.sort_by_key(|tick| (tick.at, tick.id));
            standing.ticks.dedup_by_key(|tick| tick.id);
        }
        Self { steps, standings }
    }

    /// The steps.
    pub fn steps(&self) -> &'a Steps {
        self.steps
    }

    /// How one step stands, and every tick it got.
    pub fn standing(&self, key: &StepKey) -> Standing<'a> {
        self.standings.get(key).cloned().unwrap_or_default()
    }

    /// Where one step stands.
    pub fn state(&self, key: &StepKey) -> State {
        self.standings.get(key).map_or(State::Open, Standing::state)
    }

    /// Ticks of steps that the plan does not have (any more).
    pub fn strays(&self) -> impl Iterator<Item = &'a Tick> {
        let stray = self.standings.iter().filter(|(key, _)| self.steps.get(key).is_none());
        stray.flat_map(|(_, standing)| standing.ticks.iter().copied())
    }

    /// The steps of a phase that are open.
    pub fn open_in(&self, phase: Phase) -> impl Iterator<Item = &'a Step> {
        self.steps.in_phase(phase).iter().filter(|step| self.state(&step.key) == State::Open)
    }

    /// How far one phase is.
    pub fn phase(&self, phase: Phase) -> Count {
        self.count(self.steps.in_phase(phase))
    }

    /// How far one circuit is.
    pub fn circuit(&self, id: &CircuitId) -> Count {
        self.count(self.steps.of_circuit(id))
    }

    /// How far the job is.
    pub fn whole(&self) -> Count {
        self.count(self.steps.all())
    }

    /// The earliest phase with an open step; `None`: all is done.
    pub fn current_phase(&self) -> Option<Phase> {
        Phase::ALL.into_iter().find(|phase| !self.phase(*phase).is_finished())
    }

    /// Whether a circuit is proven: its test is done, or somebody gave a reason why it needs none.
    pub fn is_proven(&self, circuit: &CircuitId) -> bool {
        let subject = Subject::new(Kind::Circuit, circuit);
        self.state(&StepKey { subject, action: Action::Test }).is_closed()
    }

    /// The circuits that keep a step shut: nothing is tied down before all that run in it are proven.
    /// Empty for a step that may be done.
    pub fn shut_by(&self, step: &Step) -> Vec<CircuitId> {
        if step.key.action != Action::Tie {
            return Vec::new();
        }
        step.circuits.iter().filter(|circuit| !self.is_proven(circuit)).cloned().collect()
    }

    fn count<'s>(&self, steps: impl IntoIterator<Item = &'s Step>) -> Count {
        let mut count = Count::default();
        for step in steps {
            count.add(self.state(&step.key));
        }
        count
    }
}
