//! The progress of a job: the status of its steps, from their ticks.
//!
//! The latest tick of a step gives its status: latest by the time it was made, then by its id. So ticks may arrive
//! in any order, late or twice, with the same result. Ticks that contradict each other are all kept and shown.
//!
//! A part of a tie-down step without a tick of its own has the status of the tie-down step itself. Older jobs have
//! one tick for all parts.

use std::collections::HashMap;

use jiff::Timestamp;
use uuid::Uuid;

use super::event::{History, Mark, Release, Repair, Tick};
use super::phase::Phase;
use super::step::{Action, StepKey};
use super::steps::{Step, Steps};
use super::subject::{Subject, SubjectKind};
use super::value::{CableId, CircuitId, FeederId};

/// The status of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StepState {
    /// To be done.
    Open,
    /// Done.
    Done,
    /// Not needed on this boat.
    NotNeeded,
}

impl StepState {
    /// Whether nothing is left to do.
    pub fn is_closed(self) -> bool {
        self != Self::Open
    }

    /// The status as a text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Done => "done",
            Self::NotNeeded => "not needed",
        }
    }
}

/// A step's ticks and the resulting status.
#[derive(Debug, Clone, Default)]
pub struct StepStatus<'a> {
    /// Every tick of the step, the oldest first.
    pub ticks: Vec<&'a Tick>,
    /// The event that opened it again after it was done.
    pub opened: Option<ReopenReason<'a>>,
}

/// Why a completed step must be done again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReopenReason<'a> {
    /// A pull, a termination or the switch of its wire was undone.
    Wire(&'a Tick),
    /// A fault on it was found and repaired.
    Repair(&'a Repair),
}

impl<'a> ReopenReason<'a> {
    /// When, and the id that distinguishes two events at the same time.
    pub fn moment(self) -> (Timestamp, Uuid) {
        match self {
            Self::Wire(tick) => (tick.at, tick.id),
            Self::Repair(repair) => (repair.at, repair.id),
        }
    }

    /// The reason as a text.
    pub fn words(self) -> String {
        match self {
            Self::Wire(tick) => {
                let StepKey { subject, .. } = &tick.step;
                format!("opened again: {} {} was undone by {}", subject.kind.word(), subject.id, tick.by)
            }
            Self::Repair(repair) => format!("opened again: {} was repaired by {}", repair.r#where, repair.by),
        }
    }
}

impl<'a> StepStatus<'a> {
    /// The status of the step.
    pub fn state(&self) -> StepState {
        if self.opened.is_some() {
            return StepState::Open;
        }
        match self.last().map(|tick| tick.mark) {
            Some(Mark::Done) => StepState::Done,
            Some(Mark::NotNeeded) => StepState::NotNeeded,
            Some(Mark::Undone) | None => StepState::Open,
        }
    }

    /// The tick that decides.
    pub fn last(&self) -> Option<&'a Tick> {
        self.ticks.last().copied()
    }

    /// The tick before, if another person recorded a different status: worth a check.
    pub fn contradicted(&self) -> Option<&'a Tick> {
        let [.., before, last] = self.ticks.as_slice() else { return None };
        (before.by != last.by && before.mark != last.mark).then_some(*before)
    }
}

/// The number of steps by status.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct StepCount {
    /// Done.
    pub done: usize,
    /// Not needed.
    pub not_needed: usize,
    /// Open.
    pub open: usize,
}

impl StepCount {
    /// All steps.
    pub fn all(self) -> usize {
        self.done + self.not_needed + self.open
    }

    /// Whether no step is open.
    pub fn is_finished(self) -> bool {
        self.open == 0
    }

    /// The closed share in whole percent; 100 only if nothing is open.
    pub fn percent(self) -> usize {
        (100 * (self.done + self.not_needed)).checked_div(self.all()).unwrap_or(100)
    }

    fn add(&mut self, state: StepState) {
        match state {
            StepState::Open => self.open += 1,
            StepState::Done => self.done += 1,
            StepState::NotNeeded => self.not_needed += 1,
        }
    }
}

/// The steps of a job with their ticks.
#[derive(Debug, Clone)]
pub struct Progress<'a> {
    steps: &'a Steps,
    standings: HashMap<&'a StepKey, StepStatus<'a>>,
    /// The latest event that opened each circuit and feeder, by its id.
    opened: HashMap<&'a str, ReopenReason<'a>>,
}

impl<'a> Progress<'a> {
    /// Assigns the ticks of a history to the steps of a plan.
    pub fn new(steps: &'a Steps, history: &'a History) -> Self {
        let mut standings: HashMap<&StepKey, StepStatus<'_>> = HashMap::new();
        for tick in &history.ticks {
            standings.entry(&tick.step).or_default().ticks.push(tick);
        }
        for standing in standings.values_mut() {
            standing.ticks.sort_by_key(|tick| (tick.at, tick.id));
            standing.ticks.dedup_by_key(|tick| tick.id);
        }
        let opened = opened(steps, history, &standings);
        let cables = cables_opened(steps, &standings);
        for (key, standing) in &mut standings {
            let by = match key.subject.kind {
                SubjectKind::Cable => {
                    cables.get(key.subject.id.as_str()).copied().filter(|_| key.action.ties())
                }
                _ => reopens(steps, key, &opened),
            };
            standing.opened = by.filter(|by| {
                standing
                    .last()
                    .is_some_and(|last| last.mark == Mark::Done && (last.at, last.id) < by.moment())
            });
        }
        Self { steps, standings, opened }
    }

    /// The latest event that opened a circuit's wire. Readings from before that event prove nothing.
    pub fn opened(&self, circuit: &CircuitId) -> Option<ReopenReason<'a>> {
        self.opened.get(circuit.as_str()).copied()
    }

    /// Whether a release is still valid for a step: none of its wire was opened since.
    pub fn covers(&self, release: &Release, circuits: &[CircuitId]) -> bool {
        let opened = circuits.iter().filter_map(|circuit| self.opened(circuit));
        opened.into_iter().all(|by| by.moment() < (release.at, release.id))
    }

    /// The steps.
    pub fn steps(&self) -> &'a Steps {
        self.steps
    }

    /// The status of one step, with all its ticks.
    pub fn standing(&self, key: &StepKey) -> StepStatus<'a> {
        self.laid(key).cloned().unwrap_or_default()
    }

    /// The status of one step.
    pub fn state(&self, key: &StepKey) -> StepState {
        self.laid(key).map_or(StepState::Open, StepStatus::state)
    }

    /// The ticks of a step, or of the tie-down step if this is a part without a tick.
    fn laid(&self, key: &StepKey) -> Option<&StepStatus<'a>> {
        self.standings.get(key).or_else(|| self.standings.get(&key.of_the_tie()?))
    }

    /// The open parts of a tie-down step, which come before the step itself.
    pub fn untied(&self, tie: &StepKey) -> impl Iterator<Item = &'a Step> {
        let parts = self.steps.in_phase(Phase::TieDown).iter();
        let part_of = |step: &&Step| step.key.of_the_tie().as_ref() == Some(tie);
        parts.filter(part_of).filter(|step| self.state(&step.key) == StepState::Open)
    }

    /// Ticks of steps that the plan does not have or no longer has, without those that were undone.
    pub fn strays(&self) -> impl Iterator<Item = &'a Tick> {
        let counts =
            |standing: &StepStatus<'_>| standing.last().is_some_and(|last| last.mark != Mark::Undone);
        let stray = self
            .standings
            .iter()
            .filter(move |(key, standing)| self.steps.get(key).is_none() && counts(standing));
        stray.flat_map(|(_, standing)| standing.ticks.iter().copied())
    }

    /// The steps of a phase that are open.
    pub fn open_in(&self, phase: Phase) -> impl Iterator<Item = &'a Step> {
        self.steps.in_phase(phase).iter().filter(|step| self.state(&step.key) == StepState::Open)
    }

    /// The progress of one phase.
    pub fn phase(&self, phase: Phase) -> StepCount {
        self.count(self.steps.in_phase(phase))
    }

    /// The progress of one circuit.
    pub fn circuit(&self, id: &CircuitId) -> StepCount {
        self.count(self.steps.of_circuit(id))
    }

    /// The progress of the job.
    pub fn whole(&self) -> StepCount {
        self.count(self.steps.all())
    }

    /// The earliest phase with an open step; `None` if all is done.
    pub fn current_phase(&self) -> Option<Phase> {
        Phase::ALL.into_iter().find(|phase| !self.phase(*phase).is_finished())
    }

    /// Whether a circuit is proven: its test is done, or somebody gave a reason why it is not needed.
    pub fn is_proven(&self, circuit: &CircuitId) -> bool {
        let subject = Subject::new(SubjectKind::Circuit, circuit);
        self.state(&StepKey { subject, action: Action::Test }).is_closed()
    }

    /// The circuits that hold a step: a run is tied down only after all its circuits are proven. Empty for a step
    /// that may be done, and for every step that is not a tie-down.
    pub fn shut_by(&self, step: &Step) -> Vec<CircuitId> {
        if !step.key.action.ties() {
            return Vec::new();
        }
        step.circuits.iter().filter(|circuit| !self.is_proven(circuit)).cloned().collect()
    }

    fn count<'s>(&self, steps: impl IntoIterator<Item = &'s Step>) -> StepCount {
        let mut count = StepCount::default();
        for step in steps {
            count.add(self.state(&step.key));
        }
        count
    }
}

/// The latest event that opened each circuit and feeder: a pull, a termination or a switch wiring that was undone,
/// or a repair. A feeder opens every circuit that it feeds.
fn opened<'a>(
    steps: &'a Steps,
    history: &'a History,
    standings: &HashMap<&'a StepKey, StepStatus<'a>>,
) -> HashMap<&'a str, ReopenReason<'a>> {
    let mut opened: HashMap<&str, ReopenReason<'_>> = HashMap::new();
    let mut open = |id: &'a str, by: ReopenReason<'a>| {
        let latest = opened.entry(id).or_insert(by);
        if latest.moment() < by.moment() {
            *latest = by;
        }
    };
    let undone =
        standings.iter().filter_map(|(key, standing)| Some((steps.get(key)?, taken_back(standing)?)));
    for (step, tick) in undone {
        let through = step.feeder.iter().flat_map(|feeder| steps.through(feeder));
        let circuits = step.circuits.iter().chain(through).map(CircuitId::as_str);
        for id in circuits.chain(step.feeder.as_ref().map(FeederId::as_str)) {
            open(id, ReopenReason::Wire(tick));
        }
    }
    for repair in &history.repairs {
        open(repair.circuit.as_str(), ReopenReason::Repair(repair));
    }
    opened
}

/// The latest event that opened each cable: its pull or the termination of an end was undone.
fn cables_opened<'a>(
    steps: &'a Steps,
    standings: &HashMap<&'a StepKey, StepStatus<'a>>,
) -> HashMap<&'a str, ReopenReason<'a>> {
    let of_cable = |key: &StepKey| steps.get(key)?.cable.as_ref().map(CableId::as_str);
    let undone = standings.iter().filter_map(|(key, own)| Some((of_cable(key)?, taken_back(own)?)));
    let mut undone: Vec<_> = undone.map(|(cable, tick)| (cable, ReopenReason::Wire(tick))).collect();
    undone.sort_by_key(|(_, by)| by.moment());
    undone.into_iter().collect()
}

/// The tick that undid a completed pull, termination or switch wiring.
fn taken_back<'a>(standing: &StepStatus<'a>) -> Option<&'a Tick> {
    let is_wire = |tick: &&&Tick| matches!(tick.step.action, Action::Pull | Action::Terminate | Action::Wire);
    let after_done = standing.ticks.iter().skip_while(|tick| tick.mark != Mark::Done);
    after_done.filter(is_wire).filter(|tick| tick.mark == Mark::Undone).last().copied()
}

/// The event that opened the wire of a test before power, a test or a tie-down.
fn reopens<'a>(
    steps: &Steps,
    key: &StepKey,
    opened: &HashMap<&'a str, ReopenReason<'a>>,
) -> Option<ReopenReason<'a>> {
    let is_proof = matches!(key.action, Action::Continuity | Action::Polarity | Action::Test);
    if !is_proof && !key.action.ties() {
        return None;
    }
    let step = steps.get(key)?;
    match key.subject.kind {
        // Only the feeder itself opens its tie-down steps again.
        SubjectKind::Feeder => opened.get(key.subject.id.as_str()).copied(),
        _ => step
            .circuits
            .iter()
            .filter_map(|id| opened.get(id.as_str()).copied())
            .max_by_key(|by| by.moment()),
    }
}
