//! What a change of the plan undoes of the work on the wire.

use driploop::job::event::{History, Mark, Tick};
use driploop::job::moved::{moved, taken_back, to_label};
use driploop::job::plan::Plan;
use driploop::job::progress::Progress;
use driploop::job::routing::RoutesReport;
use driploop::job::run::Pieces;
use driploop::job::steps::Steps;
use driploop::job::wiring::Conductors;
use serde_json::{Value, json};
use uuid::Uuid;

use crate::fixture::plan;

fn circuit(job: &mut Value) -> &mut Value {
    &mut job["circuits"][0]
}

fn unswitched(job: &mut Value) {
    circuit(job).as_object_mut().unwrap().remove("switch");
}

fn tick(step: &str, mark: Mark, second: i64) -> Tick {
    Tick {
        id: Uuid::from_u128(u128::try_from(second).unwrap()),
        step: step.parse().unwrap(),
        mark,
        reason: None,
        by: "Robin".parse().unwrap(),
        at: jiff::Timestamp::from_second(second).unwrap(),
    }
}

/// Every step of a plan ticked as done.
fn all_done(plan: &Plan) -> History {
    let steps = Steps::of(plan, &Conductors::of(plan), &RoutesReport::default());
    let ticks = steps.all().iter().map(|step| tick(&step.key.to_string(), Mark::Done, 10));
    History { ticks: ticks.collect(), ..History::default() }
}

/// What is undone of a job where everything was done, as `step: why`.
fn back(before: impl FnOnce(&mut Value), after: impl FnOnce(&mut Value)) -> Vec<String> {
    let (before, after) = (plan(before), plan(after));
    let back = taken_back(&before, &after, &all_done(&before));
    back.iter().map(|(step, why)| format!("{step}: {why}")).collect()
}

#[test]
fn a_switch_taken_off_moves_no_wire_but_its_jumpers() {
    let (switched, bare) = (plan(|_| {}), plan(unswitched));
    let (was, is) = (Conductors::of(&switched), Conductors::of(&bare));
    let ids: Vec<_> = moved(Pieces::of(&switched, &was), Pieces::of(&bare, &is))
        .iter()
        .map(|one| one.was.id().to_owned())
        .collect();
    assert_eq!(ids, ["C01-1", "C01-2"], "the devices' wires stay what they were");
    assert_eq!(
        back(|_| {}, unswitched),
        [
            "end/C01-1a/terminate: C01-1 is not in the plan any more: it ran fb1 → panel 1",
            "end/C01-1b/terminate: C01-1 is not in the plan any more: it ran fb1 → panel 1",
            "end/C01-2a/terminate: C01-2 now runs fb1 → jb1, positive: make it again",
            "end/C01-2b/terminate: C01-2 now runs fb1 → jb1, positive: make it again",
            "position/panel-1/wire: panel-1 now switches nothing: wire and check it again",
        ]
    );
}

#[test]
fn a_wire_that_runs_elsewhere_is_pulled_labeled_and_ended_again() {
    let swapped = |job: &mut Value| {
        circuit(job)["legs"] =
            json!([{"number": 1, "device": "stern-light"}, {"number": 2, "device": "side"}])
    };
    let told = back(|_| {}, swapped);
    assert_eq!(told.len(), 16, "two steps and two ends of four wires: {told:#?}");
    assert_eq!(
        told[0],
        "conductor/C01-3/pull: C01-3 now runs jb1 → stern-light, positive: pull, label and terminate it again"
    );
    let gone = back(|_| {}, |job| circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]));
    assert!(gone.iter().all(|told| told.contains("C01-5") || told.contains("C01-6")), "{gone:#?}");
    assert_eq!(gone.len(), 8);
    let turned = |job: &mut Value| {
        job["feeders"][1]["from"] = json!("house");
        job["feeders"][1]["to"] = json!("neg1");
    };
    assert!(back(|_| {}, turned).iter().any(|told| told.starts_with("conductor/F2/pull: F2 now runs house")));
}

#[test]
fn another_position_of_the_panel_opens_the_ends_there_alone() {
    assert_eq!(
        back(|_| {}, |job| circuit(job)["switch"]["position"] = json!(2)),
        [
            "end/C01-1b/terminate: C01-1 now runs fb1 → panel 2: terminate and label it again",
            "end/C01-2a/terminate: C01-2 now runs panel 2 → jb1: terminate and label it again",
            "position/panel-1/wire: panel-1 now switches nothing: wire and check it again",
        ]
    );
}

#[test]
fn what_was_not_done_or_does_not_move_stays_as_it_is() {
    let renamed = |job: &mut Value| circuit(job)["name"] = json!("Lights");
    assert_eq!(back(|_| {}, renamed), [""; 0]);
    let (before, after) = (plan(|_| {}), plan(unswitched));
    assert_eq!(taken_back(&before, &after, &History::default()), []);
    let undone = History {
        ticks: vec![
            tick("end/C01-1a/terminate", Mark::Done, 10),
            tick("end/C01-1a/terminate", Mark::Undone, 20),
        ],
        ..History::default()
    };
    assert_eq!(taken_back(&before, &after, &undone), [], "it is open already");
}

#[test]
fn an_undone_wire_is_to_be_labeled_until_it_is_done_again() {
    let (before, after) = (
        plan(|_| {}),
        plan(|job| {
            circuit(job)["legs"] =
                json!([{"number": 1, "device": "stern-light"}, {"number": 2, "device": "side"}])
        }),
    );
    let mut history = all_done(&before);
    let back = taken_back(&before, &after, &history);
    for (step, why) in back {
        let undone = Tick { reason: Some(why), ..tick(&step.to_string(), Mark::Undone, 20) };
        history.ticks.push(undone);
    }
    let conductors = Conductors::of(&after);
    let steps = Steps::of(&after, &conductors, &RoutesReport::default());
    let ids = |history: &History| -> Vec<String> {
        to_label(Pieces::of(&after, &conductors), &Progress::new(&steps, history))
            .iter()
            .map(|piece| piece.id().to_owned())
            .collect()
    };
    assert_eq!(ids(&history), ["C01-3", "C01-4", "C01-5", "C01-6"]);
    for step in
        ["conductor/C01-3/pull", "conductor/C01-3/label", "end/C01-3a/terminate", "end/C01-3b/terminate"]
    {
        history.ticks.push(tick(step, Mark::Done, 30));
    }
    assert_eq!(ids(&history), ["C01-4", "C01-5", "C01-6"]);
    assert!(Progress::new(&steps, &history).strays().next().is_none());
}

#[test]
fn a_cable_that_goes_elsewhere_is_pulled_labeled_and_terminated_again() {
    let cables = |to: &'static str| {
        move |job: &mut Value| {
            job["devices"][0]["cables"] = json!([
                {"id": "net", "label": "N1", "kind": "network", "to": {"location": to}},
                {"id": "coax", "kind": "antenna", "to": {"location": to}, "length_m": 5}
            ]);
        }
    };
    assert_eq!(back(cables("helm"), cables("helm")), [""; 0]);
    let net = "N1 now runs side \u{2192} stern: pull, label and terminate it again";
    let coax = "coax now runs side \u{2192} stern: pull and label it again";
    assert_eq!(
        back(cables("helm"), cables("stern")),
        [
            format!("cable/net/pull: {net}"),
            format!("cable/net/label: {net}"),
            format!("end/net-a/terminate: {net}"),
            format!("end/net-b/terminate: {net}"),
            format!("cable/coax/pull: {coax}"),
            format!("cable/coax/label: {coax}"),
        ]
    );
}
