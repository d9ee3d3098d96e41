//! A worker who does a whole job on paper, step by step, in an order that the hold points allow. Every measurement
//! is what the plan expects.
#![allow(dead_code, reason = "each test program uses a part of it")]

use driploop::job::checked::Checked;
use driploop::job::event::{History, Mark, Reading, StepReading, Tick};
use driploop::job::meter::MeterModel;
use driploop::job::plan::{Circuit, Wiring};
use driploop::job::step::{Action, StepKey};
use driploop::job::subject::SubjectKind;
use driploop::job::value::{DeviceId, PointId};
use driploop::job::work::{Verdicts, Who, Work, expected, seen};
use jiff::Timestamp;
use uuid::Uuid;

/// The worker and what happened so far.
pub struct Worker {
    /// All records.
    pub history: History,
    /// The name in the records.
    pub by: &'static str,
    number: u128,
    second: i64,
}

impl Worker {
    /// A worker with nothing done.
    pub fn new() -> Self {
        Self { history: History::default(), by: "Robin", number: 0, second: 1_000 }
    }

    /// The id and the time of the next record.
    pub fn next(&mut self) -> (Uuid, Timestamp) {
        self.number += 1;
        self.second += 60;
        (Uuid::from_u128(self.number), Timestamp::from_second(self.second).unwrap())
    }

    /// Does everything that can be done, until no step is open for which `is_wanted`. Returns what is left open.
    pub fn work(&mut self, checked: &Checked, is_wanted: impl Fn(&StepKey) -> bool) -> Vec<StepKey> {
        loop {
            let verdicts = Verdicts::of(checked, &self.history);
            let history = self.history.clone();
            let work = Work::of(checked, &history, &verdicts);
            let open = checked.steps.all().iter().map(|step| &step.key);
            let open: Vec<&StepKey> =
                open.filter(|key| is_wanted(key) && !work.state(key).is_closed()).collect();
            let ready = |key: &&&StepKey| {
                use driploop::job::work::Obstacle::Lack;
                work.on_hold(key).iter().all(|hold| matches!(hold.obstacle, Lack(_)))
            };
            // The battery is connected last of what can be done, because that ends the isolation.
            let mut ready: Vec<&StepKey> = open.iter().filter(ready).copied().collect();
            if ready.iter().any(|key| key.action != Action::Connect) {
                ready.retain(|key| key.action != Action::Connect);
            }
            if ready.is_empty() {
                return open.into_iter().cloned().collect();
            }
            for key in ready {
                self.measure(checked, key);
                // The finished boat is looked over by somebody else.
                let by = self.by;
                self.by = if key.action == Action::SecondLook { "Lee" } else { by };
                self.mark(checked, key, Mark::Done);
                self.by = by;
            }
        }
    }

    /// Marks a step, with what the plan says about it.
    pub fn mark(&mut self, checked: &Checked, key: &StepKey, mark: Mark) -> Uuid {
        let (id, at) = self.next();
        let reason = (mark == Mark::NotNeeded).then(|| "not on this boat".parse().unwrap());
        let by = self.by.parse().unwrap();
        let seen = seen::today(checked, key);
        self.history.ticks.push(Tick { id, step: key.clone(), mark, reason, by, seen, at });
        id
    }

    /// Measures what a step needs, as expected.
    pub fn measure(&mut self, checked: &Checked, key: &StepKey) {
        let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
        if key.action == Action::Test && key.subject.kind == SubjectKind::Circuit {
            let circuit = checked.plan.circuits.iter().find(|one| one.id.as_str() == key.subject.id).unwrap();
            let devices: Vec<Option<DeviceId>> = match circuit.wiring {
                Wiring::Chain => vec![None],
                Wiring::HomeRuns => circuit.devices().cloned().map(Some).collect(),
            };
            for device in devices {
                self.read(&meter, circuit, device, 0.0);
            }
            return;
        }
        let mut points: Vec<Option<PointId>> = vec![None];
        if key.action == Action::AllOn {
            points = checked.plan.circuits.iter().map(|circuit| Some(circuit.from.clone())).collect();
            points.sort();
            points.dedup();
        }
        for point in points {
            let wanted = expected(checked, Some(&meter), key, point.as_ref());
            let nominal = checked.report.nominal_v;
            let (ohm, v, rating_a) = match key.action {
                Action::Isolate => (None, Some(0.0), None),
                Action::BetweenPoles | Action::NoShort => (Some(50_000.0), None, None),
                Action::Continuity => (Some(wanted.ohm.unwrap() + 0.2), None, None),
                Action::FirstPower => (None, Some(1.055 * nominal), None),
                Action::AllOn | Action::Test | Action::Crank | Action::Charge => {
                    (None, Some(wanted.volts.unwrap()), None)
                }
                Action::Fuse => (None, None, Some(wanted.rating_a.unwrap())),
                _ => continue,
            };
            self.read_step(key, point, ohm, v, rating_a);
        }
    }

    /// Records a measurement of a step.
    pub fn read_step(
        &mut self,
        key: &StepKey,
        point: Option<PointId>,
        ohm: Option<f64>,
        v: Option<f64>,
        rating_a: Option<f64>,
    ) -> Uuid {
        let (id, at) = self.next();
        self.history.step_readings.push(StepReading {
            id,
            step: key.clone(),
            point,
            ohm: ohm.map(|ohm| ohm.try_into().unwrap()),
            v: v.map(|v| v.try_into().unwrap()),
            rating_a: rating_a.map(|rating| rating.try_into().unwrap()),
            note: None,
            by: self.by.parse().unwrap(),
            at,
        });
        id
    }

    /// Records a reading of a circuit with so many volts less at the load than expected.
    pub fn read(
        &mut self,
        meter: &MeterModel<'_>,
        circuit: &Circuit,
        device: Option<DeviceId>,
        less: f64,
    ) -> Uuid {
        let wanted = meter.expect(circuit, device.as_ref()).unwrap();
        let (id, at) = self.next();
        let hundredth = |volts: f64| ((volts * 100.0).round() / 100.0).try_into().ok();
        self.history.readings.push(Reading {
            id,
            circuit: circuit.id.clone(),
            device,
            source_v: hundredth(wanted.source_v),
            load_v: hundredth(wanted.load_v - less),
            current_a: ((wanted.current_a * 100.0).round() / 100.0).try_into().ok(),
            return_ohm: None,
            load_off_v: None,
            current_off_a: None,
            note: None,
            by: self.by.parse().unwrap(),
            at,
        });
        id
    }

    /// The status of the work.
    pub fn status<T>(&self, checked: &Checked, ask: impl FnOnce(&Work<'_>) -> T) -> T {
        let verdicts = Verdicts::of(checked, &self.history);
        ask(&Work::of(checked, &self.history, &verdicts))
    }

    /// Whether a person may mark a step now.
    pub fn may(&self, checked: &Checked, key: &str, mark: Mark, who: Who) -> bool {
        self.status(checked, |work| work.may(&key.parse().unwrap(), mark, who, self.by).is_ok())
    }
}
