//! The program as it is called: what it prints and how it ends.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::{Value, json};

fn driploop(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_driploop")).args(args).output().unwrap()
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A file in a folder of its own.
fn file(content: &[u8]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.json");
    std::fs::write(&path, content).unwrap();
    (folder, path)
}

/// One lamp on one fused wire from one battery.
fn lamp(length_m: f64) -> Value {
    json!({
        "format": 1,
        "job": {"name": "Lamp", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "Wagtail", "length_m": 5, "fuel": "gasoline", "engine": "outboard"},
        "locations": [{"id": "helm", "name": "Helm", "vapor": "open"}],
        "points": [{"id": "house", "kind": "battery", "location": "helm", "open_circuit_v": 12.7, "internal_mohm": 8}],
        "devices": [{"id": "lamp", "name": "Lamp", "location": "helm", "drop_limit_pct": 3,
            "load": {"kind": "constant-current", "a": 1}}],
        "circuits": [{"id": "C01", "name": "Lamp", "legs": [{"number": 1, "device": "lamp"}], "from": "house", "return": "house",
            "protection": {"kind": "class-t-fuse", "rating_a": 110, "from_source_m": 0.1},
            "size": "4 AWG", "insulation_c": 105, "length_m": length_m}]
    })
}

#[test]
fn a_job_without_fault_ends_with_0() {
    let (_folder, path) = file(lamp(2.0).to_string().as_bytes());
    let output = driploop(&["check", path.to_str().unwrap()]);
    assert_eq!(code(&output), Some(0), "{}{}", text(&output.stdout), text(&output.stderr));
    let printed = text(&output.stdout);
    for part in [
        "Wagtail: Lamp",
        "US rules (33 CFR 183), 12 V nominal",
        "C01  Lamp",
        "Findings: 0 stop, 0 fix, 5 note",
        "device-fuse-unknown: ",
        "not-checked: Enter the studs, screws or tabs at ",
        "not-checked: Enter a use pattern by modes. ",
        "not-checked: Enter the navigation lights. ",
    ] {
        assert!(printed.contains(part), "{part} in\n{printed}");
    }
}

#[test]
fn a_job_with_something_to_correct_ends_with_1() {
    let mut job = lamp(2.0);
    job["circuits"][0].as_object_mut().unwrap().remove("protection");
    let (_folder, path) = file(job.to_string().as_bytes());
    let output = driploop(&["check", path.to_str().unwrap()]);
    assert_eq!(code(&output), Some(1));
    assert!(text(&output.stdout).contains("stop circuit/C01  unprotected: "), "{}", text(&output.stdout));

    let output = driploop(&["check", path.to_str().unwrap(), "--json"]);
    assert_eq!(code(&output), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["findings"][0]["code"], "unprotected");
    assert_eq!(report["circuits"]["C01"]["round_trip_m"], 4.0);
    let materials = &report["materials"];
    assert_eq!(materials["terminals_not_chosen"], 4, "nothing says what they sit on: {materials}");
    assert_eq!(materials["tie_down"]["supports"], 0);
}

#[test]
fn a_file_that_is_no_job_ends_with_2() {
    let told = |content: &[u8], expected: &str| {
        let (_folder, path) = file(content);
        let output = driploop(&["check", path.to_str().unwrap()]);
        assert_eq!(code(&output), Some(2));
        assert!(output.stdout.is_empty());
        let said = text(&output.stderr);
        assert!(said.starts_with("driploop: ") && said.contains(expected), "{expected} in {said}");
    };
    told(b"not json", "not JSON");
    told(&vec![b'x'; 50 * 1024 * 1024], "the file is larger than a job file can be: expected at most 8 MiB");
    told(&vec![b'['; 1_000_000], "invalid type: sequence");
    told(&[0xff, 0xfe], "not UTF-8");
    told(
        lamp(-2.0).to_string().as_bytes(),
        "circuits[0].length_m: '-2' is not valid here: expected a length in meters from 0 to 200",
    );
    let mut dangling = lamp(2.0);
    dangling["circuits"][0]["from"] = json!("home");
    told(
        dangling.to_string().as_bytes(),
        "circuits[0].from: 'home' is not valid here: expected the id of a point",
    );
}

#[test]
fn a_file_that_is_not_there_ends_with_2() {
    let output = driploop(&["check", "no-such-folder/job.json"]);
    assert_eq!(code(&output), Some(2));
    assert!(text(&output.stderr).starts_with("driploop: no-such-folder/job.json: cannot be read: "));
    assert_eq!(code(&driploop(&["check"])), Some(2), "no file named");
    assert_eq!(code(&driploop(&["frobnicate"])), Some(2), "no such command");
}

#[test]
fn the_schema_is_a_json_schema() {
    let output = driploop(&["schema"]);
    assert_eq!(code(&output), Some(0));
    let schema: Value = serde_json::from_slice(&output.stdout).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    assert!(validator.is_valid(&lamp(2.0)) && !validator.is_valid(&lamp(-2.0)));
}

#[test]
fn the_history_of_a_file_is_read_as_imported_and_the_output_says_so() {
    let mut job = lamp(2.0);
    let at = "2026-05-04T08:00:00Z";
    job["history"] = json!({
        "ticks": [{"id": "0196a1b2-0000-7000-8000-000000000001", "step": "circuit/C01/test", "mark": "not-needed",
            "reason": "It burns", "by": "Robin", "at": at}],
        "releases": [{"id": "0196a1b2-0000-7000-8000-000000000002", "step": "circuit/C01/tie",
            "obstacle": "circuit/C01/test", "reason": "It burns", "by": "Robin", "at": at}]
    });
    let (_folder, path) = file(job.to_string().as_bytes());
    let printed = text(&driploop(&["check", path.to_str().unwrap()]).stdout);
    for part in [
        "History: 2 records, read as imported",
        "Not confirmed, so they do not count: releases 1, waivers 1, judgments 0",
        "Power-up test: ",
    ] {
        assert!(printed.contains(part), "{part} in\n{printed}");
    }
    let json: Value =
        serde_json::from_slice(&driploop(&["check", path.to_str().unwrap(), "--json"]).stdout).unwrap();
    let history = &json["history"];
    assert_eq!((&history["read_as"], &history["records"]), (&json!("imported"), &json!(2)));
    assert_eq!(history["waivers_not_confirmed"], 1);
    assert!(json["findings"].is_array(), "the report is beside it");
    let help = text(&driploop(&["check", "--help"]).stdout);
    assert!(help.contains("The history of the file is read as imported"), "{help}");
}
