//! Circuits into conductors: which there are, how they are labeled, how long they are.

use driploop::job::wiring::Conductors;
use serde_json::{Value, json};

use crate::fixture::plan;

/// A circuit's conductors, one to a line: id, polarity, way and meters.
fn told(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let plan = plan(change);
    let conductors = Conductors::of(&plan);
    conductors
        .of_circuit(&"C01".parse().unwrap())
        .iter()
        .map(|wire| {
            let meters = wire.length.map_or("?".to_owned(), |length| format!("{}", length.value));
            format!(
                "{} {} {} {} {meters}",
                wire.id,
                &wire.polarity.word()[..3],
                wire.role.words(),
                wire.way()
            )
        })
        .collect()
}

fn circuit(job: &mut Value) -> &mut Value {
    &mut job["circuits"][0]
}

#[test]
fn a_chain_passes_from_device_to_device() {
    let expected = [
        "C01-1 pos fuse to switch fb1 → panel 1 0",
        "C01-2 pos switch to junction bar panel 1 → jb1 0",
        "C01-3 pos to device jb1 → side 5",
        "C01-4 neg return side → neg1 5",
        "C01-5 pos between devices side → stern-light 0",
        "C01-6 neg between devices stern-light → side 0",
    ];
    assert_eq!(told(|_| {}), expected);
}

#[test]
fn home_runs_give_each_device_a_pair() {
    let expected = [
        "C01-1 pos fuse to switch fb1 → panel 1 0",
        "C01-2 pos switch to junction bar panel 1 → jb1 0",
        "C01-3 pos to device jb1 → side 5",
        "C01-4 neg return side → neg1 5",
        "C01-5 pos to device jb1 → stern-light 5",
        "C01-6 neg return stern-light → neg1 5",
    ];
    assert_eq!(told(|job| circuit(job)["wiring"] = json!("home-runs")), expected);
}

#[test]
fn without_a_switch_or_a_junction_bar() {
    let straight = told(|job| {
        let circuit = circuit(job).as_object_mut().unwrap();
        circuit.remove("switch");
        circuit.remove("junction");
        circuit["devices"] = json!(["side"]);
    });
    assert_eq!(straight, ["C01-3 pos to device fb1 → side 5", "C01-4 neg return side → neg1 5"]);
    let by_junction = told(|job| {
        circuit(job).as_object_mut().unwrap().remove("switch");
        circuit(job)["devices"] = json!(["side"]);
    });
    assert_eq!(by_junction[0], "C01-2 pos fuse to junction bar fb1 → jb1 0");
}

#[test]
fn a_circuit_from_its_own_panel_needs_no_jumper() {
    let from_panel = told(|job| {
        circuit(job)["from"] = json!("panel");
        circuit(job)["devices"] = json!(["side"]);
    });
    let expected = [
        "C01-2 pos switch to junction bar panel 1 → jb1 0",
        "C01-3 pos to device jb1 → side 5",
        "C01-4 neg return side → neg1 5",
    ];
    assert_eq!(from_panel, expected);
}

#[test]
fn lengths_that_are_given_are_taken_off_the_rest() {
    let given = told(|job| {
        circuit(job)["conductors"] = json!([
            {"from": "fb1", "to": "panel", "length_m": 0.5},
            {"from": "side", "to": "stern-light", "length_m": 1.5}
        ]);
    });
    let meters: Vec<_> = given.iter().map(|line| line.rsplit(' ').next().unwrap()).collect();
    // Out 0.5 + 0 + 3 + 1.5 = 5 m; back 1.5 + 3.5 = 5 m.
    assert_eq!(meters, ["0.5", "0", "3", "3.5", "1.5", "1.5"]);
}

#[test]
fn without_a_length_only_what_is_given_is_known() {
    let unknown = told(|job| drop(circuit(job).as_object_mut().unwrap().remove("length_m")));
    let meters: Vec<_> = unknown.iter().map(|line| line.rsplit(' ').next().unwrap()).collect();
    assert_eq!(meters, ["0", "0", "?", "?", "?", "?"]);
    let given = told(|job| {
        circuit(job).as_object_mut().unwrap().remove("length_m");
        circuit(job)["conductors"] = json!([
            {"from": "fb1", "to": "panel", "length_m": 1},
            {"from": "jb1", "to": "side", "length_m": 4},
            {"from": "side", "to": "stern-light", "length_m": 2}
        ]);
    });
    let meters: Vec<_> = given.iter().map(|line| line.rsplit(' ').next().unwrap()).collect();
    // A return that is not given is as long as the way out.
    assert_eq!(meters, ["1", "0", "4", "5", "2", "2"]);
}

#[test]
fn ends_are_named_from_the_source_outward() {
    let plan = plan(|_| {});
    let conductors = Conductors::of(&plan);
    let ends = |id: &str| conductors.get(id).unwrap().ends().map(|end| format!("{} {}", end.id, end.at));
    assert_eq!(ends("C01-1"), ["C01-1a fb1", "C01-1b panel 1"]);
    assert_eq!(ends("C01-4"), ["C01-4a neg1", "C01-4b side"]);
    assert_eq!(ends("F2"), ["F2a house", "F2b neg1"]);
    let (conductor, end) = conductors.end("C01-4b").unwrap();
    assert_eq!((conductor.id.as_str(), end.at.id()), ("C01-4", "side"));
    assert!(conductors.end("C01-9a").is_none() && conductors.end("C01-4c").is_none());
}

#[test]
fn jumpers_within_one_location_stay_on_the_bench() {
    let pulled = |plan| {
        let conductors = Conductors::of(&plan);
        conductors.all().iter().filter(|wire| wire.pulled).map(|wire| wire.id.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(pulled(plan(|_| {})), ["C01-3", "C01-4", "C01-5", "C01-6", "F1", "F2"]);
    let apart = plan(|job| job["points"][1]["location"] = json!("stern"));
    assert_eq!(pulled(apart)[0], "C01-1");
}
