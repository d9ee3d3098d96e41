//! How far a job is: what the ticks say of the steps.
//!
//! A step stands as its latest tick says, by the time it was made and then by its id. Ticks may
//! therefore arrive in any order, late or twice, and the job stands the same. Ticks that contradict
//! each other are all kept and shown. A part of tying a run down that nobody ticked stands as the tie
//! itself: until it had parts, the one tick spoke for all of them.

use std::collections::HashMap;

use jiff::Timestamp;
use uuid::Uuid;

use super::event::{History, Mark, Release, Repair, Tick};
use super::phase::Phase;
use super::step::{Action, StepKey};
use super::steps::{Step, Steps};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, FeederId};

/// Where a step stands.
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
pub struct StepStatus<'a> {
    /// Every tick of the step, the oldest first.
    pub ticks: Vec<&'a Tick>,
    /// What opened it again after it was done.
    pub opened: Option<Opened<'a>>,
}

/// Why a step that was done has to be done again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Opened<'a> {
    /// A pull, a termination or the switch of its wire was taken back.
    Wire(&'a Tick),
    /// A fault was found on it and put right.
    Repair(&'a Repair),
}

impl<'a> Opened<'a> {
    /// When, and the id that tells two events of one moment apart.
    pub fn moment(self) -> (Timestamp, Uuid) {
        match self {
            Self::Wire(tick) => (tick.at, tick.id),
            Self::Repair(repair) => (repair.at, repair.id),
        }
    }

    /// Why, in words.
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
    /// Where the step stands.
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

    /// The tick before, where another person said something else: worth a look.
    pub fn contradicted(&self) -> Option<&'a Tick> {
        let [.., before, last] = self.ticks.as_slice() else { return None };
        (before.by != last.by && before.mark != last.mark).then_some(*before)
    }
}

/// How many steps stand how.
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

    /// How much is closed, in whole percent; 100 only when nothing is open.
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
    /// The latest opening of each circuit and feeder, by its id.
    opened: HashMap<&'a str, Opened<'a>>,
}

impl<'a> Progress<'a> {
    /// Lays the ticks of a history on the steps of a plan.
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
        let cables = cables_opened(&standings);
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

    /// What opened a circuit's wire last: nothing read before it proves anything.
    pub fn opened(&self, circuit: &CircuitId) -> Option<Opened<'a>> {
        self.opened.get(circuit.as_str()).copied()
    }

    /// Whether a release still covers a step: nothing of its wire was opened since.
    pub fn covers(&self, release: &Release, circuits: &[CircuitId]) -> bool {
        let opened = circuits.iter().filter_map(|circuit| self.opened(circuit));
        opened.into_iter().all(|by| by.moment() < (release.at, release.id))
    }

    /// The steps.
    pub fn steps(&self) -> &'a Steps {
        self.steps
    }

    /// How one step stands, and every tick it got.
    pub fn standing(&self, key: &StepKey) -> StepStatus<'a> {
        self.laid(key).cloned().unwrap_or_default()
    }

    /// Where one step stands.
    pub fn state(&self, key: &StepKey) -> StepState {
        self.laid(key).map_or(StepState::Open, StepStatus::state)
    }

    /// What was ticked of a step, or of the tie where it is a part of that nobody ticked.
    fn laid(&self, key: &StepKey) -> Option<&StepStatus<'a>> {
        self.standings.get(key).or_else(|| self.standings.get(&key.of_the_tie()?))
    }

    /// The open parts of tying a run down, which come before the tie itself.
    pub fn untied(&self, tie: &StepKey) -> impl Iterator<Item = &'a Step> {
        let parts = self.steps.in_phase(Phase::TieDown).iter();
        let part_of = |step: &&Step| step.key.of_the_tie().as_ref() == Some(tie);
        parts.filter(part_of).filter(|step| self.state(&step.key) == StepState::Open)
    }

    /// Ticks of steps that the plan does not have (any more), but for those that were taken back.
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

    /// How far one phase is.
    pub fn phase(&self, phase: Phase) -> StepCount {
        self.count(self.steps.in_phase(phase))
    }

    /// How far one circuit is.
    pub fn circuit(&self, id: &CircuitId) -> StepCount {
        self.count(self.steps.of_circuit(id))
    }

    /// How far the job is.
    pub fn whole(&self) -> StepCount {
        self.count(self.steps.all())
    }

    /// The earliest phase with an open step; `None`: all is done.
    pub fn current_phase(&self) -> Option<Phase> {
        Phase::ALL.into_iter().find(|phase| !self.phase(*phase).is_finished())
    }

    /// Whether a circuit is proven: its test is done, or somebody gave a reason why it needs none.
    pub fn is_proven(&self, circuit: &CircuitId) -> bool {
        let subject = Subject::new(SubjectKind::Circuit, circuit);
        self.state(&StepKey { subject, action: Action::Test }).is_closed()
    }

    /// The circuits that keep a step shut: nothing is tied down before all that run in it are proven.
    /// Empty for a step that may be done, and for any but a tie-down.
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

/// What opened each circuit and feeder last: a pull, a termination or the wiring of a switch that was done and
/// taken back, or a repair. A feeder opens every circuit that draws through it.
fn opened<'a>(
    steps: &'a Steps,
    history: &'a History,
    standings: &HashMap<&'a StepKey, StepStatus<'a>>,
) -> HashMap<&'a str, Opened<'a>> {
    let mut opened: HashMap<&str, Opened<'_>> = HashMap::new();
    let mut open = |id: &'a str, by: Opened<'a>| {
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
            open(id, Opened::Wire(tick));
        }
    }
    for repair in &history.repairs {
        open(repair.circuit.as_str(), Opened::Repair(repair));
    }
    opened
}

/// What opened each cable last: its pull, done and taken back.
fn cables_opened<'a>(standings: &HashMap<&'a StepKey, StepStatus<'a>>) -> HashMap<&'a str, Opened<'a>> {
    let cables = standings.iter().filter(|(key, _)| key.subject.kind == SubjectKind::Cable);
    cables.filter_map(|(key, own)| Some((key.subject.id.as_str(), Opened::Wire(taken_back(own)?)))).collect()
}

/// The tick that took back a pull, a termination or the wiring of a switch which had been done.
fn taken_back<'a>(standing: &StepStatus<'a>) -> Option<&'a Tick> {
    let is_wire = |tick: &&&Tick| matches!(tick.step.action, Action::Pull | Action::Terminate | Action::Wire);
    let after_done = standing.ticks.iter().skip_while(|tick| tick.mark != Mark::Done);
    after_done.filter(is_wire).filter(|tick| tick.mark == Mark::Undone).last().copied()
}

/// What opened the wire that a check made dead, a test or a tie-down is about.
fn reopens<'a>(steps: &Steps, key: &StepKey, opened: &HashMap<&'a str, Opened<'a>>) -> Option<Opened<'a>> {
    let is_proof = matches!(key.action, Action::Continuity | Action::Polarity | Action::Test);
    if !is_proof && !key.action.ties() {
        return None;
    }
    let step = steps.get(key)?;
    match key.subject.kind {
        // What was tied around a feeder is opened by the feeder alone.
        SubjectKind::Feeder => opened.get(key.subject.id.as_str()).copied(),
        _ => step
            .circuits
            .iter()
            .filter_map(|id| opened.get(id.as_str()).copied())
            .max_by_key(|by| by.moment()),
    }
}
