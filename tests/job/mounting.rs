//! What mounting needs: what lies below the waterline is sealed against the sea, old holes are closed.

use driploop::job::phase::Phase;
use driploop::job::routing::RoutesReport;
use driploop::job::steps::Steps;
use driploop::job::wiring::Conductors;
use serde_json::{Value, json};

use crate::fixture;

/// The steps of the mounting phase with their keys and what they say of the thing.
fn mounting(change: impl FnOnce(&mut Value)) -> Vec<(String, String)> {
    let plan = fixture::plan(change);
    let steps = Steps::of(&plan, &Conductors::of(&plan), &RoutesReport::default());
    let keys = steps.in_phase(Phase::Mounting).iter();
    keys.map(|step| (step.key.to_string(), step.about.clone())).collect()
}

fn seals(change: impl FnOnce(&mut Value)) -> Vec<String> {
    mounting(change).into_iter().map(|(key, _)| key).filter(|key| key.contains("/seal")).collect()
}

#[test]
fn only_what_lies_below_the_waterline_is_sealed_against_the_sea() {
    assert_eq!(seals(|_| {}), [""; 0]);
    let wet = seals(|job| job["locations"][2]["wet"] = json!(true));
    assert_eq!(wet, ["device/side/seal"], "a wet deck is no bottom");
    let below = seals(|job| job["locations"][1]["below_waterline"] = json!(true));
    assert_eq!(below, ["point/house/seal-below", "device/stern-light/seal-below"]);
    let both = seals(|job| {
        job["locations"][2]["wet"] = json!(true);
        job["locations"][2]["below_waterline"] = json!(true);
    });
    assert_eq!(both, ["device/side/seal", "device/side/seal-below"]);
    let through = seals(|job| job["devices"][1]["through_hull"] = json!(true));
    assert_eq!(through, ["device/stern-light/seal-below"], "wherever it is reached from");
}

#[test]
fn old_holes_are_closed_by_their_number_and_means() {
    let closes = |holes: Value| -> Vec<String> {
        let steps = mounting(|job| {
            job["locations"][2].as_object_mut().unwrap().extend(holes.as_object().unwrap().clone())
        });
        steps.into_iter().filter(|(key, _)| key == "location/bow/close").map(|(_, about)| about).collect()
    };
    assert_eq!(closes(json!({})), ["Bow, old holes not counted yet"]);
    assert_eq!(
        closes(json!({"old_holes": 6, "closed_with": "glass"})),
        ["Bow, 6 old holes, with glass and resin"]
    );
    assert_eq!(closes(json!({"old_holes": 1})), ["Bow, 1 old hole"]);
    assert_eq!(closes(json!({"old_holes": 0})), [""; 0], "none to close");
}
