//! Judges one step: whether it is closed, what opened it again, and what it waits for.

use std::iter;

use super::beside::Beside;
use super::events::Moment;
use super::hold::{Hold, Obstacle};
use super::lack::Lack;
use super::need::{Bond, Need, Wait, Who};
use super::overall::Work;
use super::seen;
use super::status::{Opening, Reopened, StepState, StepStatus};
use super::table;
use crate::job::event::{Mark, Release, Tick};
use crate::job::open_item::OpenItem;
use crate::job::record::Record;
use crate::job::step::{Action, StepKey};
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::RacewayId;
use crate::trade::say::{Statement, say};

impl<'a> Work<'a> {
    /// Judges a step after everything that it waits for.
    pub(super) fn judge(&mut self, step: &'a Step) {
        if self.status.contains_key(&step.key) {
            return;
        }
        let waits = table::waits(&self.ties, step);
        for wait in &waits {
            self.judge_need(&wait.need);
        }
        let status = self.status_of(step, &waits);
        self.status.insert(&step.key, status);
    }

    fn judge_need(&mut self, need: &Need) {
        match need {
            Need::Step(key) | Need::StepOrFuseOut(key, _) => {
                if let Some(step) = self.ties.step(key) {
                    self.judge(step);
                }
            }
            Need::EverythingElse => {
                for step in self.everything_else() {
                    self.judge(step);
                }
            }
            Need::Raceway(id) if !self.beside.contains_key(id.as_str()) => {
                let Some(raceway) = self.ties.plan().raceways.iter().find(|raceway| raceway.id == *id) else {
                    return;
                };
                let tests: Vec<StepKey> = self.ties.sharing(id).iter().map(table::own_test).collect();
                let steps: Vec<&'a Step> = tests.iter().filter_map(|test| self.ties.step(test)).collect();
                for step in steps {
                    self.judge(step);
                }
                let open = |test: &&StepKey| !self.state(test).is_closed();
                let never = |test: &&StepKey| !self.status(test).was_closed();
                let beside = Beside {
                    open: tests.iter().filter(open).cloned().collect(),
                    never: tests.iter().filter(open).filter(never).cloned().collect(),
                };
                self.beside.insert(raceway.id.as_str(), beside);
            }
            _ => {}
        }
    }

    fn status_of(&self, step: &'a Step, waits: &[Wait]) -> StepStatus<'a> {
        let ticks = self.events.ticks(&step.key).to_vec();
        let own = self.own_opening(step, &ticks);
        let rests = self.opening_of_rests(waits);
        let opening = latest(own, rests);
        let Some(last) = ticks.last().copied() else {
            return StepStatus { opening, rests, ..StepStatus::default() };
        };
        let (closed, reopened) = match last.mark {
            Mark::Undone => (StepState::Open, None),
            Mark::Done => (StepState::Done, self.undone_by(step, waits, last, opening)),
            Mark::NotNeeded => (StepState::NotNeeded, self.waiver_ended_by(step, waits, last, own)),
        };
        let state = if reopened.is_some() { StepState::Open } else { closed };
        StepStatus { ticks, state, reopened, opening, rests }
    }

    /// Why a step that was recorded as done is open.
    fn undone_by(
        &self,
        step: &'a Step,
        waits: &[Wait],
        last: &'a Tick,
        opening: Option<Opening<'a>>,
    ) -> Option<Reopened<'a>> {
        if let Some(opening) = opening.filter(|opening| last.moment() < opening.moment()) {
            return Some(Reopened::By(opening));
        }
        if let Some(what) = self.plan_changed(step, last) {
            return Some(Reopened::PlanChanged(what));
        }
        if step.key.action == Action::Connect && self.is_isolated() {
            return Some(Reopened::Isolated);
        }
        let mut holds: Vec<Hold<'a>> =
            waits.iter().flat_map(|wait| self.obstacles(&step.key, wait, Some(last.moment()))).collect();
        holds.extend(self.same_person(waits, last.by.as_str(), Some(last.moment())));
        let lack = holds.iter().find_map(|hold| match &hold.obstacle {
            Obstacle::Lack(lack) => Some(lack.clone()),
            _ => None,
        });
        // An isolation that has ended was measured when it began.
        let has_ended = step.key.action == Action::Isolate && !self.is_isolated();
        let lack = if has_ended { self.lack_of_isolation(last.moment()) } else { lack };
        if let Some(lack) = lack {
            return Some(Reopened::Lacks(lack));
        }
        // An act made offline could not be refused for want of a reason.
        if last.reason.is_none()
            && let Some(doubt) = self.doubt_before(&step.key, Some(last.moment()))
        {
            return Some(Reopened::Lacks(Lack::NotAccepted(doubt)));
        }
        let holds = holds.into_iter().filter(|hold| !matches!(hold.obstacle, Obstacle::Lack(_)));
        let open: Vec<Hold<'a>> = holds.filter(|hold| hold.released.is_none()).collect();
        (!open.is_empty()).then_some(Reopened::OnHold(open))
    }

    /// Why a step that was recorded as not needed is open.
    fn waiver_ended_by(
        &self,
        step: &'a Step,
        waits: &[Wait],
        last: &'a Tick,
        own: Option<Opening<'a>>,
    ) -> Option<Reopened<'a>> {
        if let Some(opening) = own.filter(|opening| last.moment() < opening.moment()) {
            return Some(Reopened::By(opening));
        }
        if !table::is_result(step.key.action) {
            return None;
        }
        if !self.events.counts(last.id) {
            return Some(Reopened::NotConfirmed);
        }
        if let Some(what) = self.plan_changed(step, last) {
            return Some(Reopened::PlanChanged(what));
        }
        let stops = waits.iter().filter(|wait| matches!(wait.need, Need::NoStop(_)));
        let stops: Vec<Hold<'a>> = stops.flat_map(|wait| self.obstacles(&step.key, wait, None)).collect();
        (!stops.is_empty()).then_some(Reopened::OnHold(stops))
    }

    fn plan_changed(&self, step: &Step, last: &Tick) -> Option<String> {
        if last.seen.is_empty() {
            return None;
        }
        seen::changed(&last.seen, &seen::today(self.checked, &step.key))
    }

    /// The latest event of the step itself that opened it: it was undone, done again after a change of the plan,
    /// its measurement failed, or its circuit was repaired.
    fn own_opening(&self, step: &Step, ticks: &[&'a Tick]) -> Option<Opening<'a>> {
        let key = &step.key;
        if matches!(key.action, Action::Isolate | Action::FuseOut) {
            return None;
        }
        let undone = ticks.windows(2).rev().find_map(|pair| match pair {
            [before, tick] if before.mark != Mark::Undone && tick.mark == Mark::Undone => {
                Some(Opening::Undone(tick))
            }
            _ => None,
        });
        let again = done_again(ticks).map(Opening::DoneAgain);
        let failed = match key.subject.kind {
            SubjectKind::Circuit if key.action == Action::Test => {
                let readings = self.events.readings(&key.subject.id).iter();
                readings.copied().rfind(|reading| self.fails(reading.id)).map(Opening::Failed)
            }
            _ => {
                let measured = self.events.measurements(key).iter();
                measured.copied().rfind(|reading| self.fails(reading.id)).map(Opening::FailedStep)
            }
        };
        [undone, again, failed, self.repaired(key)].into_iter().fold(None, latest)
    }

    /// The latest event that opened anything that a step rests on.
    pub(super) fn opening_of_rests(&self, waits: &[Wait]) -> Option<Opening<'a>> {
        let rests = waits.iter().filter(|wait| wait.bond == Bond::Rests);
        let openings = rests.filter_map(|wait| match &wait.need {
            Need::Step(key) | Need::StepOrFuseOut(key, _) => self.status(key).opening,
            Need::EverythingElse => self.latest_opening(),
            _ => None,
        });
        openings.map(Some).fold(None, latest)
    }

    /// Every step but the handover itself.
    pub(super) fn everything_else(&self) -> impl Iterator<Item = &'a Step> + use<'a> {
        self.checked.steps.all().iter().filter(|step| step.key.action != Action::HandOver)
    }

    /// The latest event that opened any step but the handover.
    fn latest_opening(&self) -> Option<Opening<'a>> {
        self.everything_else().map(|step| self.status(&step.key).opening).fold(None, latest)
    }

    /// The hold on a second look by the person who did most of the work, until a moment or until now.
    pub(super) fn same_person(&self, waits: &[Wait], by: &str, until: Option<Moment>) -> Option<Hold<'a>> {
        let wait = waits.iter().find(|wait| wait.need == Need::SecondPerson)?;
        let text =
            say!("{} did most of the work on this boat. Somebody else must look it over.", by.to_owned());
        let hold = Hold { obstacle: Obstacle::SamePerson, text, by: wait.by, released: None };
        self.events.did_most(by, until).then_some(hold)
    }

    /// The open items of one need: at the moment when the step was done, or now if there is none. Each is made only
    /// when it is asked for, because one step may wait for thousands.
    pub(super) fn obstacles<'s>(
        &'s self,
        key: &'s StepKey,
        wait: &'s Wait,
        then: Option<Moment>,
    ) -> Box<dyn Iterator<Item = Hold<'a>> + 's> {
        let hold = |obstacle: Obstacle, text| self.hold(key, wait.by, obstacle, text);
        match &wait.need {
            Need::StepOrFuseOut(_, of) if self.is_fuse_out(of) => Box::new(iter::empty()),
            Need::Step(other) | Need::StepOrFuseOut(other, _) => {
                let is_open = self.is_missing(other, wait.bond, then);
                one(is_open.then(|| hold(Obstacle::Step(other.clone()), self.open_text(other))))
            }
            Need::EverythingElse => {
                let open = self.everything_else().filter(|step| !self.state(&step.key).is_closed());
                let open =
                    open.map(move |step| hold(Obstacle::Step(step.key.clone()), self.open_text(&step.key)));
                let stops = self.stops.all().iter();
                let stops = stops.map(move |stop| hold(Obstacle::Stop(stop.key.clone()), stop.text.clone()));
                let items = self.unsettled.iter().map(move |one| hold_by_item(one.item));
                Box::new(open.chain(stops.map(|hold| Hold { by: Who::Judge, ..hold })).chain(items))
            }
            // The person decides; `same_person` asks.
            Need::SecondPerson => Box::new(iter::empty()),
            Need::Dead(fuses) => {
                let text =
                    say!("The boat is not isolated. Switch the batteries off and read zero volts first.");
                one((!self.is_dead(fuses, then)).then(|| hold(Obstacle::NotIsolated, text)))
            }
            Need::Powered(of) => {
                one(self.not_powered(of.as_ref(), then).map(|text| hold(Obstacle::NotPowered, text)))
            }
            // A failed sample puts later ends on hold. Ends that were made before it get a `stop` finding.
            Need::Sample(end) if then.is_none() => {
                let failed = self.failed_crimps.iter().find(|failed| failed.ends.contains(end));
                one(failed.map(|failed| hold(Obstacle::Sample(failed.finding().key()), failed.sentence())))
            }
            Need::Sample(_) => Box::new(iter::empty()),
            Need::NoStop(subjects) => {
                let stops = self.stops.about(subjects);
                Box::new(stops.map(move |stop| hold(Obstacle::Stop(stop.key.clone()), stop.text.clone())))
            }
            Need::NoStopAhead => {
                let stops = self.stops.ahead(|subject| self.is_fuse_out(subject));
                Box::new(stops.map(move |stop| hold(Obstacle::Stop(stop.key.clone()), stop.text.clone())))
            }
            Need::Settled(subjects) => {
                let items = self.unsettled.iter().filter(|one| one.holds_test_of(subjects));
                Box::new(items.map(|one| hold_by_item(one.item)))
            }
            Need::Measured => {
                one(self.lack(key).map(|lack| hold(Obstacle::Lack(lack.clone()), say!("{}", lack.words()))))
            }
            Need::Raceway(id) => {
                let tests = self.tests_beside(id, then).iter().filter(|test| test.subject != key.subject);
                Box::new(tests.map(move |test| hold(Obstacle::Step(test.clone()), self.open_text(test))))
            }
        }
    }

    /// An open item of a step, with its release if there is one.
    pub(super) fn hold(&self, key: &StepKey, by: Who, obstacle: Obstacle, text: Statement) -> Hold<'a> {
        let released = obstacle.key().and_then(|open| self.release_of(key, &obstacle, &open));
        Hold { obstacle, text, by, released }
    }

    /// The open tests of the runs in a raceway; for a moment in the past, those that were never closed.
    pub(super) fn tests_beside(&self, raceway: &RacewayId, then: Option<Moment>) -> &[StepKey] {
        let beside = self.beside.get(raceway.as_str());
        beside.map_or(&[], |beside| if then.is_some() { &beside.never } else { &beside.open })
    }

    /// Whether a step could be done without power. A boat that never had power is isolated as a whole.
    fn is_dead(&self, fuses: &[Subject], then: Option<Moment>) -> bool {
        let out = |subject: &_| {
            let state = StepKey { subject: Clone::clone(subject), action: Action::FuseOut };
            self.events.is_fuse_out(&state, then)
        };
        let powered = self.status(&StepKey::of_boat(Action::FirstPower)).was_closed();
        self.events.is_isolated(then) || (powered && !fuses.is_empty() && fuses.iter().all(out))
    }

    /// Why there is no power; `None` if there is.
    fn not_powered(&self, of: Option<&Subject>, then: Option<Moment>) -> Option<Statement> {
        let fuse = |subject: &Subject| StepKey { subject: subject.clone(), action: Action::FuseOut };
        if of.is_some_and(|subject| self.events.is_fuse_out(&fuse(subject), then)) {
            return Some(say!("Its fuse is recorded as out. Put it in first."));
        }
        let text = say!("The boat is isolated. Connect the battery first.");
        self.events.is_isolated(then).then_some(text)
    }

    /// Whether another step is missing, at the moment when the step was done or now.
    ///
    /// What a step only waits for may be opened again later without opening the step.
    fn is_missing(&self, other: &StepKey, bond: Bond, then: Option<Moment>) -> bool {
        let status = self.status(other);
        let was_there = bond == Bond::Waits && then.is_some() && status.was_closed();
        !was_there && !status.state.is_closed()
    }

    /// The text of an open step: what it is, and why it is open although it was recorded.
    pub(super) fn open_text(&self, key: &StepKey) -> Statement {
        match &self.status(key).reopened {
            Some(why) => say!("{}: {} ({})", self.about(key), key.action.open(), why.words()),
            None => say!("{}: {}", self.about(key), key.action.open()),
        }
    }

    fn about(&self, key: &StepKey) -> String {
        self.ties.step(key).map_or_else(|| key.subject.id.clone(), |step| step.about.clone())
    }

    /// The release of a step from an open item, if it still counts.
    pub(super) fn release_of(&self, step: &StepKey, obstacle: &Obstacle, open: &str) -> Option<&'a Release> {
        let release = self.events.release(step, open)?;
        let ended = match obstacle {
            Obstacle::Step(other) => self.is_over(release, other),
            Obstacle::Sample(_) => self.sampled_since(release, open),
            _ => true,
        };
        (!ended).then_some(release)
    }

    /// Whether a release counts at all: the item was not opened again since.
    pub(super) fn covers(&self, release: &Release) -> bool {
        match release.obstacle.parse::<StepKey>() {
            Ok(other) => !self.is_over(release, &other),
            Err(_) => !self.sampled_since(release, &release.obstacle),
        }
    }

    fn is_over(&self, release: &Release, other: &StepKey) -> bool {
        self.status(other).opening.is_some_and(|opening| release.moment() < opening.moment())
    }

    /// Whether a sample of the same sort was pulled after the release: a new failure needs a new release.
    fn sampled_since(&self, release: &Release, key: &str) -> bool {
        let failed = self.failed_crimps.iter().find(|failed| failed.finding().key() == key);
        failed.is_none_or(|failed| release.moment() < failed.pulled)
    }

    fn fails(&self, reading: uuid::Uuid) -> bool {
        use crate::job::meter::ReadingOutcome;
        self.verdicts.get(reading).is_some_and(|verdict| verdict.outcome == ReadingOutcome::Fail)
    }
}

fn one<'s, T: 's>(item: Option<T>) -> Box<dyn Iterator<Item = T> + 's> {
    Box::new(item.into_iter())
}

/// The hold by an open item. It ends when the item is closed with what was done.
fn hold_by_item<'a>(item: &OpenItem) -> Hold<'a> {
    let text = say!("Open item, {}: {}", item.severity.word(), item.found.to_string());
    Hold { obstacle: Obstacle::OpenItem(item.id), text, by: Who::Nobody, released: None }
}

/// The latest tick that did a step again, after the plan changed what it depends on.
fn done_again<'a>(ticks: &[&'a Tick]) -> Option<&'a Tick> {
    let mut before: Option<&Tick> = None;
    let mut again = None;
    for tick in ticks.iter().copied().filter(|tick| tick.mark == Mark::Done) {
        if before.is_some_and(|before| seen::changed(&before.seen, &tick.seen).is_some()) {
            again = Some(tick);
        }
        before = Some(tick);
    }
    again
}

fn latest<'a>(one: Option<Opening<'a>>, other: Option<Opening<'a>>) -> Option<Opening<'a>> {
    match (one, other) {
        (Some(one), Some(other)) if one.moment() < other.moment() => Some(other),
        (None, other) => other,
        (one, _) => one,
    }
}
