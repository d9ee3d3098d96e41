//! The hold points of boards, of starters and chargers, of the trials, and of the handover.

use driploop::job::checked::Checked;
use driploop::job::event::Mark;
use driploop::job::step::{Action, StepKey};
use driploop::job::work::{HandoverState, Obstacle, StepState, Who};
use serde_json::{Value, json};

use crate::fixture::plan;
use crate::worker::Worker;

/// Puts the fuse block on a board, and an outboard with starter and alternator beside the battery.
pub fn with_board_and_engine(job: &mut Value) {
    job["boards"] = json!([{"id": "inside", "name": "Inside the console", "location": "helm",
        "width_mm": 600, "height_mm": 400, "thickness_mm": 12}]);
    job["points"][1]["mounting"] = json!({"board": "inside"});
    job["points"][0]["cranking_a"] = json!(600);
    job["points"]
        .as_array_mut()
        .unwrap()
        .push(json!({"id": "outboard", "kind": "charger", "location": "stern",
        "open_circuit_v": 14.2, "internal_mohm": 30, "rating_a": 20, "starter_a": 100}));
    let cable = |id: &str, from: &str, to: &str, polarity: &str| {
        json!({"id": id, "from": from, "to": to, "polarity": polarity, "cranking": true, "size": "2 AWG",
            "insulation_c": 105, "length_m": 1.5})
    };
    let feeders = job["feeders"].as_array_mut().unwrap();
    feeders.push(cable("F3", "house", "outboard", "positive"));
    feeders.push(cable("F4", "outboard", "house", "negative"));
}

fn boat() -> Checked {
    Checked::of(plan(|job| {
        with_board_and_engine(job);
        job["locations"][2]["wet"] = json!(true);
        job["devices"][0]["settings"] = json!([{"name": "Brightness"}]);
    }))
}

fn key(text: &str) -> StepKey {
    text.parse().unwrap()
}

/// The worker after everything but the steps that `is_left`.
fn all_but(checked: &Checked, is_left: impl Fn(&StepKey) -> bool) -> Worker {
    let mut worker = Worker::new();
    worker.work(checked, |key| !is_left(key));
    worker
}

fn held(worker: &Worker, checked: &Checked, step: &str) -> Vec<String> {
    worker.status(checked, |work| {
        let holds = work.on_hold(&key(step)).into_iter();
        holds.filter(|hold| !matches!(hold.obstacle, Obstacle::Lack(_))).map(|hold| hold.words()).collect()
    })
}

fn state(worker: &Worker, checked: &Checked, step: &str) -> StepState {
    worker.status(checked, |work| work.state(&key(step)))
}

/// A step, what is left open, and what then holds it. It is allowed once that is done.
#[track_caller]
fn waits(step: &str, left: &[&str], held_by: &[&str]) {
    let checked = boat();
    let is_left = |one: &StepKey| left.contains(&one.to_string().as_str());
    let target = key(step);
    let stays_off = |one: &StepKey| one.action == Action::Connect && target.action < Action::Connect;
    let mut worker = all_but(&checked, |one| is_left(one) || stays_off(one) || *one == target);
    assert_eq!(held(&worker, &checked, step), held_by, "{step} without {left:?}");
    assert!(!worker.may(&checked, step, Mark::Done, Who::Manager), "refused before");
    worker.work(&checked, |one| !stays_off(one) && *one != target);
    worker.measure(&checked, &target);
    worker.by = "Lee";
    assert!(worker.may(&checked, step, Mark::Done, Who::Manager), "allowed after");
}

#[test]
fn a_part_waits_for_the_cut_outs_of_its_board_and_its_ends_for_the_fastened_board() {
    let strip = ["location/helm/strip"];
    waits("board/inside/cut", &strip, &["Helm console: not stripped"]);
    waits("board/inside/secure", &["board/inside/cut"], &["Inside the console: not cut out"]);
    waits("point/fb1/place", &["board/inside/cut"], &["Inside the console: not cut out"]);
    waits("point/fb1/mount", &["board/inside/cut"], &["Inside the console: not cut out"]);
    waits("end/F1b/terminate", &["board/inside/secure"], &["Inside the console: board not fastened"]);
}

#[test]
fn a_part_on_no_board_waits_for_none() {
    let checked = boat();
    let worker = all_but(&checked, |one| matches!(one.action, Action::Cut | Action::Mount | Action::Connect));
    assert_eq!(held(&worker, &checked, "point/neg1/mount"), Vec::<String>::new());
    assert_eq!(held(&worker, &checked, "point/fb1/mount"), ["Inside the console: not cut out"]);
}

#[test]
fn each_circuit_is_measured_for_a_short_before_power() {
    waits("circuit/C01/no-short", &["end/C01-4a/terminate"], &["C01-4a at neg1: not terminated"]);
    waits(
        "job/job/connect",
        &["circuit/C01/no-short"],
        &["C01, Navigation lights: not measured for a short circuit"],
    );
    let checked = boat();
    let mut worker = all_but(&checked, |one| one.action == Action::HandOver);
    worker.read_step(&key("circuit/C01/no-short"), None, Some(0.4), None, None);
    let opened = ["no-short", "test", "tie"].map(|action| format!("circuit/C01/{action}"));
    assert_eq!(opened.map(|step| state(&worker, &checked, &step)), [StepState::Open; 3]);
    assert!(!worker.may(&checked, "circuit/C01/no-short", Mark::NotNeeded, Who::Technician));
    assert!(worker.may(&checked, "circuit/C01/no-short", Mark::NotNeeded, Who::Manager));
}

#[test]
fn the_boat_is_looked_over_when_the_ends_that_get_power_are_made() {
    let checked = boat();
    let mut worker = all_but(&checked, |one| {
        one.action >= Action::Connect
            || matches!(one.to_string().as_str(), "end/C01-4a/terminate" | "job/job/look-over")
    });
    assert_eq!(held(&worker, &checked, "job/job/look-over").len(), 1);
    worker.mark(&checked, &key("circuit/C01/fuse-out"), Mark::Done);
    assert_eq!(held(&worker, &checked, "job/job/look-over"), Vec::<String>::new(), "its fuse is out");
}

#[test]
fn a_starter_and_a_charger_are_measured_while_they_run() {
    let checked = boat();
    for step in ["point/outboard/crank", "point/outboard/charge"] {
        let mut worker = all_but(&checked, |one| one.to_string() == step);
        assert_eq!(held(&worker, &checked, step), Vec::<String>::new());
        assert!(!worker.may(&checked, step, Mark::Done, Who::Manager), "not measured");
        worker.read_step(&key(step), None, None, Some(9.0), None);
        assert!(!worker.may(&checked, step, Mark::Done, Who::Manager), "9 V fails");
        worker.measure(&checked, &key(step));
        assert!(worker.may(&checked, step, Mark::Done, Who::Apprentice));
        assert!(!worker.may(&checked, step, Mark::NotNeeded, Who::Technician));
        assert!(worker.may(&checked, step, Mark::NotNeeded, Who::Manager));
        worker.mark(&checked, &key(step), Mark::Done);
        worker.mark(&checked, &key("end/F3b/terminate"), Mark::Undone);
        assert_eq!(state(&worker, &checked, step), StepState::Open, "its cable was opened");
    }
    waits("point/outboard/crank", &["job/job/first-power"], &["Sandpiper: no first power yet"]);
}

#[test]
fn a_device_is_tried_when_it_is_proven_tied_and_set() {
    waits("device/side/dock-trial", &["setting/side-1/set"], &["Sidelights: Brightness: not set"]);
    let checked = boat();
    let mut worker = all_but(&checked, |one| one.action == Action::HandOver);
    worker.mark(&checked, &key("circuit/C01/test"), Mark::Undone);
    assert_eq!(state(&worker, &checked, "device/side/dock-trial"), StepState::Open, "it rests on the test");
    assert!(!worker.may(&checked, "device/side/dock-trial", Mark::NotNeeded, Who::Apprentice));
    assert!(worker.may(&checked, "device/side/dock-trial", Mark::NotNeeded, Who::Technician));
}

#[test]
fn the_sea_trial_waits_for_tight_seals_and_holds_only_the_handover() {
    waits("job/job/afloat", &["device/side/seal"], &["Sidelights: not sealed"]);
    waits(
        "job/job/afloat",
        &["location/bow/close"],
        &["Bow, old holes not counted yet: old holes still open"],
    );
    waits("job/job/sea-trial", &["job/job/afloat"], &["Sandpiper: not seen afloat"]);
    let checked = boat();
    let worker = all_but(&checked, |one| matches!(one.action, Action::SeaTrial | Action::HandOver));
    assert_eq!(held(&worker, &checked, "job/job/hand-over"), ["Sandpiper: no sea trial yet"]);
    assert!(!worker.may(&checked, "job/job/sea-trial", Mark::NotNeeded, Who::Technician));
    assert!(worker.may(&checked, "job/job/sea-trial", Mark::NotNeeded, Who::Manager));
}

#[test]
fn the_second_person_did_not_do_most_of_the_work() {
    let checked = boat();
    let look = "job/job/second-look";
    let mut worker = all_but(&checked, |one| matches!(one.action, Action::SecondLook | Action::HandOver));
    assert!(!worker.may(&checked, look, Mark::Done, Who::Manager), "Robin did it all");
    worker.status(&checked, |work| {
        let holds = work.on_hold_for(&key(look), "Robin");
        assert!(holds.iter().all(|hold| hold.obstacle == Obstacle::SamePerson && !hold.can_be_released()));
        assert_eq!(work.on_hold_for(&key(look), "Lee"), []);
    });
    worker.mark(&checked, &key(look), Mark::Done);
    assert_eq!(state(&worker, &checked, look), StepState::Open, "kept offline, it does not count");
    worker.by = "Lee";
    worker.mark(&checked, &key(look), Mark::Done);
    assert_eq!(state(&worker, &checked, look), StepState::Done);
    waits(look, &["circuit/C01/tie"], &["C01, Navigation lights: not tied down"]);
    assert!(!worker.may(&checked, look, Mark::NotNeeded, Who::Technician));
    assert!(worker.may(&checked, look, Mark::NotNeeded, Who::Manager), "a shop of one person");
}

#[test]
fn a_manager_hands_over_when_all_is_closed_and_what_opens_later_opens_the_handover() {
    let checked = boat();
    let over = "job/job/hand-over";
    let mut worker = all_but(&checked, |one| one.action == Action::HandOver);
    assert_eq!(worker.status(&checked, |work| work.handover().state()), HandoverState::Ready);
    assert!(!worker.may(&checked, over, Mark::Done, Who::Technician));
    assert!(!worker.may(&checked, over, Mark::NotNeeded, Who::Manager));
    assert!(worker.may(&checked, over, Mark::Done, Who::Manager));
    worker.mark(&checked, &key(over), Mark::Done);
    assert!(worker.status(&checked, |work| work.handover().done.is_some()));
    let label = key("conductor/C01-3/label");
    worker.mark(&checked, &label, Mark::Undone);
    assert_eq!(held(&worker, &checked, over).len(), 1);
    worker.mark(&checked, &label, Mark::Done);
    assert_eq!(state(&worker, &checked, over), StepState::Open, "handed over again after the change");
    worker.mark(&checked, &key(over), Mark::Done);
    assert_eq!(state(&worker, &checked, over), StepState::Done);
}

#[test]
fn with_a_stop_a_boat_leaves_only_as_not_safe_to_use() {
    let checked = Checked::of(plan(|job| {
        with_board_and_engine(job);
        job["circuits"][0]["protection"]["rating_a"] = json!(40);
    }));
    let (over, left) = ("job/job/hand-over", "job/job/leave-unsafe");
    let mut worker = all_but(&checked, |one| one.action == Action::HandOver);
    let stop = |holds: &[String]| holds.iter().any(|hold| hold.contains("40 A does not protect"));
    assert!(stop(&held(&worker, &checked, over)), "{:?}", held(&worker, &checked, over));
    assert!(!worker.may(&checked, left, Mark::Done, Who::Technician));
    assert!(worker.may(&checked, left, Mark::Done, Who::Manager));
    worker.mark(&checked, &key(left), Mark::Done);
    worker.status(&checked, |work| {
        assert_eq!(work.handover().state(), HandoverState::NotSafe);
        assert!(work.handover().left_unsafe.is_some());
        assert!(work.doubt(&key(left)).is_some(), "the record needs the name of who signed");
        assert!(work.steps().all().iter().all(|step| step.key != key(left)), "it is a state, not open work");
    });
}
