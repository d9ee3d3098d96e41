//! Open items: what they hold, until when, and who may close them.

use driploop::job::checked::Checked;
use driploop::job::event::{Mark, Withdrawal};
use driploop::job::open_item::{Acts, Closing, OpenItem, Severity};
use driploop::job::step::StepKey;
use driploop::job::subject::{Subject, Thing};
use driploop::job::work::{HandoverState, Obstacle, Reopened, StepState, Who, Work};
use uuid::Uuid;

use crate::fixture::plan;
use crate::worker::Worker;

fn sound() -> Checked {
    Checked::of(plan(|_| {}))
}

fn finished(checked: &Checked) -> Worker {
    let mut worker = Worker::new();
    assert_eq!(worker.work(checked, |_| true), [], "everything can be done");
    worker
}

fn key(text: &str) -> StepKey {
    text.parse().unwrap()
}

fn find(worker: &mut Worker, thing: &str, severity: Severity) -> Uuid {
    let (id, at) = worker.next();
    worker.history.open_items.push(OpenItem {
        id,
        thing: Thing::from(thing.parse::<Subject>().unwrap()),
        found: "lug is cracked".parse().unwrap(),
        severity,
        acts: Acts::Technician,
        by: "Robin".parse().unwrap(),
        at,
    });
    id
}

fn close(worker: &mut Worker, item: Uuid) -> Uuid {
    let (id, at) = worker.next();
    let done = "new lug crimped".parse().unwrap();
    worker.history.closings.push(Closing { id, item, done, by: "Robin".parse().unwrap(), at });
    id
}

fn withdraw(worker: &mut Worker, event: Uuid) {
    let (id, at) = worker.next();
    worker.history.withdrawals.push(Withdrawal { id, event, by: "Robin".parse().unwrap(), at });
}

fn state(worker: &Worker, checked: &Checked, step: &str) -> StepState {
    worker.status(checked, |work| work.state(&key(step)))
}

/// The steps that an item holds on a finished boat.
fn held_by(thing: &str, severity: Severity) -> Vec<String> {
    let checked = sound();
    let mut worker = finished(&checked);
    let item = find(&mut worker, thing, severity);
    worker.status(&checked, |work| {
        let holds =
            |key: &StepKey| work.on_hold(key).iter().any(|hold| hold.obstacle == Obstacle::OpenItem(item));
        checked
            .steps
            .all()
            .iter()
            .map(|step| &step.key)
            .filter(|key| holds(key))
            .map(ToString::to_string)
            .collect()
    })
}

#[test]
fn a_must_item_holds_the_power_up_test_of_its_thing_and_the_handover() {
    let must = |thing| held_by(thing, Severity::Must);
    let of_c01 = ["circuit/C01/test", "job/job/all-on", "job/job/hand-over"];
    for thing in ["circuit/C01", "device/side", "conductor/C01-3", "end/C01-3b", "position/panel-1"] {
        assert_eq!(must(thing), of_c01, "{thing}");
    }
    assert_eq!(must("location/bow"), ["job/job/all-on", "job/job/hand-over"], "no run of its own");
    assert_eq!(must("job/job"), ["job/job/all-on", "job/job/hand-over"]);
    let feeder = must("feeder/F1");
    for step in ["feeder/F1/test", "circuit/C01/test"] {
        assert!(feeder.contains(&step.to_owned()), "what draws through it: {feeder:?}");
    }
}

#[test]
fn a_should_item_holds_the_handover_alone_and_a_note_holds_nothing() {
    assert_eq!(held_by("circuit/C01", Severity::Should), ["job/job/hand-over"]);
    assert_eq!(held_by("circuit/C01", Severity::Note), [""; 0]);
}

#[test]
fn a_test_does_not_count_while_a_must_item_is_open_and_counts_again_when_it_is_closed() {
    let checked = sound();
    let mut worker = finished(&checked);
    let item = find(&mut worker, "device/side", Severity::Must);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Open);
    assert_eq!(state(&worker, &checked, "circuit/C01/tie"), StepState::Open, "the tie rests on it");
    worker.status(&checked, |work| {
        let status = work.status(&key("circuit/C01/test"));
        assert!(matches!(status.reopened, Some(Reopened::OnHold(_))), "{status:?}");
        let words = status.reopened.as_ref().unwrap().words();
        assert!(words.contains("Open item, must: lug is cracked"), "{words}");
        assert_eq!(work.handover().state(), HandoverState::NotFinished);
        assert!(work.summary().reasons().iter().any(|reason| reason.text == "Open items: 1 must"));
    });
    assert!(!worker.may(&checked, "job/job/hand-over", Mark::Done, Who::Manager));

    let closing = close(&mut worker, item);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Done);
    worker.status(&checked, |work| assert_eq!(work.handover().state(), HandoverState::Ready));
    withdraw(&mut worker, closing);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Open, "the closing is undone");
    withdraw(&mut worker, item);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Done, "the item is undone");
}

#[test]
fn nobody_releases_an_open_item() {
    let checked = sound();
    let mut worker = finished(&checked);
    let item = find(&mut worker, "circuit/C01", Severity::Must);
    worker.status(&checked, |work| {
        let holds = work.on_hold(&key("circuit/C01/test"));
        let hold = holds.iter().find(|hold| hold.obstacle == Obstacle::OpenItem(item)).unwrap();
        assert!(!hold.can_be_released());
    });
    assert_eq!(Work::closed_by(Severity::Must), Who::Technician);
    assert_eq!(Work::closed_by(Severity::Should), Who::Apprentice);
}

#[test]
fn the_most_serious_items_come_first_and_each_is_listed_once() {
    let checked = sound();
    let mut worker = Worker::new();
    let [note, must, should] = [Severity::Note, Severity::Must, Severity::Should]
        .map(|severity| find(&mut worker, "device/side", severity));
    let closed = find(&mut worker, "device/side", Severity::Must);
    let end = close(&mut worker, closed);
    worker.status(&checked, |work| {
        let open: Vec<Uuid> = work.open_items().iter().map(|item| item.id).collect();
        assert_eq!(open, [must, should, note]);
        let ended: Vec<_> = work.closed_items().map(|(item, closing)| (item.id, closing.id)).collect();
        assert_eq!(ended, [(closed, end)]);
        assert_eq!(work.summary().items_line().unwrap(), "Open items: 1 must, 1 should, 1 note");
    });
}
