//! Supports along random routes, against a script that lays them out by ISO 10133, 7.3 and 7.4 (read).
//!
//! Left out: the first support within 1 m of a battery conductor's end (7.4), which is not counted.

use std::collections::BTreeSet;
use std::io::Write as _;
use std::process::{Command, Stdio};

use driploop::job::check::check;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::job::tie::Counts;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use serde_json::{Map, Value, json};

use crate::fixture;

/// The locations of the sound job and more.
const LOCATIONS: [&str; 7] = ["helm", "stern", "bow", "cuddy", "transom", "console", "locker"];

/// Raceways by their ends, kind and length in centimeters, and the locations of six devices.
#[derive(Debug)]
struct Routes {
    raceways: Vec<(usize, usize, &'static str, u32)>,
    devices: Vec<usize>,
}

fn routes() -> impl Strategy<Value = Routes> {
    let kind =
        || prop_oneof![3 => Just("gunwale"), 1 => Just("tube"), 1 => Just("tray"), 1 => Just("bulkhead")];
    let count = LOCATIONS.len();
    // Each location has a raceway to an earlier one, so that a route leads everywhere.
    let joined = vec((0..count, kind(), 5..600_u32), count - 1);
    let more = vec((0..count, 1..count, kind(), 5..600_u32), 4);
    (joined, more, vec(0..count, 6)).prop_map(move |(joined, more, devices)| {
        let joined = joined.into_iter().zip(1..).map(|((from, kind, cm), to)| (from % to, to, kind, cm));
        let more = more.into_iter().map(|(from, on, kind, cm)| (from, (from + on) % count, kind, cm));
        Routes { raceways: joined.chain(more).collect(), devices }
    })
}

impl Routes {
    fn meters(cm: u32) -> f64 {
        f64::from(cm) / 100.0
    }

    /// The sound job with these raceways, and with a circuit for each device.
    fn lay(&self, job: &mut Value) {
        let names = LOCATIONS.iter().map(|id| json!({"id": id, "name": format!("The {id}")}));
        job["locations"] = names.collect();
        let raceway = |(number, (from, to, kind, cm)): (usize, &(usize, usize, &str, u32))| {
            let between = [LOCATIONS[*from], LOCATIONS[*to]];
            let mut raceway = json!({"id": format!("r{number}"), "between": between,
                "length_m": Self::meters(*cm), "kind": kind});
            if *kind != "gunwale" && *kind != "tray" {
                raceway["bore_mm"] = json!(90);
            }
            raceway
        };
        job["raceways"] = self.raceways.iter().enumerate().map(raceway).collect();
        let mut circuit = job["circuits"][0].clone();
        circuit.as_object_mut().unwrap().remove("length_m");
        circuit.as_object_mut().unwrap().remove("switch");
        circuit.as_object_mut().unwrap().remove("junction");
        job["devices"] = json!([]);
        job["circuits"] = json!([]);
        job["modes"] = json!([]);
        for (number, location) in self.devices.iter().enumerate() {
            let device = format!("d{number}");
            circuit["id"] = json!(format!("C{number}"));
            circuit["name"] = json!(format!("Light {number}"));
            circuit["legs"] = json!([{"number": 1, "device": device}]);
            job["circuits"].as_array_mut().unwrap().push(circuit.clone());
            job["devices"].as_array_mut().unwrap().push(json!({"id": device, "name": device,
                "location": LOCATIONS[*location], "load": {"kind": "constant-current", "a": 0.5}}));
        }
    }
}

/// The supports that are counted here, and the same boat for the script.
fn counted(routes: &Routes) -> (Map<String, Value>, usize, Value) {
    let plan = fixture::plan(|job| routes.lay(job));
    let laid = check(&plan).routes;
    let subjects: BTreeSet<(SubjectKind, String)> =
        laid.runs.values().map(|run| (run.subject.kind, run.subject.id.to_string())).collect();
    let (mut each, mut asked) = (Map::new(), Map::new());
    for (kind, id) in subjects {
        let subject = Subject::new(kind, &id);
        let ways: Vec<Vec<String>> = laid
            .of(&subject)
            .map(|(_, run)| run.raceways.iter().map(ToString::to_string).collect())
            .collect();
        each.insert(subject.to_string(), json!(Counts::of(&plan, &laid, &subject).supports));
        asked.insert(subject.to_string(), json!({"battery": kind == SubjectKind::Feeder, "routes": ways}));
    }
    let raceways: Map<String, Value> = routes
        .raceways
        .iter()
        .enumerate()
        .map(|(number, (_, _, kind, cm))| {
            (format!("r{number}"), json!({"kind": kind, "length_m": Routes::meters(*cm)}))
        })
        .collect();
    (each, Counts::whole(&plan, &laid).supports, json!({"raceways": raceways, "subjects": asked}))
}

fn laid_out(boats: &[Value]) -> Vec<Value> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/supports.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut run) = run else { panic!("{python} cannot be started: the layout runs in it") };
    run.stdin.take().unwrap().write_all(json!({ "boats": boats }).to_string().as_bytes()).unwrap();
    let answer = run.wait_with_output().unwrap();
    assert!(answer.status.success(), "the oracle failed");
    serde_json::from_slice(&answer.stdout).unwrap()
}

#[test]
fn supports_are_as_many_as_laying_them_out_takes() {
    let mut runner = TestRunner::deterministic();
    let all: Vec<Routes> = (0..60).map(|_| routes().new_tree(&mut runner).unwrap().current()).collect();
    let counted: Vec<_> = all.iter().map(counted).collect();
    let asked: Vec<Value> = counted.iter().map(|(_, _, boat)| boat.clone()).collect();
    let mut supports = 0;
    for ((routes, (each, whole, _)), answer) in all.iter().zip(&counted).zip(laid_out(&asked)) {
        assert_eq!(answer["each"].as_object(), Some(each), "{routes:?}");
        assert_eq!(answer["whole"], json!(whole), "{routes:?}");
        assert!(answer["gap"].as_f64().unwrap() <= 1.0 + 1e-9, "{answer} for {routes:?}");
        supports += whole;
    }
    assert!(supports > 500, "{supports}");
}
