//! The status of the work: the hold points row by row, what opens a step again, and who may release it.

use driploop::job::checked::Checked;
use driploop::job::event::{Confirmation, History, Judgment, Mark, Release, Repair, Tick, Withdrawal};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::job::meter::MeterModel;
use driploop::job::phase::Phase;
use driploop::job::step::{Action, StepKey};
use driploop::job::work::{Lack, Obstacle, Reopened, StepState, Verdicts, Who, Work};
use jiff::Timestamp;
use serde_json::json;
use uuid::Uuid;

use crate::fixture::plan;
use crate::worker::Worker;

/// A tick as a record has it.
pub fn tick(number: u128, step: &str, mark: Mark, by: &str, second: i64) -> Tick {
    Tick {
        id: Uuid::from_u128(number),
        step: step.parse().unwrap(),
        mark,
        reason: (mark == Mark::NotNeeded).then(|| "not on this boat".parse().unwrap()),
        by: by.parse().unwrap(),
        seen: driploop::job::event::Seen::default(),
        at: Timestamp::from_second(second).unwrap(),
    }
}

/// The findings about a job's plan and records.
pub fn findings(job: &JobFile) -> Vec<Finding> {
    let checked = Checked::of(job.plan.clone());
    let verdicts = Verdicts::of(&checked, &job.history);
    Work::of(&checked, &job.history, &verdicts).findings().to_vec()
}

fn sound() -> Checked {
    Checked::of(plan(|_| {}))
}

fn key(text: &str) -> StepKey {
    text.parse().unwrap()
}

/// The worker after everything that a person needs to do before this step.
fn before(checked: &Checked, step: &str) -> Worker {
    let target = key(step);
    let mut worker = Worker::new();
    worker.work(checked, |key| key.action.phase() < target.action.phase() || is_before(key, &target));
    worker
}

/// Whether a step of the same phase comes before another.
fn is_before(one: &StepKey, other: &StepKey) -> bool {
    one.action.phase() == other.action.phase() && one.action < other.action && !one.action.ties()
}

fn finished(checked: &Checked) -> Worker {
    let mut worker = Worker::new();
    assert_eq!(worker.work(checked, |_| true), [], "everything can be done");
    worker
}

fn state(worker: &Worker, checked: &Checked, step: &str) -> StepState {
    worker.status(checked, |work| work.state(&key(step)))
}

/// The keys of what keeps a step on hold.
fn held(worker: &Worker, checked: &Checked, step: &str) -> Vec<String> {
    worker.status(checked, |work| {
        let holds = work.on_hold(&key(step)).into_iter();
        holds
            .map(|hold| match &hold.obstacle {
                Obstacle::Step(step) => step.to_string(),
                Obstacle::Sample(key) | Obstacle::Stop(key) => key.clone(),
                Obstacle::NotIsolated => "not isolated".to_owned(),
                Obstacle::NotPowered => "not powered".to_owned(),
                Obstacle::SamePerson => "same person".to_owned(),
                Obstacle::OpenItem(id) => id.to_string(),
                Obstacle::Lack(lack) => format!("lacks {}", lack.words()),
            })
            .collect()
    })
}

fn release(worker: &mut Worker, step: &str, obstacle: &str) -> Uuid {
    let (id, at) = worker.next();
    let reason = "agreed with the manager".parse().unwrap();
    let by = "Kim".parse().unwrap();
    worker.history.releases.push(Release {
        id,
        step: key(step),
        obstacle: obstacle.to_owned(),
        reason,
        by,
        at,
    });
    id
}

fn repair(worker: &mut Worker, circuit: &str) {
    let (id, at) = worker.next();
    worker.history.repairs.push(Repair {
        id,
        circuit: circuit.parse().unwrap(),
        r#where: "C01-4".parse().unwrap(),
        found: "ring crimped on insulation; cut back and crimped again".parse().unwrap(),
        by: "Kim".parse().unwrap(),
        at,
    });
}

/// A reading of the first circuit with so many volts less at the load than expected.
fn read(worker: &mut Worker, checked: &Checked, less: f64) -> Uuid {
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    worker.read(&meter, &checked.plan.circuits[0], None, less)
}

#[test]
fn a_whole_job_can_be_done_in_the_order_of_the_hold_points() {
    let checked = sound();
    let worker = finished(&checked);
    worker.status(&checked, |work| {
        assert!(work.whole().is_finished());
        assert_eq!(work.current_phase(), None);
        assert_eq!(work.failing(), Vec::<String>::new());
    });
}

/// Each row: a step, and what holds it when only that is open.
#[track_caller]
fn waits(step: &str, without: &[&str], held_by: &[&str]) {
    let checked = sound();
    let mut worker = Worker::new();
    let skipped = |key: &StepKey| without.contains(&key.to_string().as_str());
    let target = key(step);
    worker.work(&checked, |key| !skipped(key) && key.action != Action::Connect && *key != target);
    assert_eq!(held(&worker, &checked, step), held_by, "{step} without {without:?}");
    assert!(!worker.may(&checked, step, Mark::Done, Who::Manager), "refused before");
    worker.work(&checked, |key| key.action != Action::Connect && *key != target);
    assert_eq!(held(&worker, &checked, step), Vec::<String>::new(), "allowed after");
    assert!(worker.may(&checked, step, Mark::Done, Who::Apprentice));
}

#[test]
fn each_step_waits_for_its_row_of_the_table() {
    waits("location/bow/strip", &["job/job/isolate"], &["not isolated"]);
    let both = ["location/helm/strip", "location/stern/strip"];
    waits("raceway/tube-port/pull-string", &both, &both);
    waits("device/side/place", &["location/bow/strip"], &["location/bow/strip"]);
    waits("device/side/mount", &["job/job/isolate"], &["location/bow/strip", "not isolated"]);
    waits("conductor/F1/pull", &["raceway/tube-port/pull-string"], &["raceway/tube-port/pull-string"]);
    waits("conductor/C01-3/label", &["conductor/C01-3/pull"], &["conductor/C01-3/pull"]);
    waits(
        "end/C01-3b/terminate",
        &["conductor/C01-3/pull", "device/side/mount"],
        &["conductor/C01-3/pull", "conductor/C01-3/label", "device/side/mount"],
    );
    waits("end/C01-1a/terminate", &["point/panel/fit"], &["point/panel/fit"]);
    waits("position/panel-1/wire", &["end/C01-1b/terminate"], &["end/C01-1b/terminate"]);
    waits("point/panel/fit", &["position/panel-1/wire"], &["position/panel-1/wire"]);
    waits("circuit/C01/polarity", &["end/C01-4a/terminate"], &["end/C01-4a/terminate"]);
    waits("feeder/F1/polarity", &["end/F1a/terminate"], &["end/F1a/terminate"]);
}

#[test]
fn an_end_on_the_bench_waits_only_for_a_good_sample() {
    let checked = sound();
    let worker = Worker::new();
    assert_eq!(held(&worker, &checked, "end/C01-1b/terminate"), Vec::<String>::new());
    assert_eq!(held(&worker, &checked, "end/C01-2a/terminate"), Vec::<String>::new());
    assert!(held(&worker, &checked, "end/C01-1a/terminate").contains(&"not isolated".to_owned()));
}

#[test]
fn the_battery_is_connected_when_every_circuit_with_its_fuse_in_passed_its_tests() {
    let checked = sound();
    let mut worker = before(&checked, "job/job/connect");
    assert_eq!(held(&worker, &checked, "job/job/connect"), Vec::<String>::new());
    let undone = key("circuit/C01/polarity");
    worker.mark(&checked, &undone, Mark::Undone);
    assert_eq!(held(&worker, &checked, "job/job/connect"), ["circuit/C01/polarity"]);
    worker.mark(&checked, &key("circuit/C01/fuse-out"), Mark::Done);
    assert_eq!(held(&worker, &checked, "job/job/connect"), Vec::<String>::new(), "its fuse is out");
}

#[test]
fn isolation_begins_with_zero_volts_and_ends_when_the_battery_is_connected() {
    let checked = sound();
    let isolate = key("job/job/isolate");
    let mut worker = Worker::new();
    assert_eq!(held(&worker, &checked, "job/job/isolate"), ["lacks Not measured. Measure it first."]);
    worker.read_step(&isolate, None, None, Some(12.4), None);
    assert!(!worker.may(&checked, "job/job/isolate", Mark::Done, Who::Manager), "still live");
    worker.read_step(&isolate, None, None, Some(0.0), None);
    worker.mark(&checked, &isolate, Mark::Done);
    assert!(worker.status(&checked, |work| work.is_isolated()));
    worker.work(&checked, |key| key.action < Action::FirstPower);
    assert!(!worker.status(&checked, |work| work.is_isolated()), "connected");
    assert_eq!(state(&worker, &checked, "location/bow/strip"), StepState::Done, "it was isolated then");
    assert!(!worker.may(&checked, "job/job/isolate", Mark::NotNeeded, Who::Manager), "nobody waives it");
}

#[test]
fn a_step_done_without_isolation_does_not_count() {
    let checked = sound();
    let mut worker = Worker::new();
    worker.mark(&checked, &key("location/bow/strip"), Mark::Done);
    worker.measure(&checked, &key("job/job/isolate"));
    worker.mark(&checked, &key("job/job/isolate"), Mark::Done);
    worker.status(&checked, |work| {
        let status = work.status(&key("location/bow/strip"));
        assert_eq!(status.state, StepState::Open);
        assert!(matches!(&status.reopened, Some(Reopened::OnHold(holds)) if holds.len() == 1));
    });
}

#[test]
fn after_first_power_an_end_is_made_with_its_fuse_and_feeder_out() {
    let checked = sound();
    let mut worker = finished(&checked);
    worker.mark(&checked, &key("end/C01-3b/terminate"), Mark::Undone);
    assert_eq!(held(&worker, &checked, "end/C01-3b/terminate"), ["not isolated"]);
    worker.mark(&checked, &key("circuit/C01/fuse-out"), Mark::Done);
    assert_eq!(held(&worker, &checked, "end/C01-3b/terminate"), ["not isolated"], "the feeder is on");
    worker.mark(&checked, &key("feeder/F1/fuse-out"), Mark::Done);
    assert_eq!(held(&worker, &checked, "end/C01-3b/terminate"), Vec::<String>::new());
    worker.mark(&checked, &key("end/C01-3b/terminate"), Mark::Done);
    assert!(
        !worker.may(&checked, "circuit/C01/fuse-out", Mark::Undone, Who::Manager),
        "the fuse stays out until the circuit passed its tests before power"
    );
}

#[test]
fn a_failing_reading_holds_its_circuit_even_when_it_is_withdrawn() {
    let checked = sound();
    let mut worker = finished(&checked);
    let failed = read(&mut worker, &checked, 3.0);
    let test = "circuit/C01/test";
    assert_eq!(state(&worker, &checked, test), StepState::Open, "it had passed");
    assert_eq!(state(&worker, &checked, "circuit/C01/tie"), StepState::Open, "its tie rests on it");
    worker.status(&checked, |work| {
        assert!(matches!(work.lack(&key(test)), Some(Lack::Failed(_))));
        assert_eq!(work.failing(), ["Navigation lights (C01)"]);
    });
    worker.mark(&checked, &key(test), Mark::Undone);
    let (id, at) = worker.next();
    let by = "Robin".parse().unwrap();
    worker.history.withdrawals.push(Withdrawal { id, event: failed, by, at });
    assert!(!worker.may(&checked, test, Mark::Done, Who::Apprentice), "withdrawn, and it still holds");
    worker.mark(&checked, &key(test), Mark::Done);
    assert_eq!(state(&worker, &checked, test), StepState::Open, "a tick alone proves nothing");
    read(&mut worker, &checked, 0.0);
    assert!(worker.may(&checked, test, Mark::Done, Who::Apprentice), "a later reading passes");
    worker.mark(&checked, &key(test), Mark::Done);
    assert_eq!(state(&worker, &checked, test), StepState::Done);
    assert_eq!(state(&worker, &checked, "circuit/C01/tie"), StepState::Open, "tied again after the repair");
}

#[test]
fn only_a_manager_waives_a_test_and_the_waiver_ends_when_a_reading_fails() {
    let checked = sound();
    let mut worker = before(&checked, "circuit/C01/test");
    let test = "circuit/C01/test";
    assert!(!worker.may(&checked, test, Mark::NotNeeded, Who::Technician));
    assert!(worker.may(&checked, test, Mark::NotNeeded, Who::Manager));
    worker.mark(&checked, &key(test), Mark::NotNeeded);
    assert_eq!(state(&worker, &checked, test), StepState::NotNeeded);
    assert_eq!(held(&worker, &checked, "job/job/all-on").len(), 1, "only its own measurement");
    read(&mut worker, &checked, 3.0);
    assert_eq!(state(&worker, &checked, test), StepState::Open);
}

#[test]
fn a_release_lets_one_step_pass_one_item() {
    let checked = sound();
    let mut worker = before(&checked, "end/C01-3b/terminate");
    worker.mark(&checked, &key("conductor/C01-3/label"), Mark::Undone);
    let open = ["conductor/C01-3/label"];
    assert_eq!(held(&worker, &checked, "end/C01-3b/terminate"), open);
    let both = [open[0], "point/panel/fit"];
    assert_eq!(held(&worker, &checked, "end/C01-3a/terminate"), both, "it lands on the junction bar");
    release(&mut worker, "end/C01-3b/terminate", open[0]);
    assert_eq!(held(&worker, &checked, "end/C01-3b/terminate"), Vec::<String>::new());
    assert_eq!(held(&worker, &checked, "end/C01-3a/terminate"), both, "the other end waits on");
    worker.mark(&checked, &key("end/C01-3b/terminate"), Mark::Done);
    assert_eq!(state(&worker, &checked, "end/C01-3b/terminate"), StepState::Done);
}

#[test]
fn a_release_ends_when_the_item_is_opened_again() {
    let checked = sound();
    let mut worker = before(&checked, "circuit/C01/tie");
    worker.mark(&checked, &key("circuit/C01/test"), Mark::Undone);
    release(&mut worker, "circuit/C01/relieve", "circuit/C01/test");
    assert!(!held(&worker, &checked, "circuit/C01/relieve").contains(&"circuit/C01/test".to_owned()));
    repair(&mut worker, "C01");
    assert!(held(&worker, &checked, "circuit/C01/relieve").contains(&"circuit/C01/test".to_owned()));
}

#[test]
fn a_stop_finding_passes_only_by_judgment_and_the_judgment_ends_with_its_figures() {
    let fused =
        |rating: f64| Checked::of(plan(|job| job["circuits"][0]["protection"]["rating_a"] = json!(rating)));
    let checked = fused(40.0);
    let stop = "finding/fuse-over-wire/circuit/C01";
    let mut worker = before(&checked, "job/job/connect");
    assert_eq!(held(&worker, &checked, "job/job/connect"), [stop]);
    assert!(
        !worker.may(&checked, "job/job/connect", Mark::NotNeeded, Who::Manager),
        "no waiver passes a stop"
    );
    release(&mut worker, "job/job/connect", stop);
    assert_eq!(held(&worker, &checked, "job/job/connect"), [stop], "nor a release");
    let finding = checked.report.findings.iter().find(|finding| finding.key() == stop).unwrap();
    let (id, at) = worker.next();
    worker.history.judgments.push(Judgment {
        id,
        finding: stop.to_owned(),
        value: finding.value,
        limit: finding.limit,
        judge: "Kim".parse().unwrap(),
        qualification: "marine electrician".parse().unwrap(),
        reason: "the wire is rated by its manufacturer".parse().unwrap(),
        by: "Ines".parse().unwrap(),
        at,
    });
    assert_eq!(held(&worker, &checked, "job/job/connect"), Vec::<String>::new());
    let changed = fused(50.0);
    assert!(held(&worker, &changed, "job/job/connect").contains(&stop.to_owned()), "other figures");
}

#[test]
fn what_was_repaired_is_tested_again_and_nothing_else() {
    let checked = sound();
    let mut worker = finished(&checked);
    repair(&mut worker, "C01");
    let opened = ["continuity", "polarity", "no-short", "test", "tie"];
    let opened = opened.map(|action| format!("circuit/C01/{action}"));
    assert_eq!(opened.map(|step| state(&worker, &checked, &step)), [StepState::Open; 5]);
    assert_eq!(state(&worker, &checked, "job/job/all-on"), StepState::Open, "repeated for it");
    let kept = ["feeder/F1/test", "feeder/F1/tie", "circuit/C01/fuse", "end/C01-4b/terminate"];
    assert_eq!(kept.map(|step| state(&worker, &checked, step)), [StepState::Done; 4]);
    worker.status(&checked, |work| {
        let reopened = work.status(&key("circuit/C01/test")).reopened.as_ref().unwrap().words();
        assert!(reopened.contains("repaired by Kim"), "{reopened}");
    });
}

#[test]
fn a_wire_that_is_opened_again_is_proven_and_tied_again() {
    let checked = sound();
    let mut worker = finished(&checked);
    worker.mark(&checked, &key("conductor/C01-3/label"), Mark::Undone);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Done, "a label opens nothing");
    worker.mark(&checked, &key("end/F1a/terminate"), Mark::Undone);
    let through = ["circuit/C01/test", "circuit/C01/tie", "feeder/F1/tie", "feeder/F2/tie"];
    assert_eq!(
        through.map(|step| state(&worker, &checked, step)),
        [StepState::Open, StepState::Open, StepState::Open, StepState::Done],
        "what draws through the feeder, and its own tie"
    );
    assert_eq!(state(&worker, &checked, "circuit/C01/continuity"), StepState::Done, "not its own wire");
}

#[test]
fn a_change_of_the_plan_opens_what_it_changes_and_undoing_it_restores_the_status() {
    let checked = sound();
    let worker = finished(&checked);
    let relabeled = Checked::of(plan(|job| job["circuits"][0]["label"] = json!("NAV1")));
    assert_eq!(state(&worker, &relabeled, "conductor/C01-3/label"), StepState::Open);
    assert_eq!(state(&worker, &relabeled, "end/C01-3b/terminate"), StepState::Done);
    assert_eq!(state(&worker, &relabeled, "circuit/C01/test"), StepState::Done);
    let thicker = Checked::of(plan(|job| job["circuits"][0]["size"] = json!("14 AWG")));
    assert_eq!(state(&worker, &thicker, "end/C01-3b/terminate"), StepState::Open);
    assert_eq!(state(&worker, &thicker, "circuit/C01/test"), StepState::Open, "it rests on its ends");
    let moved = Checked::of(plan(|job| job["circuits"][0]["switch"]["position"] = json!(2)));
    assert_eq!(state(&worker, &moved, "end/C01-1b/terminate"), StepState::Open, "it lands elsewhere");
    assert_eq!(state(&worker, &moved, "end/C01-3b/terminate"), StepState::Done);
    let larger = Checked::of(plan(|job| job["circuits"][0]["protection"]["rating_a"] = json!(7.5)));
    assert_eq!(state(&worker, &larger, "circuit/C01/fuse"), StepState::Open, "another fuse is planned");
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Done, "and back");
    relabeled_words(&worker, &relabeled);
}

fn relabeled_words(worker: &Worker, relabeled: &Checked) {
    worker.status(relabeled, |work| {
        let wires: Vec<&str> = work.to_label().map(|step| step.key.subject.id.as_str()).collect();
        assert_eq!(wires, ["C01-3", "C01-4", "C01-5", "C01-6"]);
        let why = work.status(&key("conductor/C01-3/label")).reopened.as_ref().unwrap().words();
        assert_eq!(why, "opened again: the plan changed, the label is NAV1-3 now, and was C01-3");
    });
}

#[test]
fn an_end_made_again_after_a_change_opens_the_tests_that_rest_on_it() {
    let checked = sound();
    let mut worker = finished(&checked);
    let thicker = Checked::of(plan(|job| job["circuits"][0]["size"] = json!("14 AWG")));
    worker.measure(&thicker, &key("job/job/isolate"));
    worker.mark(&thicker, &key("job/job/isolate"), Mark::Done);
    for end in ["end/C01-3b/terminate", "conductor/C01-3/pull"] {
        worker.mark(&thicker, &key(end), Mark::Done);
    }
    assert_eq!(state(&worker, &checked, "circuit/C01/continuity"), StepState::Open, "it was made again");
}

#[test]
fn a_fitted_fuse_that_differs_from_the_plan_holds_the_test() {
    let checked = sound();
    let mut worker = before(&checked, "circuit/C01/test");
    let fuse = key("circuit/C01/fuse");
    assert_eq!(state(&worker, &checked, "circuit/C01/fuse"), StepState::Done);
    worker.read_step(&fuse, None, None, None, Some(15.0));
    assert_eq!(state(&worker, &checked, "circuit/C01/fuse"), StepState::Open);
    assert!(held(&worker, &checked, "circuit/C01/test").contains(&"circuit/C01/fuse".to_owned()));
}

#[test]
fn imported_releases_and_waivers_count_when_a_manager_here_confirms_them() {
    let checked = sound();
    let mut worker = before(&checked, "circuit/C01/test");
    let waiver = worker.mark(&checked, &key("circuit/C01/test"), Mark::NotNeeded);
    let released = release(&mut worker, "circuit/C01/tie", "job/job/all-on");
    worker.history.all_imported();
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::Open);
    worker.status(&checked, |work| {
        assert_eq!(work.status(&key("circuit/C01/test")).reopened, Some(Reopened::NotConfirmed));
        assert_eq!(work.releases().count(), 0);
    });
    let confirm = |worker: &mut Worker, event| {
        let (id, at) = worker.next();
        worker.history.confirmations.push(Confirmation { id, event, by: "Ines".parse().unwrap(), at });
    };
    confirm(&mut worker, waiver);
    confirm(&mut worker, released);
    assert_eq!(state(&worker, &checked, "circuit/C01/test"), StepState::NotNeeded);
    assert_eq!(worker.status(&checked, |work| work.releases().count()), 1);
}

#[test]
fn a_tie_waits_for_the_tests_of_every_run_beside_it() {
    let checked = Checked::of(plan(|job| {
        job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
        let mut second = job["circuits"][0].clone();
        second["id"] = json!("C02");
        second["name"] = json!("Stern light");
        second["legs"] = json!([{"number": 1, "device": "stern-light"}]);
        second["switch"]["position"] = json!(2);
        job["circuits"].as_array_mut().unwrap().push(second);
    }));
    let mut worker = before(&checked, "circuit/C01/tie");
    assert!(held(&worker, &checked, "feeder/F1/relieve").is_empty());
    worker.mark(&checked, &key("circuit/C02/test"), Mark::Undone);
    let held_by = held(&worker, &checked, "feeder/F1/relieve");
    assert!(held_by.contains(&"circuit/C02/test".to_owned()), "{held_by:?}");
}

#[test]
fn the_latest_tick_decides_and_contradictions_are_kept() {
    let checked = sound();
    let step = "conductor/C01-3/pull";
    let first = tick(1, step, Mark::Done, "Robin", 10);
    let second = tick(2, step, Mark::Undone, "Kim", 20);
    let history = History { ticks: vec![second.clone(), first, second], ..History::default() };
    let verdicts = Verdicts::default();
    let work = Work::of(&checked, &history, &verdicts);
    let status = work.status(&key(step));
    assert_eq!((status.state, status.ticks.len()), (StepState::Open, 2));
    assert_eq!(status.contradicted().map(|tick| tick.by.as_str()), Some("Robin"));
}

#[test]
fn what_is_not_needed_is_closed_and_counted_apart() {
    let checked = sound();
    let ticks = vec![tick(1, "location/bow/strip", Mark::NotNeeded, "Robin", 10)];
    let history = History { ticks, ..History::default() };
    let verdicts = Verdicts::default();
    let count = Work::of(&checked, &history, &verdicts).phase(Phase::StripOut);
    assert_eq!((count.done, count.not_needed, count.open, count.percent()), (0, 1, 4, 20));
}

#[test]
fn a_doubtful_reading_needs_a_reason_of_whoever_accepts_it() {
    let checked = sound();
    let mut worker = before(&checked, "circuit/C01/test");
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    let circuit = &checked.plan.circuits[0];
    worker.read(&meter, circuit, None, 0.0);
    worker.history.readings.last_mut().unwrap().current_a = None;
    worker.mark(&checked, &key("circuit/C01/test"), Mark::Done);
    let words = |worker: &Worker| {
        worker.status(&checked, |work| {
            work.status(&key("circuit/C01/test")).reopened.as_ref().map(Reopened::words)
        })
    };
    assert!(words(&worker).unwrap().ends_with("No reason was written."), "{:?}", words(&worker));

    worker.read(&meter, circuit, None, 0.0);
    assert_eq!(words(&worker), None, "a later reading passes");

    let mut accepted = worker;
    accepted.history.readings.pop();
    accepted.history.ticks.last_mut().unwrap().reason = Some("the clamp is broken".parse().unwrap());
    assert_eq!(words(&accepted), None);
    accepted.read(&meter, circuit, None, 0.0);
    accepted.history.readings.last_mut().unwrap().current_a = None;
    assert_eq!(words(&accepted), None, "it was closed before the reading that is to be looked at");
}
