//! What the measurements of a step prove, and what is missing.

use super::events::Moment;
use super::lack::{Lack, remarks};
use super::overall::{Work, test_of};
use super::status::Opening;
use super::table;
use crate::job::before_power;
use crate::job::event::{Mark, Reading, StepReading};
use crate::job::meter::{ReadingOutcome, ReadingVerdict};
use crate::job::plan::{Circuit, Wiring};
use crate::job::record::Record;
use crate::job::step::{Action, StepKey};
use crate::job::subject::SubjectKind;
use crate::job::value::{DeviceId, PointId};

impl<'a> Work<'a> {
    /// What is missing before the measurements of a step prove it; `None`: nothing, or the step is not measured.
    pub fn lack(&self, key: &StepKey) -> Option<Lack> {
        let since = self.measured_since(key);
        match self.ties.circuit(&key.subject) {
            Some(circuit) if key.action == Action::Test => self.lack_of_circuit(circuit, since),
            _ => {
                before_power::unit(key)?;
                self.lack_of_step(key, since)
            }
        }
    }

    /// Why a step that may be marked as done deserves a look first, in plain text: its measurement neither passes
    /// nor fails.
    pub fn doubt(&self, key: &StepKey) -> Option<String> {
        if key.action == Action::LeaveUnsafe {
            return Some("Write who signed, and what the customer was warned of.".to_owned());
        }
        let since = self.measured_since(key).map(Opening::moment);
        let verdicts: Vec<&ReadingVerdict> = match self.ties.circuit(&key.subject) {
            Some(circuit) if key.action == Action::Test => {
                self.counting(circuit, since).into_iter().filter_map(|it| self.verdicts.get(it.id)).collect()
            }
            _ => self
                .counting_of_step(key, since)
                .into_iter()
                .filter_map(|it| self.verdicts.get(it.id))
                .collect(),
        };
        let odd = verdicts.into_iter().filter(|verdict| verdict.outcome == ReadingOutcome::Look);
        let said: Vec<String> = odd.flat_map(remarks).collect();
        (!said.is_empty()).then(|| format!("Check again: {}", said.join(" ")))
    }

    /// The verdict of a reading.
    pub fn verdict(&self, reading: uuid::Uuid) -> Option<&'a ReadingVerdict> {
        self.verdicts.get(reading)
    }

    /// The event since which measurements of a step count: something that it rests on was opened then, or its
    /// circuit was repaired.
    pub fn measured_since(&self, key: &StepKey) -> Option<Opening<'a>> {
        let step = self.ties.step(key)?;
        let rests = self.opening_of_rests(&table::waits(&self.ties, step));
        let repaired = self.repaired(key);
        let ended = match key.action {
            Action::Isolate => self.isolation_ended(None),
            _ => None,
        };
        [rests, repaired, ended].into_iter().flatten().max_by_key(|opening| opening.moment())
    }

    /// The latest repair of a circuit, for the tests that it opens.
    pub(super) fn repaired(&self, key: &StepKey) -> Option<Opening<'a>> {
        let is_opened = key.subject.kind == SubjectKind::Circuit
            && matches!(key.action, Action::Continuity | Action::Polarity | Action::NoShort | Action::Test);
        let repair = self.events.repairs(&key.subject.id).last().filter(|_| is_opened);
        repair.copied().map(Opening::Repaired)
    }

    /// What is missing of the measurement with which an earlier isolation began.
    pub(super) fn lack_of_isolation(&self, began: Moment) -> Option<Lack> {
        let since = self.isolation_ended(Some(began)).map(Opening::moment);
        let key = StepKey::of_boat(Action::Isolate);
        let counts = |at: Moment| at <= began && since.is_none_or(|since| since < at);
        let last = self.events.measurements(&key).iter().rfind(|reading| counts(reading.moment()));
        let Some(verdict) = last.and_then(|reading| self.verdicts.get(reading.id)) else {
            return Some(Lack::NoReading);
        };
        (verdict.outcome == ReadingOutcome::Fail).then(|| Lack::Failed(verdict.clone()))
    }

    /// The latest time that an isolation ended, before a moment or at all: zero volts must be read again after it.
    fn isolation_ended(&self, before: Option<Moment>) -> Option<Opening<'a>> {
        let latest = |action, mark| {
            let mut ticks = self.events.ticks(&StepKey::of_boat(action)).iter().copied();
            ticks.rfind(|tick| tick.mark == mark && before.is_none_or(|before| tick.moment() < before))
        };
        let undone = latest(Action::Isolate, Mark::Undone).map(Opening::Undone);
        let connected = latest(Action::Connect, Mark::Done).map(Opening::Connected);
        undone.into_iter().chain(connected).max_by_key(|opening| opening.moment())
    }

    /// What is missing of the latest measurements, wherever they were taken.
    fn lack_of_latest<R: Record>(&self, latest: &[&R], since: Option<Opening<'a>>) -> Option<Lack> {
        if latest.is_empty() {
            return Some(since.map_or(Lack::NoReading, |by| Lack::Opened(by.words())));
        }
        let verdicts: Option<Vec<_>> = latest.iter().map(|reading| self.verdicts.get(reading.id())).collect();
        let Some(verdicts) = verdicts else { return Some(Lack::NotJudged) };
        let failed = verdicts.into_iter().find(|verdict| verdict.outcome == ReadingOutcome::Fail)?;
        Some(Lack::Failed(failed.clone()))
    }

    fn lack_of_circuit(&self, circuit: &'a Circuit, since: Option<Opening<'a>>) -> Option<Lack> {
        let latest = self.counting(circuit, since.map(Opening::moment));
        if let Some(lack) = self.lack_of_latest(&latest, since) {
            return Some(lack);
        }
        let whole: Vec<&Reading> = latest.into_iter().filter(|reading| is_whole(reading)).collect();
        if whole.is_empty() {
            return Some(Lack::NotWhole);
        }
        let farthest = self.farthest(circuit);
        let read_at =
            |id: &DeviceId| whole.iter().any(|reading| reading.device.as_ref().or(farthest) == Some(id));
        let open = self.to_measure(circuit).into_iter().find(|id| !read_at(id))?;
        let name = self.ties.plan().device(open).map_or_else(|| open.to_string(), |it| it.name.to_string());
        Some(Lack::NotAt(name))
    }

    /// The latest reading of a circuit at each device, among those that count since a moment.
    fn counting(&self, circuit: &Circuit, since: Option<Moment>) -> Vec<&'a Reading> {
        let farthest = self.farthest(circuit);
        let readings = self.events.readings(circuit.id.as_str());
        latest_at_each(readings, since, |reading| reading.device.as_ref().or(farthest))
    }

    /// The device to measure next: the first that must be measured and was not.
    pub fn next_at<'c>(&'c self, circuit: &'c Circuit) -> Option<&'c DeviceId> {
        let since = self.measured_since(&test_of(&circuit.id)).map(Opening::moment);
        let latest = self.counting(circuit, since);
        let farthest = self.farthest(circuit);
        let is_read = |id: &&DeviceId| {
            let at = |reading: &&Reading| reading.device.as_ref().or(farthest) == Some(*id);
            latest.iter().any(|reading| is_whole(reading) && at(reading))
        };
        self.to_measure(circuit).into_iter().find(|id| !is_read(id))
    }

    /// Where a circuit must be measured. A chain is measured at its farthest device, which proves all its wire.
    /// Home runs are measured at each device, because each has its own wire.
    fn to_measure<'c>(&'c self, circuit: &'c Circuit) -> Vec<&'c DeviceId> {
        match circuit.wiring {
            Wiring::HomeRuns => circuit.devices().collect(),
            Wiring::Chain => self.farthest(circuit).into_iter().collect(),
        }
    }

    fn farthest(&self, circuit: &Circuit) -> Option<&'a DeviceId> {
        self.checked.report.circuits.get(&circuit.id)?.farthest.as_ref()
    }

    fn lack_of_step(&self, key: &StepKey, since: Option<Opening<'a>>) -> Option<Lack> {
        let latest = self.counting_of_step(key, since.map(Opening::moment));
        if let Some(lack) = self.lack_of_latest(&latest, since) {
            return Some(lack);
        }
        let read_at = |id: &PointId| latest.iter().any(|reading| reading.point.as_ref() == Some(id));
        let open = self.points_to_measure(key).into_iter().find(|id| !read_at(id))?;
        let name = self.ties.plan().point(open).map_or(open.as_str(), |point| point.called());
        Some(Lack::NotAt(name.to_owned()))
    }

    /// The latest measurement of a step at each distribution point, among those that count since a moment.
    fn counting_of_step(&self, key: &StepKey, since: Option<Moment>) -> Vec<&'a StepReading> {
        latest_at_each(self.events.measurements(key), since, |reading| reading.point.as_ref())
    }

    /// The latest measurement of a step that counts now.
    pub fn measured(&self, key: &StepKey) -> Option<&'a StepReading> {
        self.counting_of_step(key, self.measured_since(key).map(Opening::moment))
            .into_iter()
            .max_by_key(|it| it.moment())
    }

    /// The distribution points where a step must be measured. With everything on, these are all that feed
    /// circuits.
    pub fn points_to_measure(&self, key: &StepKey) -> Vec<&'a PointId> {
        if key.action != Action::AllOn {
            return Vec::new();
        }
        let mut points: Vec<&PointId> = Vec::new();
        for circuit in &self.ties.plan().circuits {
            if !points.contains(&&circuit.from) {
                points.push(&circuit.from);
            }
        }
        points
    }
}

/// The latest measurement at each place, among those since a moment. They come in the order of their times.
fn latest_at_each<'a, R: Record, P: PartialEq>(
    measurements: &[&'a R],
    since: Option<Moment>,
    place: impl Fn(&'a R) -> P,
) -> Vec<&'a R> {
    let mut latest: Vec<&'a R> = Vec::new();
    for &measured in measurements.iter().filter(|it| since.is_none_or(|since| since < it.moment())) {
        match latest.iter_mut().find(|known| place(known) == place(measured)) {
            Some(known) => *known = measured,
            None => latest.push(measured),
        }
    }
    latest
}

/// Whether a reading shows the drop of the wire.
fn is_whole(reading: &Reading) -> bool {
    reading.source_v.is_some() && reading.load_v.is_some()
}
