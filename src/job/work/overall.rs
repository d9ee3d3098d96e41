//! The work on a job as a whole: what pages, the report and the write path ask.

use foldhash::HashMap;

use super::beside::Beside;
use super::events::Events;
use super::hold::{Hold, Obstacle};
use super::need::Who;
use super::status::{Reopened, StepCount, StepState, StepStatus};
use super::stops::Stops;
use super::ties::Ties;
use super::unsettled::{self, Unsettled};
use super::verdict::Verdicts;
use super::{findings, stops, table};
use crate::job::checked::Checked;
use crate::job::crimp;
use crate::job::event::{History, Judgment, Mark, Release, Tick};
use crate::job::finding::Finding;
use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::job::steps::{Step, Steps};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::CircuitId;

/// The work on a job.
#[derive(Debug)]
pub struct Work<'a> {
    pub(super) checked: &'a Checked,
    pub(super) ties: Ties<'a>,
    pub(super) events: Events<'a>,
    pub(super) verdicts: &'a Verdicts,
    pub(super) stops: Stops,
    /// The open items that hold something.
    pub(super) unsettled: Vec<Unsettled<'a>>,
    findings: Vec<Finding>,
    pub(super) failed_crimps: Vec<crimp::Failed>,
    pub(super) status: HashMap<&'a StepKey, StepStatus<'a>>,
    /// The open tests of the runs in each raceway.
    pub(super) beside: HashMap<&'a str, Beside>,
    nothing: StepStatus<'a>,
}

/// Why a step cannot get a mark.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal<'a> {
    /// The plan has no such step.
    NoStep,
    /// It is on hold.
    OnHold(Vec<Hold<'a>>),
    /// Only this person, or one above, may do it.
    Needs(Who),
}

impl<'a> Work<'a> {
    /// The work on a checked plan. `history` has all records, withdrawn ones too. `verdicts` has the verdicts of
    /// all its readings.
    pub fn of(checked: &'a Checked, history: &'a History, verdicts: &'a Verdicts) -> Self {
        let events = Events::of(history, verdicts);
        let failed_crimps = findings::failed_crimps(checked, history);
        let findings = findings::all(checked, history, &events, &failed_crimps);
        let ties = Ties::of(checked);
        let stops = Stops::of(&ties, &findings, &failed_crimps, &events);
        let unsettled = unsettled::holding(&ties, &events);
        let mut work = Self {
            checked,
            ties,
            events,
            unsettled,
            verdicts,
            stops,
            findings,
            failed_crimps,
            status: HashMap::default(),
            beside: HashMap::default(),
            nothing: StepStatus::default(),
        };
        for step in checked.steps.with_states() {
            work.judge(step);
        }
        work
    }

    /// The steps of the plan.
    pub fn steps(&self) -> &'a Steps {
        &self.checked.steps
    }

    /// The findings about the plan and its records, the most serious first.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// The sorts of crimp whose latest sample failed.
    pub fn failed_crimps(&self) -> &[crimp::Failed] {
        &self.failed_crimps
    }

    /// The status of a step, with all its ticks.
    pub fn status(&self, key: &StepKey) -> &StepStatus<'a> {
        self.status.get(key).unwrap_or(&self.nothing)
    }

    /// Whether a step is open, done or not needed.
    pub fn state(&self, key: &StepKey) -> StepState {
        self.status(key).state
    }

    /// Whether a circuit, feeder or cable is proven: its test is closed.
    pub fn is_proven(&self, run: &Subject) -> bool {
        self.state(&table::own_test(run)).is_closed()
    }

    /// Whether the boat is isolated now.
    pub fn is_isolated(&self) -> bool {
        self.events.is_isolated(None)
    }

    /// Whether the fuse of a circuit or feeder is recorded as out now.
    pub fn is_fuse_out(&self, of: &Subject) -> bool {
        self.events.is_fuse_out(&StepKey { subject: of.clone(), action: Action::FuseOut }, None)
    }

    /// Everything that a step waits for now, released or not.
    pub fn holds(&self, key: &StepKey) -> Vec<Hold<'a>> {
        let Some(step) = self.ties.step(key) else { return Vec::new() };
        table::waits(&self.ties, step).iter().flat_map(|wait| self.obstacles(key, wait, None)).collect()
    }

    /// What keeps a step on hold now: the open items that nobody released.
    pub fn on_hold(&self, key: &StepKey) -> Vec<Hold<'a>> {
        self.holds(key).into_iter().filter(|hold| hold.released.is_none()).collect()
    }

    /// Whether anything that nobody released keeps a step on hold now.
    pub fn is_on_hold(&self, key: &StepKey) -> bool {
        let Some(step) = self.ties.step(key) else { return false };
        let waits = table::waits(&self.ties, step);
        waits.iter().any(|wait| self.obstacles(key, wait, None).any(|hold| hold.released.is_none()))
    }

    /// The same for one person, who may not do every step.
    pub fn on_hold_for(&self, key: &StepKey, name: &str) -> Vec<Hold<'a>> {
        let Some(step) = self.ties.step(key) else { return Vec::new() };
        let own = self.same_person(&table::waits(&self.ties, step), name, None);
        self.on_hold(key).into_iter().chain(own).collect()
    }

    /// Whether a step can be measured now: nothing but its own measurement holds it.
    pub fn may_measure(&self, key: &StepKey) -> bool {
        self.on_hold(key).iter().all(|hold| matches!(hold.obstacle, Obstacle::Lack(_)))
    }

    /// Whether a person with this name may give a step a mark now.
    ///
    /// # Errors
    ///
    /// [`Refusal`]: the reason why not.
    pub fn may(&self, key: &StepKey, mark: Mark, who: Who, name: &str) -> Result<(), Refusal<'a>> {
        if self.ties.step(key).is_none() {
            return Err(Refusal::NoStep);
        }
        let by = Self::marked_by(key.action, mark);
        if who < by {
            return Err(Refusal::Needs(by));
        }
        let holds = match mark {
            Mark::Done => self.on_hold_for(key, name),
            Mark::NotNeeded => self.stops_of(key),
            Mark::Undone if key.action == Action::FuseOut && !self.is_isolated() => self.before_fuse_in(key),
            Mark::Undone => Vec::new(),
        };
        if holds.is_empty() { Ok(()) } else { Err(Refusal::OnHold(holds)) }
    }

    /// Who may give a step a mark.
    pub fn marked_by(action: Action, mark: Mark) -> Who {
        match mark {
            Mark::Done | Mark::Undone => table::done_by(action),
            Mark::NotNeeded => table::waiver_by(action),
        }
    }

    /// Who may record that a step is done.
    pub fn done_by(action: Action) -> Who {
        table::done_by(action)
    }

    /// Who may record that a step is not needed.
    pub fn waiver_by(action: Action) -> Who {
        table::waiver_by(action)
    }

    /// Whether "not needed" on this step is a waiver: others rest on its result.
    pub fn is_result(action: Action) -> bool {
        table::is_result(action)
    }

    /// The `stop` findings that keep a step on hold.
    fn stops_of(&self, key: &StepKey) -> Vec<Hold<'a>> {
        let Some(step) = self.ties.step(key) else { return Vec::new() };
        let waits = table::waits(&self.ties, step);
        let waits = waits.iter().filter(|wait| wait.need.is_for_stops());
        let holds = waits.flat_map(|wait| self.obstacles(key, wait, None));
        holds.filter(|hold| matches!(hold.obstacle, Obstacle::Stop(_)) && hold.released.is_none()).collect()
    }

    fn before_fuse_in(&self, key: &StepKey) -> Vec<Hold<'a>> {
        let waits = table::fuse_in(&self.ties, key);
        let holds = waits.iter().flat_map(|wait| self.obstacles(key, wait, None));
        holds.filter(|hold| hold.released.is_none()).collect()
    }

    /// The steps of a phase that are open.
    pub fn open_in(&self, phase: Phase) -> impl Iterator<Item = &'a Step> {
        self.steps().in_phase(phase).iter().filter(|step| !self.state(&step.key).is_closed())
    }

    /// The progress of one phase.
    pub fn phase(&self, phase: Phase) -> StepCount {
        self.count(self.steps().in_phase(phase))
    }

    /// The progress of one circuit.
    pub fn circuit(&self, id: &CircuitId) -> StepCount {
        self.count(self.steps().of_circuit(id))
    }

    /// The progress of the job.
    pub fn whole(&self) -> StepCount {
        self.count(self.steps().all())
    }

    /// The earliest phase with an open step; `None` if all is done.
    pub fn current_phase(&self) -> Option<Phase> {
        Phase::ALL.into_iter().find(|phase| !self.phase(*phase).is_finished())
    }

    /// The open steps that are on hold now.
    pub fn waiting(&self) -> impl Iterator<Item = &'a Step> {
        let open = self.steps().all().iter().filter(|step| !self.state(&step.key).is_closed());
        open.filter(|step| self.is_on_hold(&step.key))
    }

    /// The steps whose label must be printed again: the plan changed after it was put on.
    pub fn to_label(&self) -> impl Iterator<Item = &'a Step> {
        let labels = self.steps().all().iter().filter(|step| step.key.action == Action::Label);
        labels.filter(|step| matches!(self.status(&step.key).reopened, Some(Reopened::PlanChanged(_))))
    }

    /// Ticks of steps that the plan does not have or no longer has, without those that were undone.
    pub fn strays(&self) -> impl Iterator<Item = &'a Tick> {
        findings::strays(self.checked, &self.events)
    }

    /// The releases that still count.
    pub fn releases(&self) -> impl Iterator<Item = &'a Release> {
        self.events.releases().filter(|release| self.covers(release))
    }

    /// The judgment of a `stop` finding, if its figures are still the same.
    pub fn judgment(&self, finding: &Finding) -> Option<&'a Judgment> {
        stops::judgment(&self.events, finding)
    }

    /// The `stop` findings that no qualified person judged.
    pub fn stops(&self) -> impl Iterator<Item = &Finding> {
        let stops =
            self.findings.iter().filter(|finding| finding.level == crate::trade::finding::Level::Stop);
        stops.filter(|finding| self.judgment(finding).is_none())
    }

    fn count<'s>(&self, steps: impl IntoIterator<Item = &'s Step>) -> StepCount {
        let mut count = StepCount::default();
        for step in steps {
            count.add(self.state(&step.key));
        }
        count
    }
}

/// The step that proves a circuit.
pub fn test_of(circuit: &CircuitId) -> StepKey {
    StepKey::of(SubjectKind::Circuit, circuit, Action::Test)
}
