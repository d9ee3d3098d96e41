//! Conductors without protection of their own: what stands before them, and that they stand what it lets through.

use driploop::job::check::{Report, together};
use driploop::job::plan::Plan;
use serde_json::{Value, json};

use crate::fixture::{plan, report, wrongs};

fn let_through(report: &Report, feeder: &str) -> Option<f64> {
    report.feeders[&feeder.parse().unwrap()].let_through_a
}

fn size(report: &Report, feeder: &str) -> String {
    report.feeders[&feeder.parse().unwrap()].size.unwrap().to_string()
}

fn bare(job: &mut Value, feeder: usize) {
    job["feeders"][feeder].as_object_mut().unwrap().remove("size");
}

/// 150 % of table 5 at 105 C: 14 AWG 52.5 A, 12 AWG 67.5 A. A short at the block comes back past the 60 A of F1.
#[test]
fn a_return_stands_what_the_fuse_of_its_panel_lets_through() {
    let thin = report(|job| job["feeders"][1]["size"] = json!("14 AWG"));
    assert_eq!(wrongs(&thin), ["stop fuse-over-wire feeder/F2"]);
    assert_eq!(let_through(&thin, "F2"), Some(60.0));
    assert_eq!(wrongs(&report(|job| job["feeders"][1]["size"] = json!("12 AWG"))), [""; 0]);
}

#[test]
fn a_return_whose_size_is_left_open_gets_one_that_its_panels_fuse_protects() {
    let chosen = report(|job| bare(job, 1));
    assert_eq!(size(&chosen, "F2"), "12 AWG");
    assert_eq!(wrongs(&chosen), [""; 0]);
}

/// The circuit is taken from the battery itself, so that nothing but its own 5 A stands in the way.
#[test]
fn where_nothing_stands_before_a_circuit_its_own_fuse_counts() {
    let alone = report(|job| job["circuits"][0]["from"] = json!("house"));
    assert_eq!(let_through(&alone, "F2"), Some(5.0));
}

/// F3 goes on from the block to a second one without a fuse of its own.
fn goes_on(job: &mut Value) {
    let block = json!({"id": "fb2", "kind": "fuse-block", "place": "helm", "rating_a": 100, "positions": 6});
    job["points"].as_array_mut().unwrap().push(block);
    let feeder = json!({"id": "F3", "from": "fb1", "to": "fb2", "polarity": "positive", "insulation_c": 105,
        "length_m": 0.5});
    job["feeders"].as_array_mut().unwrap().push(feeder);
    job["circuits"][0]["from"] = json!("fb2");
}

#[test]
fn a_feeder_behind_a_fused_one_gets_a_size_that_its_fuse_protects() {
    let chosen = report(goes_on);
    assert_eq!((size(&chosen, "F3").as_str(), let_through(&chosen, "F3")), ("12 AWG", Some(60.0)));
    assert_eq!(wrongs(&chosen), [""; 0]);
    let given = report(|job| {
        goes_on(job);
        job["feeders"][2]["size"] = json!("14 AWG");
    });
    assert_eq!(wrongs(&given), ["stop unprotected feeder/F3"]);
}

/// Together no size is chosen that carries less than the 60 A before it.
#[test]
fn sizes_chosen_together_stand_what_is_let_through() {
    let plan: Plan = plan(|job| {
        goes_on(job);
        bare(job, 0);
        bare(job, 1);
    });
    let report = driploop::job::check::check(&plan);
    let trees = together(&plan, &report).trees;
    let outcome = trees[0].anew.as_ref().unwrap();
    for wire in outcome.wires.iter().filter(|wire| wire.subject.to_string().starts_with("feeder/")) {
        // Of table 5 at 105 C, 10 AWG carries 60 A without the law's half more.
        assert!(wire.size >= "10 AWG".parse().unwrap(), "{} {}", wire.subject, wire.size);
    }
}

/// A load of 12.5 A on a device that allows 10 A: said once, and not that the conductor is to blame.
#[test]
fn what_the_devices_maker_forbids_is_not_put_right_by_copper() {
    let report = report(|job| {
        job["devices"][0]["load"]["a"] = json!(12.0);
        job["devices"][0]["max_fuse_a"] = json!(10);
        job["circuits"][0]["protection"] = json!({"kind": "blade-fuse", "from_source_m": 0});
        job["circuits"][0].as_object_mut().unwrap().remove("size");
    });
    let texts: Vec<_> = (report.findings.iter())
        .filter(|said| said.code.phrase() == "no-rating-fits")
        .map(|said| said.text.as_str())
        .collect();
    assert_eq!(
        texts,
        [
            "no blade fuse is made between the load of 12.5 A and the 10 A that a device's maker allows: part its \
          devices over circuits of their own, or ask that maker"
        ]
    );
}
