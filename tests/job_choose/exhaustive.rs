//! The sizes that the program chooses, against a separate script that solves every combination of sizes.
//!
//! Invented boats of six kinds: two feeders in a row, feeders and returns, two banks on one bar, two blocks with a
//! link between them, two switched banks with a combiner between their switches, and a charger beside the loads.
//! The third to the fifth have loops.

use std::io::Write as _;
use std::process::{Command, Stdio};

use driploop::job::check::Report;
use driploop::trade::finding::Level;
use serde_json::{Value, json};

use crate::boats::{checked, said};

/// Numbers that look random and are the same in every run.
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let share = f64::from(u32::try_from(self.0 >> 40).unwrap()) / f64::from(1_u32 << 24);
        (10.0 * (low + (high - low) * share)).round() / 10.0
    }
}

/// A feeder or circuit of both descriptions.
struct Wires {
    feeders: Vec<Value>,
    circuits: Vec<Value>,
    devices: Vec<Value>,
    wires: Vec<Value>,
    loads: Vec<Value>,
}

impl Wires {
    fn new() -> Self {
        Self { feeders: vec![], circuits: vec![], devices: vec![], wires: vec![], loads: vec![] }
    }

    /// A feeder with the current of the circuits that may draw through it.
    fn feeder(&mut self, id: &str, ends: [&str; 2], length: f64, amperes: f64, size: Option<&str>) {
        let negative = id.starts_with('N');
        let polarity = if negative { "negative" } else { "positive" };
        let mut feeder = json!({"id": id, "from": ends[0], "to": ends[1], "polarity": polarity,
            "insulation_c": 105, "length_m": length});
        if let Some(size) = size {
            feeder["size"] = json!(size);
        }
        self.feeders.push(feeder);
        let node = |point: &str| match (point, negative) {
            ("A" | "B" | "charger", true) => format!("{point}-"),
            _ => point.to_owned(),
        };
        self.wires.push(json!({"id": id, "from": node(ends[0]), "to": node(ends[1]), "length_m": length,
            "design_a": amperes, "of": "feeder", "size": size}));
    }

    fn circuit(&mut self, id: &str, block: &str, length: f64, amperes: f64, limit: f64) {
        let device = format!("D{id}");
        self.devices.push(json!({"id": device, "name": device, "location": "boat", "drop_limit_pct": limit,
            "load": {"kind": "constant-current", "a": amperes}}));
        self.circuits.push(json!({"id": id, "name": id, "legs": [{"number": 1, "device": device}],
            "from": block, "return": "neg", "insulation_c": 105, "length_m": length}));
        let [plus, minus] = ["+", "-"].map(|side| format!("{device}{side}"));
        for [from, to] in [[block, &plus], [&minus, "neg"]] {
            self.wires
                .push(json!({"id": id, "from": from, "to": to, "length_m": length, "design_a": amperes,
                "of": "circuit", "size": null}));
        }
        self.loads
            .push(json!({"circuit": id, "plus": plus, "minus": minus, "a": amperes, "limit_pct": limit,
            "from_plus": block, "from_minus": "neg", "source": 0}));
    }
}

/// How many kinds of boats there are.
const KINDS: usize = 6;

/// A boat as a job and as the script reads it.
fn boat(kind: usize, dice: &mut Dice) -> (Value, Value) {
    let mut wires = Wires::new();
    let loads = [dice.between(2.0, 14.0), dice.between(2.0, 14.0)];
    let both = loads[0] + loads[1];
    let limits = [3.0, if dice.between(0.0, 1.0) < 0.6 { 3.0 } else { 10.0 }];
    let thin = dice.between(0.0, 1.0) < 0.3;
    let negative = if thin { "14 AWG" } else { "8 AWG" };
    let mut meters = |most: f64| dice.between(0.5, most);
    let (one, other) = (meters(6.0), meters(6.0));
    match kind {
        0 => {
            wires.feeder("F1", ["A", "bus"], meters(5.0), both, None);
            wires.feeder("F2", ["bus", "block"], meters(5.0), both, None);
            wires.feeder("N1", ["neg", "A"], meters(7.0), both, Some(negative));
        }
        1 => {
            wires.feeder("F1", ["A", "block"], meters(7.0), both, None);
            wires.feeder("N1", ["neg", "A"], meters(7.0), both, None);
            wires.feeder("N2", ["neg", "A"], meters(9.0), both, Some("12 AWG"));
        }
        2 => {
            wires.feeder("F1", ["A", "bus"], meters(5.0), both, None);
            wires.feeder("F2", ["B", "far"], meters(3.0), both, Some("6 AWG"));
            wires.feeder("F3", ["far", "bus"], meters(3.0), both, Some("6 AWG"));
            wires.feeder("F4", ["bus", "block"], meters(6.0), both, None);
            wires.feeder("N1", ["neg", "A"], meters(7.0), both, Some(negative));
            wires.feeder("N2", ["neg", "B"], meters(7.0), both, Some(negative));
        }
        3 => {
            wires.feeder("F1", ["A", "block"], meters(6.0), both, None);
            wires.feeder("F2", ["A", "far"], meters(6.0), loads[1], None);
            wires.feeder("F3", ["block", "far"], meters(3.0), loads[1], None);
            wires.feeder("N1", ["neg", "A"], meters(8.0), both, Some(negative));
        }
        4 => {
            wires.feeder("F1", ["A", "one"], meters(4.0), both, None);
            wires.feeder("F2", ["B", "two"], meters(4.0), both, Some("6 AWG"));
            wires.feeder("F3", ["one", "two"], meters(2.0), both, None);
            wires.feeder("F4", ["one", "block"], meters(4.0), loads[0], Some("6 AWG"));
            wires.feeder("F5", ["two", "far"], meters(4.0), loads[1], Some("6 AWG"));
            wires.feeder("N1", ["neg", "A"], meters(7.0), both, Some(negative));
            wires.feeder("N2", ["neg", "B"], meters(7.0), both, Some(negative));
        }
        _ => {
            wires.feeder("F1", ["A", "block"], meters(7.0), both, None);
            wires.feeder("F2", ["charger", "A"], meters(7.0), CHARGER_A, None);
            wires.feeder("N1", ["neg", "A"], meters(7.0), both, Some(negative));
            wires.feeder("N2", ["charger", "A"], meters(7.0), CHARGER_A, Some("8 AWG"));
        }
    }
    wires.circuit("C1", "block", one, loads[0], limits[0]);
    wires.circuit("C2", if matches!(kind, 3 | 4) { "far" } else { "block" }, other, loads[1], limits[1]);
    described(wires, kind)
}

/// What the charger gives, A.
const CHARGER_A: f64 = 15.0;

fn described(wires: Wires, kind: usize) -> (Value, Value) {
    let ids: &[&str] = if matches!(kind, 2 | 4) { &["A", "B"] } else { &["A"] };
    let battery = |id: &&str| json!({"id": id, "kind": "battery", "location": "boat", "open_circuit_v": 12.7, "internal_mohm": 5});
    let source = |id: &&str| json!({"plus": id, "minus": format!("{id}-"), "volts": 12.7, "ohm": 0.005});
    let mut points: Vec<Value> = ids.iter().map(battery).collect();
    points.extend([
        json!({"id": "neg", "kind": "negative-bus", "location": "boat"}),
        json!({"id": "block", "kind": "positive-bus", "location": "boat"}),
        json!({"id": "bus", "kind": "positive-bus", "location": "boat"}),
        json!({"id": "far", "kind": "positive-bus", "location": "boat"}),
    ]);
    let switch = |id: &str| json!({"id": id, "kind": "battery-switch", "location": "boat"});
    match kind {
        4 => points.extend([switch("one"), switch("two")]),
        5 => points
            .push(json!({"id": "charger", "kind": "charger", "location": "boat", "open_circuit_v": 14.2,
            "internal_mohm": 20, "rating_a": CHARGER_A})),
        _ => {}
    }
    let job = json!({"format": 1, "job": {"name": "T", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "T", "length_m": 6}, "locations": [{"id": "boat", "name": "Boat"}],
        "points": points, "feeders": wires.feeders, "devices": wires.devices, "circuits": wires.circuits});
    let puzzle = json!({"nominal_v": 12, "ambient_c": 30, "insulation_c": 105,
        "sources": ids.iter().map(source).collect::<Vec<_>>(), "wires": wires.wires, "loads": wires.loads});
    (job, puzzle)
}

/// The answers of the script, boat by boat.
fn solved_all(puzzles: &[Value]) -> Vec<Value> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/all_sizes.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let mut run = run.unwrap_or_else(|_| panic!("{python} cannot be started; tests/run installs it"));
    let mut input = run.stdin.take().unwrap();
    input.write_all(Value::from(puzzles).to_string().as_bytes()).unwrap();
    drop(input);
    let output = run.wait_with_output().unwrap();
    assert!(output.status.success(), "{python} needs what tests/requirements.txt lists");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The findings about drops that a choice of sizes could avoid.
fn drops(report: &Report) -> Vec<String> {
    let codes = ["total-drop-over-limit", "solved-drop-over-limit", "drop-over-limit", "no-size-fits"];
    let is_given = |id: &str| {
        report.feeders.iter().any(|(own, figures)| {
            own.as_str() == id && figures.conductor.size_by == Some(driploop::job::check::By::Given)
        })
    };
    let wrong = report.findings.iter().filter(|finding| finding.level != Level::Note);
    let wrong = wrong.filter(|one| codes.contains(&one.code.phrase()) && !is_given(&one.subject.id));
    wrong.map(said).collect()
}

fn chosen(report: &Report) -> Value {
    let circuits = report.circuits.iter().map(|(id, own)| (id.to_string(), own.conductor.size));
    let feeders = report.feeders.iter().map(|(id, own)| (id.to_string(), own.conductor.size));
    let sized = circuits.chain(feeders).filter_map(|(id, size)| Some((id, json!(size?.to_string()))));
    Value::Object(sized.collect())
}

#[test]
fn no_finding_against_a_choice_where_a_choice_exists() {
    let mut dice = Dice(20_261_130);
    let (mut reports, mut puzzles) = (Vec::new(), Vec::new());
    for kind in (0..40).map(|number| number % 4).chain((0..20).map(|number| 4 + number % 2)) {
        let (job, mut puzzle) = boat(kind, &mut dice);
        let report = checked(&job);
        puzzle["chosen"] = chosen(&report);
        reports.push((kind, job, report));
        puzzles.push(puzzle);
    }
    let (mut ours, mut least, mut hopeless) = ([0.0; KINDS], [0.0; KINDS], 0);
    for (number, ((kind, job, report), answer)) in reports.iter().zip(solved_all(&puzzles)).enumerate() {
        let said = drops(report);
        if answer["least_kg"].is_null() {
            hopeless += 1;
            assert!(!said.is_empty(), "boat {number}: nothing said, yet no sizes keep the limits: {job}");
            continue;
        }
        assert!(said.is_empty() && answer["chosen_ok"] == true, "boat {number}: {said:?} {answer} {job}");
        ours[*kind] += answer["chosen_kg"].as_f64().unwrap();
        least[*kind] += answer["least_kg"].as_f64().unwrap();
    }
    let over: Vec<f64> = ours.iter().zip(least).map(|(ours, least)| ours / least).collect();
    println!("copper against the least, by kind of boat: {over:?}; without any choice: {hopeless}");
    assert!(over.iter().all(|over| *over < 1.02), "{over:?}");
    assert!(hopeless > 0, "the search for a boat without any choice proves nothing");
}
