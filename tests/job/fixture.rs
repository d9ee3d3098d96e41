//! A small sound job to change in one location at a time.

use driploop::job::check::{Report, check};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::job::plan::Plan;
use driploop::trade::units::Units;
use serde_json::{Value, json};

/// A small sound job, in the words of the design.
pub fn sound() -> Value {
    json!({
        "format": 1,
        "job": {"name": "Rewire", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "Sandpiper", "length_m": 7.1, "fuel": "gasoline", "engine": "outboard"},
        "locations": [
            {"id": "helm", "name": "Helm console", "vapor": "open"},
            {"id": "stern", "name": "Stern locker", "vapor": "isolated"},
            {"id": "bow", "name": "Bow", "vapor": "open"}
        ],
        "raceways": [
            {"id": "tube-port", "between": ["helm", "stern"], "length_m": 4.3, "bore_mm": 38, "kind": "tube"}
        ],
        "points": [
            {"id": "house", "kind": "battery", "location": "stern", "open_circuit_v": 12.7, "internal_mohm": 6.0},
            {"id": "fb1", "kind": "fuse-block", "location": "helm", "rating_a": 100, "positions": 12,
                "position_a": 100},
            {"id": "neg1", "kind": "negative-bus", "location": "helm", "rating_a": 150},
            {"id": "panel", "kind": "switch-panel", "location": "helm",
                "positions": [{"label": "NAV", "rating_a": 15}, {"label": "BILGE", "rating_a": 15}]},
            {"id": "jb1", "kind": "junction-bar", "location": "helm", "positions": 10, "rating_a": 30,
                "position_a": 100}
        ],
        "feeders": [
            {"id": "F1", "from": "house", "to": "fb1", "polarity": "positive", "size": "6 AWG",
                "insulation_c": 105, "length_m": 4.5,
                "protection": {"kind": "bolt-down-fuse", "rating_a": 60, "from_source_m": 0.15,
                    "interrupt_a": 5000}},
            {"id": "F2", "from": "neg1", "to": "house", "polarity": "negative", "size": "6 AWG",
                "insulation_c": 105, "length_m": 4.5}
        ],
        "devices": [
            {"id": "side", "name": "Sidelights", "location": "bow", "drop_limit_pct": 3,
                "load": {"kind": "constant-current", "a": 1.2}},
            {"id": "stern-light", "name": "Stern light", "location": "stern", "drop_limit_pct": 3,
                "load": {"kind": "constant-power", "w": 6}}
        ],
        "circuits": [
            {"id": "C01", "name": "Navigation lights", "legs": [{"number": 1, "device": "side"}, {"number": 2, "device": "stern-light"}], "from": "fb1",
                "protection": {"kind": "blade-fuse", "rating_a": 5, "from_source_m": 0},
                "switch": {"panel": "panel", "position": 1}, "junction": "jb1", "return": "neg1",
                "size": "16 AWG", "insulation_c": 105, "length_m": 5}
        ],
        "modes": [{"id": "running", "name": "Running", "hours": 6, "on": [{"circuit": "C01"}]}]
    })
}

/// The sound job after a change, read as a job file.
#[track_caller]
pub fn job(change: impl FnOnce(&mut Value)) -> JobFile {
    let mut job = sound();
    change(&mut job);
    JobFile::read(job.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}"))
}

/// Its plan.
#[track_caller]
pub fn plan(change: impl FnOnce(&mut Value)) -> Plan {
    job(change).plan
}

/// The check of its plan.
#[track_caller]
pub fn report(change: impl FnOnce(&mut Value)) -> Report {
    check(&plan(change))
}

/// The findings of a report without its notes, as `level code kind/id`.
pub fn wrongs(report: &Report) -> Vec<String> {
    let wrong = report.findings.iter().filter(|finding| finding.level.word() != "note");
    wrong.map(told).collect()
}

/// What a report says of one thing under one code.
pub fn text(report: &Report, code: &str, subject: &str) -> String {
    let is_it = |finding: &&Finding| finding.code.phrase() == code && finding.subject.to_string() == subject;
    let found: Vec<_> = report.findings.iter().filter(is_it).map(said).collect();
    found.join("\n")
}

/// What a finding says in a metric shop.
pub fn said(finding: &Finding) -> String {
    finding.text.text(Units::Metric)
}

/// A finding in short: `fix drop-over-limit circuit/C01`.
pub fn told(finding: &Finding) -> String {
    format!("{} {} {}", finding.level.word(), finding.code.phrase(), finding.subject)
}
