//! Boats on which even the thickest sizes break a limit: one finding says which, and the nearest change.

use serde_json::{Value, json};

use crate::boats::{checked, wrongs};

/// A battery of 12.7 V and 5 milliohm, a block, a negative bar and one lamp. Every size is open.
fn boat(amperes: f64, limit_pct: f64, contact_mohm: f64) -> Value {
    let wire = |id: &str, from: &str, to: &str, polarity: &str| json!({"id": id, "from": from, "to": to, "polarity": polarity, "insulation_c": 105, "length_m": 1.0});
    json!({"format": 1,
        "job": {"name": "T", "rules": "us", "nominal_v": 12, "ambient_c": 30, "contact_mohm": contact_mohm},
        "boat": {"name": "T", "length_m": 6}, "locations": [{"id": "boat", "name": "Boat"}],
        "points": [
            {"id": "A", "kind": "battery", "location": "boat", "open_circuit_v": 12.7, "internal_mohm": 5},
            {"id": "neg", "kind": "negative-bus", "location": "boat"},
            {"id": "block", "kind": "positive-bus", "location": "boat"}],
        "feeders": [wire("F1", "A", "block", "positive"), wire("N1", "neg", "A", "negative")],
        "devices": [{"id": "D1", "name": "Lamp", "location": "boat", "drop_limit_pct": limit_pct,
            "load": {"kind": "constant-current", "a": amperes}}],
        "circuits": [{"id": "C1", "name": "Lamp", "legs": [{"number": 1, "device": "D1"}], "from": "block",
            "return": "neg", "insulation_c": 105, "length_m": 1.0}]})
}

fn about(job: &Value, code: &str) -> Vec<String> {
    wrongs(&checked(job)).into_iter().filter(|said| said.starts_with(code)).collect()
}

#[track_caller]
fn says(job: &Value, code: &str, change: &str) {
    let said = about(job, code);
    assert!(said.len() == 1 && said[0].contains(change), "{said:#?}");
}

// By hand: contacts of 20 milliohm, two ends on each of two conductors, 10 A: 0.8 V of 12 V is 6.7 %. The
// thickest copper adds 0.003 V. The limit of 3 % is 45 % of the sum, rounded down to 44 %.
#[test]
fn of_contacts_that_lose_too_much_it_says_the_share_that_keeps_the_limit() {
    says(
        &boat(10.0, 3.0, 20.0),
        "solved-drop-over-limit",
        "Even its thickest size loses 6.7 %. Shorten it to 44 %",
    );
}

// By hand: contacts on both feeders and both conductors, eight ends of 20 milliohm, 10 A: 1.6 V is 13.4 %.
#[test]
fn of_a_total_drop_it_says_the_share_of_the_path() {
    says(
        &boat(10.0, 10.0, 20.0),
        "total-drop-over-limit",
        "lose 13.4 %. Shorten the path from the battery to 97 %",
    );
}

// By hand: the posts have 12.7 V - 10 A x 5 milliohm = 12.65 V. Contacts of 1 milliohm at eight ends lose 0.08 V, and
// 4 m of 4/0 AWG 0.007 V. Of 0.088 V, 0.05 V are left for the path: 57 %.
#[test]
fn of_too_few_volts_it_says_whether_a_conductor_can_help() {
    let needs = |volts: f64| {
        let mut job = boat(10.0, 3.0, 1.0);
        job["devices"][0]["least_v"] = json!(volts);
        job
    };
    let code = "voltage-under-least";
    says(
        &needs(12.6),
        code,
        "Even the thickest sizes let only 12.56 V arrive. Shorten the path from the battery to 57 %",
    );
    says(&needs(12.65), code, "The battery itself has only 12.65 V then. No conductor helps.");
    assert_eq!(about(&needs(12.5), code), Vec::<String>::new());
}

// By hand: contacts of 50 milliohm at eight ends: at most 12.7 V / 0.405 ohm, 31 A, and 27 A with the thinnest
// wires. ISO 8820-3, from memory: a blade fuse opens within 5 s at twice its rating. So 10 A opens, and 15 A may not.
#[test]
fn of_a_weak_fault_it_says_the_largest_rating_that_opens() {
    let mut job = boat(1.0, 10.0, 50.0);
    job["circuits"][0]["protection"] = json!({"kind": "blade-fuse", "rating_a": 20, "from_source_m": 0});
    says(&job, "fault-current-too-low", "No thicker size is enough. Fit 10 A at most, or shorten the path.");
    job["devices"][0]["load"]["a"] = json!(18);
    says(&job, "fault-current-too-low", "no rating for this load either");
}
