//! What the report says about the work: each sentence only if the records show it.

use std::sync::LazyLock;

use driploop::job::checked::Checked;
use driploop::job::event::{Judgment, Mark, Release, Repair, Withdrawal};
use driploop::job::handover::{
    Claim, Exception, ExceptionKind, Topic, claims, exceptions, fuse_result, fuses_out, test_result,
};
use driploop::job::meter::MeterModel;
use driploop::job::step::{Action, StepKey};
use driploop::job::value::Prose;
use driploop::job::work::{HandoverState, StepState};
use driploop::trade::units::Units;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::json;

use crate::fixture::plan;
use crate::worker::Worker;

/// A job with steps of every kind.
static CHECKED: LazyLock<Checked> = LazyLock::new(|| {
    Checked::of(plan(|job| {
        job["locations"][2]["wet"] = json!(true);
        job["devices"][0]["settings"] = json!([{"name": "Brightness", "value": "full"}]);
        job["raceways"].as_array_mut().unwrap().push(json!(
            {"id": "tube-bow", "between": ["helm", "bow"], "length_m": 2.5, "bore_mm": 38, "kind": "tube"}
        ));
        job["devices"].as_array_mut().unwrap().push(json!({
            "id": "aerial", "name": "VHF antenna", "location": "bow",
            "cables": [{"id": "aerial", "kind": "antenna", "length_m": 5, "to": {"location": "helm"}}]
        }));
        crate::trials::with_board_and_engine(job);
    }))
});

/// The worker who did all of it.
static FINISHED: LazyLock<Worker> = LazyLock::new(|| {
    let mut worker = Worker::new();
    assert_eq!(worker.work(&CHECKED, |_| true), [], "everything can be done");
    worker
});

fn finished() -> Worker {
    let mut worker = Worker::new();
    worker.history = FINISHED.history.clone();
    // The next record comes after all of them.
    for _ in
        0..=worker.history.ticks.len() + worker.history.readings.len() + worker.history.step_readings.len()
    {
        worker.next();
    }
    worker
}

fn key(text: &str) -> StepKey {
    text.parse().unwrap()
}

fn reason() -> Prose {
    "agreed with the customer".parse().unwrap()
}

fn claims_of(worker: &Worker, checked: &Checked) -> Vec<Claim> {
    worker.status(checked, |work| claims(checked, work))
}

fn claim(worker: &Worker, topic: Topic) -> Claim {
    claims_of(worker, &CHECKED).into_iter().find(|claim| claim.topic == topic).unwrap()
}

fn exceptions_of(worker: &Worker, checked: &Checked) -> Vec<Exception> {
    worker.status(checked, |work| exceptions(checked, work, Units::Metric))
}

fn handover(worker: &Worker, checked: &Checked) -> HandoverState {
    worker.status(checked, |work| work.handover().state())
}

/// The sentence about a kind of work, after a change of the finished job.
#[track_caller]
fn says(topic: Topic, change: impl FnOnce(&mut Worker), sentence: &str) {
    let mut worker = finished();
    change(&mut worker);
    assert_eq!(claim(&worker, topic).sentence(), sentence);
}

fn mark(step: &str, mark: Mark) -> impl FnOnce(&mut Worker) {
    let step = key(step);
    move |worker| {
        worker.mark(&CHECKED, &step, mark);
    }
}

#[test]
fn a_finished_job_has_a_sentence_about_every_kind_of_work() {
    let worker = finished();
    let claims = claims_of(&worker, &CHECKED);
    assert_eq!(claims.iter().map(|claim| claim.topic).collect::<Vec<_>>(), Topic::ALL);
    for claim in &claims {
        assert!(claim.is_full(), "{}", claim.sentence());
        let by = if claim.topic == Topic::SecondLook { "Lee" } else { "Robin" };
        assert_eq!(claim.by, [by]);
        assert!(claim.last.is_some());
    }
    assert_eq!(handover(&worker, &CHECKED), HandoverState::Ready);
    assert_eq!(exceptions_of(&worker, &CHECKED), []);
}

#[test]
fn a_job_that_was_not_begun_claims_nothing() {
    let worker = Worker::new();
    for claim in claims_of(&worker, &CHECKED) {
        assert_eq!((claim.done.len(), claim.waived.len(), claim.by.len(), claim.last), (0, 0, 0, None));
        let text = claim.sentence();
        let negative = ["0 of ", "not complete", "not recorded"];
        assert!(negative.iter().any(|words| text.contains(words)), "{text}");
    }
    assert_eq!(handover(&worker, &CHECKED), HandoverState::NotFinished);
}

#[test]
fn each_sentence_counts_what_is_done() {
    let nothing = |_: &mut Worker| {};
    says(Topic::Isolation, nothing, "The batteries were switched off, and zero volts were read.");
    says(Topic::Circuits, nothing, "The one circuit is powered and measured at source and load, and passed.");
    says(
        Topic::Circuits,
        mark("circuit/C01/test", Mark::Undone),
        "The one circuit is not recorded as powered and measured at source and load, and passed. 1 open.",
    );
    says(
        Topic::BeforePower,
        nothing,
        "All 5 circuits and feeders are tested with power off: continuity, polarity and no short circuit.",
    );
    says(
        Topic::BeforePower,
        mark("feeder/F1/polarity", Mark::Undone),
        "4 of 5 circuits and feeders are tested with power off: continuity, polarity and no short circuit. 1 open.",
    );
    says(
        Topic::Fuses,
        mark("circuit/C01/fuse", Mark::NotNeeded),
        "1 of 2 fuses and breakers is read, and equal to the plan. 1 waived or not needed.",
    );
    says(
        Topic::LookOver,
        mark("job/job/look-over", Mark::NotNeeded),
        "The wiring is not recorded as looked over with power off. It was waived or not needed.",
    );
    says(
        Topic::AllOn,
        mark("job/job/all-on", Mark::Undone),
        "The test with everything on is not recorded as passed.",
    );
}

#[test]
fn what_is_open_is_named_up_to_a_limit() {
    let mut worker = finished();
    mark("conductor/C01-4/label", Mark::Undone)(&mut worker);
    let (left, more) = claim(&worker, Topic::Labels).left();
    assert_eq!((left.len(), more), (1, 0));
    assert!(left[0].ends_with(" (C01-4): not labeled"), "{left:?}");
    let ends = claim(&Worker::new(), Topic::Ends);
    let (left, more) = ends.left();
    assert_eq!(left.len(), 8);
    assert_eq!(more, ends.all() - 8);
}

#[test]
fn a_failed_test_is_named_as_failed() {
    let mut worker = finished();
    let meter = MeterModel::new(&CHECKED.plan, &CHECKED.conductors, &CHECKED.report).unwrap();
    worker.read(&meter, &CHECKED.plan.circuits[0], None, 3.0);
    let circuits = claim(&worker, Topic::Circuits);
    assert_eq!(circuits.left(), (vec!["Navigation lights (C01): test failed".to_owned()], 0));
    assert_eq!(worker.status(&CHECKED, |work| test_result(work, &key("circuit/C01/test"))), "test failed");
}

#[test]
fn a_fuse_that_is_out_is_said_to_be_out() {
    let mut worker = finished();
    let fuse = key("circuit/C01/fuse-out");
    assert_eq!(
        worker.status(&CHECKED, |work| fuse_result(work, &fuse.subject)),
        Some("read: equal to the plan")
    );
    worker.mark(&CHECKED, &fuse, Mark::Done);
    worker.status(&CHECKED, |work| {
        assert_eq!(fuse_result(work, &fuse.subject), Some("taken out"));
        assert_eq!(fuses_out(&CHECKED, work), ["Navigation lights (C01)"]);
    });
}

#[test]
fn decisions_are_listed_with_reason_and_name() {
    let mut worker = finished();
    worker.mark(&CHECKED, &key("feeder/F2/test"), Mark::NotNeeded);
    worker.mark(&CHECKED, &key("location/bow/close"), Mark::NotNeeded);
    let (id, at) = worker.next();
    worker.history.releases.push(Release {
        id,
        step: key("circuit/C01/relieve"),
        obstacle: "job/job/all-on".to_owned(),
        reason: reason(),
        by: "Kim".parse().unwrap(),
        at,
    });
    let listed = exceptions_of(&worker, &CHECKED);
    let kinds: Vec<_> = listed.iter().map(|one| one.kind).collect();
    assert_eq!(kinds, [ExceptionKind::Waived, ExceptionKind::NotNeeded, ExceptionKind::Released]);
    assert_eq!([&*listed[0].reason, &*listed[0].by], ["not on this boat", "Robin"]);
    assert_eq!([&*listed[2].reason, &*listed[2].by], ["agreed with the customer", "Kim"]);
    assert!(
        listed[2].what.contains("although Sandpiper: not tested with everything on"),
        "{}",
        listed[2].what
    );
    assert!(claim(&worker, Topic::TieDown).sentence().ends_with("1 done under a release."));
    let event = listed.len();
    let (withdrawal, at) = worker.next();
    worker.history.withdrawals.push(Withdrawal { id: withdrawal, event: id, by: "Kim".parse().unwrap(), at });
    assert_eq!(exceptions_of(&worker, &CHECKED).len(), event - 1);
}

#[test]
fn a_stop_finding_makes_the_boat_not_safe_until_it_is_judged() {
    let checked = Checked::of(plan(|job| job["circuits"][0]["protection"]["rating_a"] = json!(40.0)));
    let mut worker = Worker::new();
    worker.work(&checked, |_| true);
    assert_eq!(handover(&worker, &checked), HandoverState::NotSafe);
    let stop = checked.report.findings.iter().find(|one| one.key() == "finding/fuse-over-wire/circuit/C01");
    let stop = stop.unwrap();
    let (id, at) = worker.next();
    worker.history.judgments.push(Judgment {
        id,
        finding: stop.key(),
        value: stop.value,
        limit: stop.limit,
        judge: "Kim".parse().unwrap(),
        qualification: "marine electrician".parse().unwrap(),
        reason: reason(),
        by: "Ines".parse().unwrap(),
        at,
    });
    assert_eq!(handover(&worker, &checked), HandoverState::NotFinished);
    let judged = exceptions_of(&worker, &checked);
    assert_eq!(judged.iter().map(|one| one.kind).collect::<Vec<_>>(), [ExceptionKind::Judged]);
    assert_eq!(judged[0].by, "Kim, marine electrician");
    worker.work(&checked, |_| true);
    assert_eq!(handover(&worker, &checked), HandoverState::Ready);
}

/// One change of the records of a finished job.
#[derive(Debug, Clone)]
enum Swap {
    /// A tick is removed.
    NoTick(Index),
    /// A step is undone.
    Undone(Index),
    /// A step is marked as not needed instead of done.
    NotNeeded(Index),
    /// A reading of a circuit is removed.
    NoReading(Index),
    /// A reading of a circuit is withdrawn.
    Withdrawn(Index),
    /// A measurement of a step is removed.
    NoMeasurement(Index),
    /// A circuit is measured again and fails.
    Failed,
    /// Another fuse than the planned one is read.
    OtherFuse,
    /// A fault of a circuit is repaired.
    Repaired,
}

fn swap() -> impl Strategy<Value = Swap> {
    prop_oneof![
        4 => any::<Index>().prop_map(Swap::NoTick),
        4 => any::<Index>().prop_map(Swap::Undone),
        4 => any::<Index>().prop_map(Swap::NotNeeded),
        1 => any::<Index>().prop_map(Swap::NoReading),
        1 => any::<Index>().prop_map(Swap::Withdrawn),
        3 => any::<Index>().prop_map(Swap::NoMeasurement),
        1 => Just(Swap::Failed),
        1 => Just(Swap::OtherFuse),
        1 => Just(Swap::Repaired),
    ]
}

impl Swap {
    /// Changes the records. Returns the steps that are no longer shown to be done.
    fn make(&self, worker: &mut Worker) -> Vec<StepKey> {
        let test = || vec![key("circuit/C01/test")];
        match self {
            Self::NoTick(at) => {
                let at = at.index(worker.history.ticks.len());
                vec![worker.history.ticks.remove(at).step]
            }
            Self::Undone(at) => {
                let step = at.get(&worker.history.ticks).step.clone();
                worker.mark(&CHECKED, &step, Mark::Undone);
                vec![step]
            }
            Self::NotNeeded(at) => {
                let at = at.index(worker.history.ticks.len());
                let tick = &mut worker.history.ticks[at];
                (tick.mark, tick.reason) = (Mark::NotNeeded, Some(reason()));
                vec![tick.step.clone()]
            }
            Self::NoReading(at) => {
                let at = at.index(worker.history.readings.len());
                worker.history.readings.remove(at);
                test()
            }
            Self::Withdrawn(at) => {
                let event = at.get(&worker.history.readings).id;
                let (id, at) = worker.next();
                worker.history.withdrawals.push(Withdrawal { id, event, by: "Kim".parse().unwrap(), at });
                test()
            }
            Self::NoMeasurement(at) => {
                let at = at.index(worker.history.step_readings.len());
                vec![worker.history.step_readings.remove(at).step]
            }
            Self::Failed => {
                let meter = MeterModel::new(&CHECKED.plan, &CHECKED.conductors, &CHECKED.report).unwrap();
                worker.read(&meter, &CHECKED.plan.circuits[0], None, 3.0);
                test()
            }
            Self::OtherFuse => {
                let fuse = key("circuit/C01/fuse");
                worker.read_step(&fuse, None, None, None, Some(30.0));
                vec![fuse]
            }
            Self::Repaired => {
                let (id, at) = worker.next();
                worker.history.repairs.push(Repair {
                    id,
                    circuit: "C01".parse().unwrap(),
                    r#where: "C01-4".parse().unwrap(),
                    found: "crimped again".parse().unwrap(),
                    by: "Kim".parse().unwrap(),
                    at,
                });
                let actions = [Action::Continuity, Action::Polarity, Action::NoShort, Action::Test];
                actions.map(|action| key("circuit/C01/test").also(action)).into()
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn each_record_of_a_finished_job_is_needed_for_a_sentence(swap in swap()) {
        let mut worker = finished();
        let before = claims_of(&worker, &CHECKED);
        let missing = swap.make(&mut worker);
        let after = claims_of(&worker, &CHECKED);
        let of = |claims: &[Claim], step: &StepKey| {
            claims.iter().find(|claim| claim.topic == Topic::of(step)).unwrap().clone()
        };
        for step in &missing {
            let claim = of(&after, step);
            prop_assert!(!claim.is_full(), "{step}: {}", claim.sentence());
            prop_assert_ne!(claim.sentence(), of(&before, step).sentence());
            let named = |thing: &driploop::job::handover::Thing| thing.subject == step.subject;
            prop_assert!(claim.open.iter().chain(&claim.waived).any(named), "{step} is named");
            prop_assert!(!claim.done.iter().any(named), "{step} is not claimed");
        }
        worker.status(&CHECKED, |work| {
            for step in CHECKED.steps.all() {
                let (one, other) = (of(&before, &step.key), of(&after, &step.key));
                let is_claimed = one.sentence() == other.sentence();
                prop_assert!(!is_claimed || work.state(&step.key) == StepState::Done, "{}", step.key);
            }
            // A boat is ready for the handover when everything but the handover is closed.
            let over = key("job/job/hand-over");
            let others = CHECKED.steps.all().iter().map(|step| &step.key).filter(|step| **step != over);
            let is_open = others.into_iter().any(|step| work.state(step) == StepState::Open);
            prop_assert_eq!(work.handover().state() == HandoverState::Ready, !is_open);
            if !is_open && missing != [over] {
                let listed = exceptions(&CHECKED, work, Units::Metric);
                prop_assert_eq!(listed.len(), 1, "what was not done is listed");
            }
            Ok(())
        })?;
    }
}
