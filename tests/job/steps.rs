//! The steps of the work, as they follow from the plan.

use driploop::job::check::check;
use driploop::job::event::Mark;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::plan::Plan;
use driploop::job::steps::Steps;
use driploop::job::wiring::Conductors;
use serde_json::json;

use crate::fixture::{job, plan, told};
use crate::work::{findings, tick};

fn steps(plan: &Plan) -> Steps {
    Steps::of(plan, &Conductors::of(plan), &check(plan).routes)
}

#[test]
fn the_steps_are_what_the_job_contains() {
    let plan = plan(|job| job["devices"][0]["settings"] = json!([{"name": "Brightness"}]));
    let steps = steps(&plan);
    let counted = Phase::ALL.map(|phase| (phase.word(), steps.in_phase(phase).len()));
    let expected = [
        ("strip-out", 1 + 3 + 1),      // the battery, three locations, one raceway
        ("mounting", 3 * (5 + 2) + 3), // five points and two devices: placed, backed, fastened; holes of three locations
        ("runs", 2 * (4 + 2)),         // two pairs and two feeders: pulled, labeled
        ("terminations", 2 * (6 + 2)), // two ends of each conductor, jumpers among them
        ("switches", 2),               // a position wired, the panel fitted
        ("power-up-test", 8 + 3 * (2 + 1) + 2 + 2), // the boat; a circuit and two feeders before and under power; two fuses; two positives without a short
        ("tie-down", 2 + 2 * 3), // a run strain-relieved and tied; two feeders through a tube, guarded as well
        ("setup", 1 + 2 + 4),    // a setting; two devices tried; second look, afloat, sea trial, handover
    ];
    assert_eq!(counted, expected);
    let circuit = "C01".parse().unwrap();
    let of_circuit: Vec<_> = steps.of_circuit(&circuit).map(|step| step.key.to_string()).collect();
    for key in ["conductor/C01-3/pull", "end/C01-1a/terminate", "position/panel-1/wire", "circuit/C01/test"] {
        assert!(of_circuit.iter().any(|step| step == key), "{key} in {of_circuit:?}");
    }
    let mut keys: Vec<_> = steps.all().iter().map(|step| step.key.clone()).collect();
    keys.sort();
    keys.dedup();
    assert_eq!(keys.len(), steps.all().len(), "every step has a name of its own");
}

/// A boat whose lights' wire runs along the gunwale from helm to bow, through a bulkhead, to a wet location.
fn along_the_gunwale() -> Plan {
    plan(|job| {
        job["locations"].as_array_mut().unwrap().push(json!({"id": "locker", "name": "Bow locker"}));
        job["locations"][2]["wet"] = json!(true);
        let ways = json!([
            {"id": "gunwale", "between": ["helm", "locker"], "length_m": 2.6, "kind": "gunwale"},
            {"id": "hole", "between": ["locker", "bow"], "length_m": 0.1, "bore_mm": 25, "kind": "bulkhead"}
        ]);
        job["raceways"].as_array_mut().unwrap().extend(ways.as_array().unwrap().iter().cloned());
    })
}

#[test]
fn a_run_is_tied_down_part_by_part_as_its_route_needs() {
    let plan = along_the_gunwale();
    let steps = steps(&plan);
    let of = |subject: &str| -> Vec<&str> {
        let of_this = steps.in_phase(Phase::TieDown).iter();
        let of_this = of_this.filter(|step| step.key.subject.to_string() == subject);
        of_this.map(|step| step.key.action.word()).collect()
    };
    assert_eq!(of("circuit/C01"), ["support", "guard", "drip-loop", "relieve", "tie"]);
    assert_eq!(of("feeder/F1"), ["guard", "relieve", "tie"], "a tube carries its wires");
}

#[test]
fn ticks_of_things_that_the_plan_no_longer_has_are_kept_and_reported() {
    let mut job = job(|_| {});
    job.history.ticks.push(tick(1, "circuit/C99/test", Mark::Done, "Robin", 10));
    let read = JobFile::read(job.write().as_bytes()).unwrap();
    assert_eq!(read, job);
    let report = findings(&read);
    let said = report.last().unwrap();
    assert_eq!(told(said), "note record-without-item circuit/C99");
}
