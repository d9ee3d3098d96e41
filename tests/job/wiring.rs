//! Circuits into conductors: which there are, how they are labeled, how long they are.

use driploop::job::conductor::ConductorRole;
use driploop::job::plan::Plan;
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
        circuit["legs"] = json!([{"number": 1, "device": "side"}]);
    });
    assert_eq!(straight, ["C01-3 pos to device fb1 → side 5", "C01-4 neg return side → neg1 5"]);
    let by_junction = told(|job| {
        circuit(job).as_object_mut().unwrap().remove("switch");
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
    });
    assert_eq!(by_junction[0], "C01-2 pos fuse to junction bar fb1 → jb1 0");
}

#[test]
fn a_circuit_from_its_own_panel_needs_no_jumper() {
    let from_panel = told(|job| {
        circuit(job)["from"] = json!("panel");
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
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
    // A return that is not given is as long as the positive.
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

/// The wires of the sound circuit as home runs, after a change of what it feeds: labels, and devices they land on.
fn fed(devices: &[&str], again: &[&str]) -> Vec<String> {
    let mut plan = plan(|job| {
        let horn = json!({"id": "horn", "name": "Horn", "location": "bow"});
        job["devices"].as_array_mut().unwrap().push(horn);
        circuit(job)["wiring"] = json!("home-runs");
    });
    for devices in [devices, again] {
        plan.circuits[0].feed(devices.iter().map(|id| id.parse().unwrap()));
    }
    assert_eq!(plan.faults(), []);
    let conductors = Conductors::of(&plan);
    let pairs = conductors.all().iter().filter(|wire| wire.role == ConductorRole::ToDevice);
    pairs.map(|wire| format!("{} {}", wire.label, wire.to)).collect()
}

#[test]
fn a_leg_keeps_its_number_and_no_other_ever_gets_it() {
    let all = ["side", "horn", "stern-light"];
    assert_eq!(fed(&all, &all), ["C01-3 side", "C01-7 horn", "C01-5 stern-light"], "the horn came last");
    assert_eq!(fed(&all, &["side", "stern-light"]), ["C01-3 side", "C01-5 stern-light"]);
    assert_eq!(fed(&["stern-light"], &["side", "stern-light"]), ["C01-7 side", "C01-5 stern-light"]);
    assert_eq!(fed(&["side"], &["horn", "side"]), ["C01-7 horn", "C01-3 side"], "-5 was the stern light's");
}

#[test]
fn the_highest_number_is_written_only_where_its_leg_is_gone() {
    let mut plan = plan(|_| {});
    let feed = |plan: &mut Plan, devices: &[&str]| {
        plan.circuits[0].feed(devices.iter().map(|id| id.parse().unwrap()));
        serde_json::to_value(&plan.circuits[0]).unwrap()["legs_given"].clone()
    };
    assert_eq!(feed(&mut plan, &["side", "stern-light"]), Value::Null);
    assert_eq!(feed(&mut plan, &["side"]), json!(2));
    assert_eq!(feed(&mut plan, &["side", "stern-light"]), Value::Null, "leg 3 is the highest now");
    assert_eq!(plan.circuits[0].legs[1].number, 3);
}

#[test]
fn a_label_takes_the_place_of_the_id_on_the_wires_and_the_ids_stay() {
    let plan = plan(|job| {
        circuit(job)["label"] = json!("NAV");
        job["feeders"][0]["label"] = json!("MAIN +");
    });
    let conductors = Conductors::of(&plan);
    let said = |id: &str| {
        let wire = conductors.get(id).unwrap();
        (wire.label.clone(), wire.ends().map(|end| end.label))
    };
    assert_eq!(said("C01-3"), ("NAV-3".to_owned(), ["NAV-3a".to_owned(), "NAV-3b".to_owned()]));
    assert_eq!(said("F1"), ("MAIN +".to_owned(), ["MAIN +a".to_owned(), "MAIN +b".to_owned()]));
    assert_eq!(said("F2").0, "F2");
}
