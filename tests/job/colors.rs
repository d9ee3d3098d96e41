//! Wire colors: chosen for each side of a circuit and for each feeder, and checked.

use driploop::job::color;
use driploop::job::wiring::Conductors;
use driploop::trade::finding::Code;
use serde_json::{Value, json};

use crate::fixture::{plan, report, told};

/// The color of a conductor after a change.
fn color_of(id: &str, change: impl FnOnce(&mut Value)) -> String {
    let plan = plan(change);
    color::of(&plan, Conductors::of(&plan).get(id).unwrap()).to_owned()
}

#[test]
fn every_conductor_has_the_color_that_was_chosen_or_a_usual_one() {
    let usual = ["C01-3", "C01-4", "F1", "F2"].map(|id| color_of(id, |_| {}));
    assert_eq!(usual, ["orange", "black", "red", "black"]);
    let chosen = |job: &mut Value| {
        job["circuits"][0]["color"] = json!("dark gray");
        job["circuits"][0]["return_color"] = json!("yellow");
        job["feeders"][0]["color"] = json!("yellow with red stripe");
        job["feeders"][1]["color"] = json!("yellow");
    };
    let own = ["C01-3", "C01-4", "F1", "F2"].map(|id| color_of(id, chosen));
    assert_eq!(own, ["dark gray", "yellow", "yellow with red stripe", "yellow"]);
}

fn said(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let report = report(change);
    report.findings.iter().filter(|finding| finding.code == Code::ColorMisleads).map(told).collect()
}

#[test]
fn a_color_that_is_taken_for_something_else_is_a_finding() {
    assert_eq!(said(|_| {}), [""; 0]);
    assert_eq!(said(|job| job["circuits"][0]["return_color"] = json!("yellow")), [""; 0]);
    assert_eq!(
        said(|job| job["circuits"][0]["return_color"] = json!("red")),
        ["fix color-misleads circuit/C01"]
    );
    assert_eq!(said(|job| job["circuits"][0]["color"] = json!("green")), ["fix color-misleads circuit/C01"]);
    assert_eq!(said(|job| job["feeders"][1]["color"] = json!("red")), ["fix color-misleads feeder/F2"]);
    assert_eq!(said(|job| job["feeders"][0]["color"] = json!("black")), ["fix color-misleads feeder/F1"]);
    assert_eq!(said(|job| job["feeders"][1]["color"] = json!("white")), ["note color-misleads feeder/F2"]);
}
