//! The diagnosis takes the readings that count, and the work says which these are.

use driploop::job::checked::Checked;
use driploop::job::diagnose::{DiagnosisReport, diagnose};
use driploop::job::event::Withdrawal;
use driploop::job::meter::MeterModel;

use crate::fixture::plan;
use crate::worker::Worker;

/// More volts than any limit of the job allows.
const TOO_MANY_V: f64 = 1.5;

fn report(checked: &Checked, worker: &Worker) -> DiagnosisReport {
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    worker.status(checked, |work| diagnose(&checked.plan, &checked.conductors, &meter, work))
}

#[test]
fn a_reading_that_failed_is_diagnosed_although_it_is_withdrawn() {
    let (checked, mut worker) = (Checked::of(plan(|_| {})), Worker::new());
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    let failed = worker.read(&meter, &checked.plan.circuits[0], None, TOO_MANY_V);
    let (id, at) = worker.next();
    worker.history.withdrawals.push(Withdrawal { id, event: failed, by: "Kim".parse().unwrap(), at });
    let found = report(&checked, &worker);
    assert_eq!((found.readings, found.is_clear()), (1, false), "{found:?}");
    worker.read(&meter, &checked.plan.circuits[0], None, 0.0);
    let found = report(&checked, &worker);
    assert_eq!((found.readings, found.is_clear()), (1, true), "a later reading passes");
}

#[test]
fn a_reading_without_a_device_was_taken_at_the_farthest() {
    let (checked, mut worker) = (Checked::of(plan(|_| {})), Worker::new());
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    let circuit = &checked.plan.circuits[0];
    let farthest = checked.report.circuits[&circuit.id].farthest.clone();
    worker.read(&meter, circuit, None, TOO_MANY_V);
    worker.read(&meter, circuit, farthest, 0.0);
    let found = report(&checked, &worker);
    assert_eq!((found.readings, found.is_clear()), (1, true), "one place, and its later reading: {found:?}");
}
