//! The records of a job, sorted by what they are about.

use std::hash::Hash;

use foldhash::{HashMap, HashSet};
use jiff::Timestamp;
use uuid::Uuid;

use super::verdict::Verdicts;
use crate::job::event::{History, Judgment, Mark, Reading, Release, Repair, StepReading, Tick};
use crate::job::meter::ReadingOutcome;
use crate::job::open_item::{Closing, OpenItem};
use crate::job::record::Record;
use crate::job::step::{Action, StepKey};

/// A time, with the id that separates two events of the same time. The order of arrival never matters.
pub type Moment = (Timestamp, Uuid);

/// The records of a job that count.
///
/// A withdrawn record does not count, with one exception. A reading that failed still counts after it was
/// withdrawn, until a later reading passes or the result is waived.
#[derive(Debug, Default)]
pub(super) struct Events<'a> {
    ticks: HashMap<&'a StepKey, Vec<&'a Tick>>,
    readings: HashMap<&'a str, Vec<&'a Reading>>,
    measurements: HashMap<&'a StepKey, Vec<&'a StepReading>>,
    repairs: HashMap<&'a str, Vec<&'a Repair>>,
    releases: HashMap<(&'a StepKey, &'a str), &'a Release>,
    judgments: HashMap<&'a str, &'a Judgment>,
    /// When the boat was isolated, and when that ended, in order.
    isolation: Vec<(Moment, bool)>,
    open_items: Vec<&'a OpenItem>,
    closings: HashMap<Uuid, &'a Closing>,
    confirmed: HashSet<Uuid>,
    imported: HashSet<Uuid>,
}

impl<'a> Events<'a> {
    pub(super) fn of(history: &'a History, verdicts: &Verdicts) -> Self {
        let gone: HashSet<Uuid> = history.withdrawals.iter().map(|withdrawal| withdrawal.event).collect();
        let stands = |id: Uuid| !gone.contains(&id);
        let failed = |id: Uuid| verdicts.get(id).is_some_and(|it| it.outcome == ReadingOutcome::Fail);
        let mut events = Self {
            imported: history.imported.clone(),
            // A confirmation that was itself imported confirms nothing here.
            confirmed: history
                .confirmations
                .iter()
                .filter(|one| stands(one.id) && !history.imported.contains(&one.id))
                .map(|one| one.event)
                .collect(),
            ..Self::default()
        };
        for tick in history.ticks.iter().filter(|tick| stands(tick.id)) {
            events.ticks.entry(&tick.step).or_default().push(tick);
        }
        for reading in history.readings.iter().filter(|it| stands(it.id) || failed(it.id)) {
            events.readings.entry(reading.circuit.as_str()).or_default().push(reading);
        }
        for reading in history.step_readings.iter().filter(|it| stands(it.id) || failed(it.id)) {
            events.measurements.entry(&reading.step).or_default().push(reading);
        }
        for repair in history.repairs.iter().filter(|repair| stands(repair.id)) {
            events.repairs.entry(repair.circuit.as_str()).or_default().push(repair);
        }
        events.open_items = history.open_items.iter().filter(|item| stands(item.id)).collect();
        events.closings =
            latest_by(history.closings.iter().filter(|it| stands(it.id)), |closing| closing.item);
        let releases = history.releases.iter().filter(|it| stands(it.id) && events.counts(it.id));
        let releases = latest_by(releases, |release| (&release.step, release.obstacle.as_str()));
        let judgments = history.judgments.iter().filter(|it| stands(it.id) && events.counts(it.id));
        let judgments = latest_by(judgments, |judgment| judgment.finding.as_str());
        (events.releases, events.judgments) = (releases, judgments);
        events.sort();
        events
    }

    fn sort(&mut self) {
        in_order(self.ticks.values_mut());
        in_order(self.readings.values_mut());
        in_order(self.measurements.values_mut());
        in_order(self.repairs.values_mut());
        in_order(std::iter::once(&mut self.open_items));
        let boat = |action| StepKey::of_boat(action);
        let isolated = self.ticks(&boat(Action::Isolate)).iter().map(|tick| match tick.mark {
            Mark::Done => (tick.moment(), true),
            Mark::Undone | Mark::NotNeeded => (tick.moment(), false),
        });
        let connected = self.ticks(&boat(Action::Connect)).iter().filter(|tick| tick.mark == Mark::Done);
        let connected = connected.map(|tick| (tick.moment(), false));
        let mut isolation: Vec<_> = isolated.chain(connected).collect();
        isolation.sort_by_key(|(moment, _)| *moment);
        self.isolation = isolation;
    }

    /// The ticks of a step, the oldest first.
    pub(super) fn ticks(&self, key: &StepKey) -> &[&'a Tick] {
        self.ticks.get(key).map(Vec::as_slice).unwrap_or_default()
    }

    /// All ticked steps.
    pub(super) fn ticked(&self) -> impl Iterator<Item = (&'a StepKey, &[&'a Tick])> {
        self.ticks.iter().map(|(key, ticks)| (*key, ticks.as_slice()))
    }

    /// Whether nobody recorded more steps as done than this person, until a moment or until now.
    pub(super) fn did_most(&self, name: &str, until: Option<Moment>) -> bool {
        let mut done: HashMap<&str, usize> = HashMap::default();
        let ticks = self.ticks.values().flatten().filter(|tick| tick.mark == Mark::Done);
        for tick in ticks.filter(|tick| until.is_none_or(|until| tick.moment() < until)) {
            *done.entry(tick.by.as_str()).or_default() += 1;
        }
        let most = done.values().copied().max();
        most.is_some() && done.get(name).copied() == most
    }

    /// The readings of a circuit, the oldest first.
    pub(super) fn readings(&self, circuit: &str) -> &[&'a Reading] {
        self.readings.get(circuit).map(Vec::as_slice).unwrap_or_default()
    }

    /// The measurements of a step, the oldest first.
    pub(super) fn measurements(&self, key: &StepKey) -> &[&'a StepReading] {
        self.measurements.get(key).map(Vec::as_slice).unwrap_or_default()
    }

    /// The repairs of a circuit, the oldest first.
    pub(super) fn repairs(&self, circuit: &str) -> &[&'a Repair] {
        self.repairs.get(circuit).map(Vec::as_slice).unwrap_or_default()
    }

    /// The latest release of one step from one open item.
    pub(super) fn release(&self, step: &StepKey, obstacle: &str) -> Option<&'a Release> {
        self.releases.get(&(step, obstacle)).copied()
    }

    /// Every latest release.
    pub(super) fn releases(&self) -> impl Iterator<Item = &'a Release> {
        self.releases.values().copied()
    }

    /// The open items that nobody closed.
    pub(super) fn open_items(&self) -> impl Iterator<Item = &'a OpenItem> {
        self.open_items.iter().copied().filter(|item| !self.closings.contains_key(&item.id))
    }

    /// The open items that were closed, each with its closing.
    pub(super) fn closed_items(&self) -> impl Iterator<Item = (&'a OpenItem, &'a Closing)> {
        self.open_items.iter().filter_map(|item| Some((*item, *self.closings.get(&item.id)?)))
    }

    /// The latest judgment of a finding.
    pub(super) fn judgment(&self, finding: &str) -> Option<&'a Judgment> {
        self.judgments.get(finding).copied()
    }

    /// Whether the boat was isolated at a moment; now, if there is none.
    pub(super) fn is_isolated(&self, at: Option<Moment>) -> bool {
        let mut before = self.isolation.iter().filter(|(moment, _)| at.is_none_or(|at| *moment <= at));
        before.next_back().is_some_and(|(_, begins)| *begins)
    }

    /// Whether the fuse of a circuit or feeder was recorded as out at a moment; now, if there is none.
    pub(super) fn is_fuse_out(&self, key: &StepKey, at: Option<Moment>) -> bool {
        let mut ticks = self.ticks(&key.also(Action::FuseOut)).iter();
        let last = ticks.rfind(|tick| at.is_none_or(|at| tick.moment() <= at));
        last.is_some_and(|tick| tick.mark == Mark::Done)
    }

    /// Whether a release, waiver or judgment counts: it was made here, or a manager of this shop confirmed it.
    pub(super) fn counts(&self, event: Uuid) -> bool {
        !self.imported.contains(&event) || self.confirmed.contains(&event)
    }
}

/// The latest record of each key.
fn latest_by<'a, R: Record, K: Eq + Hash>(
    records: impl Iterator<Item = &'a R>,
    key: impl Fn(&'a R) -> K,
) -> HashMap<K, &'a R> {
    let mut latest: HashMap<K, &R> = HashMap::default();
    for record in records {
        let known = latest.entry(key(record)).or_insert(record);
        if known.moment() < record.moment() {
            *known = record;
        }
    }
    latest
}

/// Sorts records by their moments. A record that arrived twice counts once.
fn in_order<'a, 'r, R: Record>(lists: impl Iterator<Item = &'r mut Vec<&'a R>>)
where
    'a: 'r,
{
    for list in lists {
        list.sort_by_key(|record| record.moment());
        list.dedup_by_key(|record| record.id());
    }
}
