//! A worse plan never gets a milder verdict. Drops have one rule, whoever wrote the size. What cannot be
//! calculated is not shown.

use driploop::job::check::{Report, check};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::job::value::{CircuitId, DeviceId, FeederId};
use driploop::trade::finding::Level;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};

use crate::fixture::{report, said, text, told, wrongs};

fn add(job: &mut Value, list: &str, thing: Value) {
    job[list].as_array_mut().unwrap().push(thing);
}

fn c01() -> CircuitId {
    "C01".parse().unwrap()
}

fn f(id: &str) -> FeederId {
    id.parse().unwrap()
}

fn near(value: Option<f64>, expected: f64) {
    let value = value.unwrap();
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value}, expected {expected}");
}

/// A starter 3 m from the battery on a cable without a fuse.
fn starter(size: &'static str) -> Report {
    report(|job| {
        add(
            job,
            "points",
            json!({"id": "engine", "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
                "internal_mohm": 30, "starter_a": 300}),
        );
        for (id, from, to, polarity, size) in
            [("F3", "house", "engine", "positive", size), ("F4", "engine", "house", "negative", "10 AWG")]
        {
            add(
                job,
                "feeders",
                json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": size,
                    "insulation_c": 105, "length_m": 3, "cranking": true}),
            );
        }
    })
}

/// IEC 60364-4-43, from memory: 300 A x sqrt(10 s) / 115 = 8.25 mm2. By Ohm's law 14 and 16 AWG cannot bring
/// 300 A from 12.7 V over 3 m: the state has no solution, and the current is known all the same.
#[test]
fn a_starter_cable_without_a_solution_overheats_too() {
    for size in ["12 AWG", "14 AWG", "16 AWG"] {
        let said = wrongs(&starter(size));
        assert!(said.contains(&"stop starter-cable-overheats feeder/F3".to_owned()), "{size}: {said:?}");
    }
    let unsolved = wrongs(&starter("16 AWG"));
    for thing in ["point/engine", "feeder/F3", "feeder/F4"] {
        assert!(unsolved.contains(&format!("stop network-not-solved {thing}")), "{unsolved:?}");
    }
    assert!(!wrongs(&starter("12 AWG")).iter().any(|said| said.contains("not-solved")));
}

/// Two horns of 20 A behind the feeder, on for this share of an hour.
fn horns(share: f64) -> Report {
    report(|job| {
        job["modes"][0]["hours"] = json!(1);
        for number in [2, 3] {
            let (horn, id) = (format!("horn-{number}"), format!("C0{number}"));
            add(
                job,
                "devices",
                json!({"id": horn, "name": horn, "location": "helm", "drop_limit_pct": 10,
                    "load": {"kind": "constant-current", "a": 20}, "max_fuse_a": 30}),
            );
            add(
                job,
                "circuits",
                json!({"id": id, "name": horn, "legs": [{"number": 1, "device": horn}], "from": "fb1",
                    "return": "neg1", "protection": {"kind": "blade-fuse", "rating_a": 30, "from_source_m": 0},
                    "size": "10 AWG", "insulation_c": 105, "length_m": 1}),
            );
            add(&mut job["modes"][0], "on", json!({"circuit": id, "share": share}));
        }
    })
}

/// 6 AWG over 4.5 m loses 3 % at 29.8 A. With everything on 41.7 A flow; the design load is 1.7 A + 20 A. The
/// rule of continuous and short-time loads is from memory.
#[test]
fn a_feeders_drop_is_judged_at_its_design_load() {
    let short = horns(0.01);
    near(short.feeders[&f("F1")].conductor.design_current_a, 41.7);
    near(short.feeders[&f("F1")].design_load_a, 21.7);
    assert_eq!(text(&short, "drop-over-limit", "feeder/F1"), "");
    let continuous = horns(1.0);
    near(continuous.feeders[&f("F1")].design_load_a, 41.7);
    assert!(text(&continuous, "drop-over-limit", "feeder/F1").contains("the limit is 3 %"));
}

/// 16 AWG by the formula: 10.75 x I x L / CM; stranded and tinned at 30 C it has 8.6 % more (NFPA 70 chapter 9
/// table 8 with the copper rule of FAA AC 43.13-1B).
#[test]
fn a_circuit_that_breaks_its_limit_only_by_its_solved_drop_is_a_fix() {
    let of_length = |meters: f64| {
        report(move |job| {
            job["circuits"][0]["length_m"] = json!(meters);
            job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
            job["devices"][0]["load"] = json!({"kind": "constant-power", "w": 24});
        })
    };
    // 13.65 mohm/m x 2 A x 2 x 6.4 m = 0.349 V, which is 2.9 % of 12 V.
    let near_limit = of_length(6.4);
    assert_eq!(text(&near_limit, "drop-over-limit", "circuit/C01"), "");
    let said = text(&near_limit, "solved-drop-over-limit", "circuit/C01");
    assert!(said.contains("keeps the limit of 3 %") && said.contains("tinned strands"), "{said}");
    assert_eq!(text(&of_length(5.5), "solved-drop-over-limit", "circuit/C01"), "");
    let over = of_length(7.5);
    assert!(!text(&over, "drop-over-limit", "circuit/C01").is_empty());
    assert_eq!(text(&over, "solved-drop-over-limit", "circuit/C01"), "", "one finding is enough");
}

/// Whoever wrote the sizes: 6 % for a critical device, 13 % for another, and a note over 3 %.
#[test]
fn the_total_drop_has_one_rule() {
    let of = |limit: f64, feeder: &'static str, chosen: bool| {
        report(move |job| {
            job["devices"][0]["load"]["a"] = json!(8);
            job["devices"][0]["drop_limit_pct"] = json!(limit);
            job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
            job["circuits"][0]["size"] = json!("8 AWG");
            job["feeders"][0]["size"] = json!(feeder);
            job["feeders"][1]["size"] = json!(feeder);
            if chosen {
                job["circuits"][0].as_object_mut().unwrap().remove("size");
            }
        })
    };
    // 16 AWG out and back over 4.5 m each at 8 A, and 8 AWG over 5 m: some 9.5 % + 1.6 %.
    for chosen in [false, true] {
        let critical = text(&of(3.0, "16 AWG", chosen), "total-drop-over-limit", "circuit/C01");
        assert!(critical.starts_with("Running: ") && critical.contains("the limit is 6 %"), "{critical}");
    }
    let other = of(10.0, "16 AWG", false);
    assert_eq!(text(&other, "total-drop-over-limit", "circuit/C01"), "");
    assert_eq!(text(&other, "total-drop-over-good-practice", "circuit/C01"), "");
    let noted = of(3.0, "12 AWG", false);
    assert!(!text(&noted, "total-drop-over-good-practice", "circuit/C01").is_empty(), "{:?}", wrongs(&noted));
    assert_eq!(text(&noted, "total-drop-over-limit", "circuit/C01"), "");
}

#[test]
fn a_device_gets_the_least_voltage_that_it_needs() {
    let of = |least: f64| wrongs(&report(move |job| job["devices"][0]["least_v"] = json!(least)));
    assert_eq!(of(11.0), [""; 0]);
    assert_eq!(of(12.6), ["fix voltage-under-least circuit/C01"]);
}

#[test]
fn a_navigation_light_never_has_more_than_three_percent() {
    let light = report(|job| {
        job["devices"][0]["light"] = json!("sides");
        job["devices"][0]["drop_limit_pct"] = json!(10);
    });
    near(Some(light.circuits[&c01()].devices[&"side".parse::<DeviceId>().unwrap()].drop_limit_pct), 3.0);
}

/// A feeder without a length is left out of the network: what it feeds has no figures, and no advice from them.
#[test]
fn behind_an_unknown_feeder_nothing_is_solved() {
    for side in [0, 1] {
        let cut = report(|job| {
            job["raceways"] = json!([]);
            job["feeders"][side].as_object_mut().unwrap().remove("length_m");
        });
        let circuit = &cut.circuits[&c01()];
        let figures = [
            circuit.conductor.solved_drop_v,
            circuit.conductor.solved_current_a,
            circuit.solved_drop_from_battery_v,
            circuit.conductor.fault_current_a,
            circuit.conductor.fault_at_protection_a,
            circuit.lowest_v(),
        ];
        assert_eq!(figures, [None; 6]);
        let modes = cut.modes.as_ref().unwrap();
        assert!(modes.circuits.is_empty() && modes.states.iter().all(|state| state.devices.is_empty()));
        let advice = ["total-drop", "solved-drop", "fault-current", "voltage-under", "unfed"];
        let said: Vec<_> = cut.findings.iter().map(told).collect();
        assert!(!said.iter().any(|said| advice.iter().any(|code| said.contains(code))), "{said:?}");
    }
}

#[test]
fn a_row_speaks_of_the_device_that_it_names() {
    let both = report(|job| {
        job["devices"][0]["drop_limit_pct"] = json!(10);
        job["circuits"][0]["wiring"] = json!("home-runs");
        job["circuits"][0]["conductors"] = json!([
            {"from": "jb1", "to": "side", "length_m": 4}, {"from": "side", "to": "neg1", "length_m": 4},
            {"from": "jb1", "to": "stern-light", "length_m": 3},
            {"from": "stern-light", "to": "neg1", "length_m": 3}]);
    });
    let circuit = &both.circuits[&c01()];
    assert_eq!(circuit.devices.len(), 2);
    assert_eq!(circuit.farthest.as_ref().map(DeviceId::as_str), Some("side"));
    assert_eq!(circuit.conductor.one_way_m, circuit.devices[circuit.farthest.as_ref().unwrap()].one_way_m);
    assert_eq!(circuit.drop_at.as_ref().map(DeviceId::as_str), Some("stern-light"));
    let named = &circuit.devices[circuit.drop_at.as_ref().unwrap()];
    assert_eq!(circuit.drop_limit_pct, Some(named.drop_limit_pct));
    assert_eq!(circuit.conductor.handbook_drop_v, named.handbook_drop_v);
    assert_eq!(circuit.conductor.solved_drop_v, named.solved_drop_v);
    assert_eq!(circuit.solved_drop_from_battery_pct, named.solved_drop_from_battery_pct);
    let weakest = &circuit.devices[circuit.fault_at.as_ref().unwrap()];
    assert_eq!(circuit.conductor.fault_current_a, weakest.fault_current_a);
    assert!(
        circuit.devices.values().all(|device| device.voltage_v.is_some() && device.fault_current_a.is_some())
    );
}

/// ISO 10133, clause 7.7: a single wire over 200 mm has at least 1 mm2. A home run of 3 m with little of the
/// circuit's current is one.
#[test]
fn each_home_run_has_the_smallest_size_by_its_own_length() {
    let runs = |meters: f64| {
        report(move |job| {
            job["job"]["rules"] = json!("iso");
            job["devices"][0]["load"]["a"] = json!(0.01);
            job["circuits"][0]["wiring"] = json!("home-runs");
            job["circuits"][0]["size"] = json!("0.75 mm2");
            job["circuits"][0]["protection"]["rating_a"] = json!(5);
            job["circuits"][0].as_object_mut().unwrap().remove("switch");
            job["circuits"][0].as_object_mut().unwrap().remove("junction");
            let wire =
                |from: &str, to: &str, length: f64| json!({"from": from, "to": to, "length_m": length});
            job["circuits"][0]["conductors"] = json!([
                wire("fb1", "side", meters),
                wire("side", "neg1", meters),
                wire("fb1", "stern-light", 0.15),
                wire("stern-light", "neg1", 0.15)
            ]);
        })
    };
    assert!(!text(&runs(3.0), "under-minimum-size", "circuit/C01").is_empty());
    assert_eq!(text(&runs(0.2), "under-minimum-size", "circuit/C01"), "");
}

/// A second block behind 100 A, which itself lies behind the 60 A of F1: no more than 60 A passes.
fn two_in_a_row(job: &mut Value) {
    add(
        job,
        "points",
        json!({"id": "fb2", "kind": "fuse-block", "location": "helm", "rating_a": 100, "positions": 6}),
    );
    add(
        job,
        "feeders",
        json!({"id": "F3", "from": "fb1", "to": "fb2", "polarity": "positive", "size": "6 AWG",
            "insulation_c": 105, "length_m": 0.5,
            "protection": {"kind": "bolt-down-fuse", "rating_a": 100, "from_source_m": 0.1, "interrupt_a": 5000}}),
    );
    job["circuits"][0]["from"] = json!("fb2");
}

#[test]
fn upstream_protection_counts_every_fuse_on_the_path() {
    let bare = report(|job| {
        two_in_a_row(job);
        job["circuits"][0].as_object_mut().unwrap().remove("protection");
        job["circuits"][0]["size"] = json!("12 AWG");
        job["devices"][0]["max_fuse_a"] = json!(100);
        job["devices"][1]["max_fuse_a"] = json!(100);
    });
    // 150 % of table 5 at 105 C: 12 AWG 67.5 A.
    assert_eq!(text(&bare, "unprotected", "circuit/C01"), "");
    assert_eq!(bare.circuits[&c01()].conductor.protected_by, Some(f("F1")));
    near(bare.feeders[&f("F2")].let_through_a, 60.0);
    // Its own 100 A alone would be over 150 % of 10 AWG; the 60 A before it are not.
    let thin = report(|job| {
        two_in_a_row(job);
        job["feeders"][2]["size"] = json!("12 AWG");
    });
    assert_eq!(text(&thin, "fuse-over-wire", "feeder/F3"), "");
    let thinner = report(|job| {
        two_in_a_row(job);
        job["feeders"][2]["size"] = json!("14 AWG");
    });
    assert!(!text(&thinner, "fuse-over-wire", "feeder/F3").is_empty());
}

/// A bar with 150 A in the location of the negative bar: a tool can touch both, and its current comes back by F2.
#[test]
fn a_negative_withstands_the_largest_bar_beside_it() {
    let beside = report(|job| {
        add(job, "points", json!({"id": "bar", "kind": "positive-bus", "location": "helm", "rating_a": 150}));
        add(
            job,
            "feeders",
            json!({"id": "F3", "from": "house", "to": "bar", "polarity": "positive", "size": "2 AWG",
                "insulation_c": 105, "length_m": 4.5, "protection":
                {"kind": "bolt-down-fuse", "rating_a": 150, "from_source_m": 0.15, "interrupt_a": 5000}}),
        );
    });
    near(beside.feeders[&f("F2")].let_through_a, 150.0);
    // 150 % of table 5 at 105 C: 6 AWG 180 A.
    assert_eq!(text(&beside, "fuse-over-wire", "feeder/F2"), "");
}

/// ISO 10133, clause 4.8: 3 % for bilge pumps. In a US job the shop decides by the limit that it enters.
#[test]
fn a_bilge_pump_of_an_iso_job_keeps_3_percent_whatever_is_entered() {
    let limit = |rules: &str, purpose: Option<&str>| {
        let checked = report(|job| {
            job["job"]["rules"] = json!(rules);
            let lamp = job["devices"][0].as_object_mut().unwrap();
            lamp.remove("light");
            lamp.insert("drop_limit_pct".to_owned(), json!(10));
            lamp.extend(purpose.map(|purpose| ("purpose".to_owned(), json!(purpose))));
        });
        checked.circuits.values().next()?.devices.values().next().map(|own| own.drop_limit_pct)
    };
    for purpose in ["automatic-bilge-pump", "hand-bilge-pump"] {
        near(limit("iso", Some(purpose)), 3.0);
        near(limit("us", Some(purpose)), 10.0);
    }
    near(limit("iso", None), 10.0);
    near(limit("iso", Some("engine")), 10.0);
}

#[test]
fn an_iso_job_cites_no_law_of_the_united_states_and_no_inches() {
    let iso = report(|job| {
        job["job"]["rules"] = json!("iso");
        job["job"]["ambient_c"] = json!(45);
        job["circuits"][0]["size"] = json!("0.5 mm2");
        job["circuits"][0].as_object_mut().unwrap().remove("protection");
        job["feeders"][0]["jacketed"] = json!(true);
        job["feeders"][0]["protection"]["from_source_m"] = json!(0.5);
        job["feeders"][0]["protection"]["interrupt_a"] = json!(500);
        job["feeders"][0]["bundle"] = json!(5);
        job["feeders"][1]["protection"] = json!({"kind": "bolt-down-fuse", "rating_a": 30});
        for engine in ["port", "starboard"] {
            add(
                job,
                "points",
                json!({"id": engine, "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
                    "internal_mohm": 30, "starter_a": 150, "rating_a": 40}),
            );
            add(
                job,
                "feeders",
                json!({"id": format!("A-{engine}"), "from": engine, "to": "house", "polarity": "positive",
                    "size": "25 mm2", "insulation_c": 105, "length_m": 1, "protection":
                    {"kind": "bolt-down-fuse", "rating_a": 80, "from_source_m": 0.1, "interrupt_a": 5000}}),
            );
        }
    });
    let said = text(&iso, "fuse-far-from-source", "feeder/F1");
    assert!(said.contains("the limit is 0.2 m") || said.contains("200 mm"), "{said}");
    let json = serde_json::to_string(&iso).unwrap();
    for foreign in ["33 CFR 183", "ABYC", "NFPA 70 (NEC)\",\"section\":\"310", " in of ", " in, "] {
        let at =
            json.find(foreign).map(|at| json[at.saturating_sub(200)..(at + 60).min(json.len())].to_owned());
        assert_eq!(at, None, "{foreign}");
    }
}

/// 20 A in 12 AWG of 45 A at 105 C: 30 C + 75 C x (20 / 45)^2. The least fault current has that copper, the
/// greatest has 20 C (IEC 60909-0, from memory).
#[test]
fn the_least_fault_current_is_warm_and_the_greatest_cold() {
    let loaded = report(|job| {
        job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
        job["circuits"][0]["size"] = json!("12 AWG");
        job["devices"][0]["load"]["a"] = json!(20);
    });
    let ohms = |per_1000_ft: f64, celsius: f64, meters: f64| {
        per_1000_ft / 304.8 * (234.5 + celsius) / (234.5 + 75.0) * meters
    };
    let warm = |ampacity: f64| 30.0 + 75.0 * (20.0_f64 / ampacity).powi(2);
    let circuit = &loaded.circuits[&c01()];
    let branch = ohms(2.05, warm(45.0), 10.0);
    // Table 5 of 33 CFR 183.425: 6 AWG at 105 C.
    let feeders = ohms(0.51, warm(120.0), 9.0);
    near(circuit.conductor.solved_drop_v, 20.0 * branch);
    near(circuit.conductor.fault_current_a, 12.7 / (0.006 + branch + feeders));
    near(circuit.conductor.fault_at_protection_a, 12.7 / (0.006 + ohms(0.51, 20.0, 9.0)));
    let texts: Vec<_> = circuit
        .conductor
        .workings
        .iter()
        .map(|working| working.text(driploop::trade::units::Units::Metric).numbers)
        .collect();
    assert!(texts.iter().any(|text| text.contains("copper at 20 C")), "{texts:?}");
    assert!(texts.iter().any(|text| text.contains("as warm as its load makes it")), "{texts:?}");
}

// What holds over random boats.

/// What is judged by a wire's ampacity, its drop, its protection and its least fault current.
const JUDGED: [&str; 18] = [
    "current-over-ampacity",
    "no-ampacity",
    "under-minimum-size",
    "starter-cable-overheats",
    "cranking-not-checked",
    "drop-over-limit",
    "solved-drop-over-limit",
    "total-drop-over-limit",
    "total-drop-over-good-practice",
    "voltage-under-least",
    "network-not-solved",
    "unprotected",
    "far-end-unprotected",
    "unfused-to-battery-switch",
    "fuse-over-wire",
    "fuse-over-ampacity",
    "fault-current-too-low",
    "input-missing",
];

const SIZES: [&str; 10] =
    ["20 AWG", "18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG", "2 AWG", "2/0 AWG"];

fn fuse(kind: &str, rating: f64) -> Value {
    json!({"kind": kind, "rating_a": rating, "from_source_m": 0.1, "interrupt_a": 5000})
}

fn a_load() -> impl Strategy<Value = Value> {
    prop_oneof![
        (0.1..30.0).prop_map(|a: f64| json!({"kind": "constant-current", "a": a})),
        (1.0..300.0).prop_map(|w: f64| json!({"kind": "constant-power", "w": w})),
        (0.4..50.0).prop_map(|ohm: f64| json!({"kind": "resistance", "ohm": ohm})),
    ]
}

fn a_circuit(number: usize) -> impl Strategy<Value = (Vec<Value>, Value)> {
    let device = (a_load(), select(vec![3.0, 10.0]), proptest::option::of(9.0..12.5));
    let wire = (1..SIZES.len(), 0.3..12.0, any::<bool>(), any::<bool>());
    let fused = proptest::option::of(select(vec![5.0, 10.0, 20.0, 40.0]));
    let from = select(vec!["fb1", "fb2", "house"]);
    (proptest::collection::vec(device, 1..=2), wire, fused, from).prop_map(
        move |(devices, (size, length, jacketed, chain), fused, from)| {
            let devices: Vec<Value> = (1..)
                .zip(devices)
                .map(|(leg, (load, limit, least))| {
                    let mut device = json!({"id": format!("d{number}{leg}"), "name": format!("Device {number}{leg}"),
                        "location": "bow", "load": load, "drop_limit_pct": limit, "max_fuse_a": 60});
                    if let Some(least) = least {
                        device["least_v"] = json!(least);
                    }
                    device
                })
                .collect();
            let legs: Vec<Value> =
                (1..).zip(&devices).map(|(leg, device)| json!({"number": leg, "device": device["id"]})).collect();
            let mut circuit = json!({"id": format!("C0{number}"), "name": format!("Circuit {number}"),
                "legs": legs, "from": from, "return": "neg1", "size": SIZES[size], "insulation_c": 105,
                "length_m": length, "jacketed": jacketed, "wiring": if chain { "chain" } else { "home-runs" }});
            if let Some(rating) = fused {
                circuit["protection"] = fuse("blade-fuse", rating);
            }
            (devices, circuit)
        },
    )
}

/// A boat with a house bank, perhaps behind a switch, two blocks in a row and an engine with its own battery.
fn a_boat() -> impl Strategy<Value = Value> {
    let cable = || (2..SIZES.len(), 0.3..8.0_f64);
    let feeders = (cable(), cable(), cable(), cable(), cable());
    let fuses = (
        proptest::option::of(select(vec![30.0, 60.0, 100.0, 200.0])),
        proptest::option::of(select(vec![30.0, 60.0, 100.0, 200.0])),
        proptest::option::of(select(vec![100.0, 200.0])),
    );
    let other = (select(vec!["us", "iso"]), any::<bool>(), 2.0..20.0_f64, 50.0..600.0_f64, 0.0..1.0_f64);
    let circuits: Vec<_> = (1..=3).map(a_circuit).collect();
    (circuits, feeders, fuses, other).prop_map(
        |(circuits, (f1, f2, f3, f4, f5), (of_f1, of_f3, of_s1), (rules, switched, mohm, starter, share))| {
            let cable = |id: &str, ends: [&str; 2], polarity: &str, (size, length): (usize, f64)| {
                json!({"id": id, "from": ends[0], "to": ends[1], "polarity": polarity, "size": SIZES[size],
                    "insulation_c": 105, "length_m": length})
            };
            let mut points = vec![
                json!({"id": "house", "kind": "battery", "location": "stern", "open_circuit_v": 12.7, "internal_mohm": mohm}),
                json!({"id": "start", "kind": "battery", "location": "engine", "open_circuit_v": 12.7, "internal_mohm": mohm}),
                json!({"id": "motor", "kind": "charger", "location": "engine", "open_circuit_v": 14.2,
                    "internal_mohm": 30, "starter_a": starter}),
                json!({"id": "fb1", "kind": "fuse-block", "location": "helm", "rating_a": 200, "positions": 12}),
                json!({"id": "fb2", "kind": "fuse-block", "location": "bow", "rating_a": 200, "positions": 12}),
                json!({"id": "neg1", "kind": "negative-bus", "location": "helm", "rating_a": 200}),
            ];
            let mut feeders = vec![
                cable("F1", [if switched { "main" } else { "house" }, "fb1"], "positive", f1),
                cable("F2", ["neg1", "house"], "negative", f2),
                cable("F3", ["fb1", "fb2"], "positive", f3),
                cable("S1", ["start", "motor"], "positive", f4),
                cable("S2", ["motor", "start"], "negative", f5),
            ];
            if switched {
                points.push(json!({"id": "main", "kind": "battery-switch", "location": "stern", "rating_a": 300}));
                feeders.push(cable("F0", ["house", "main"], "positive", (f1.0, 0.5)));
            }
            for (at, rating) in [(0, of_f1), (2, of_f3), (3, of_s1)] {
                if let Some(rating) = rating {
                    let kind = if rating > 200.0 { "large-bolt-down-fuse" } else { "bolt-down-fuse" };
                    feeders[at]["protection"] = fuse(kind, rating);
                }
            }
            feeders[3]["cranking"] = json!(true);
            feeders[4]["cranking"] = json!(true);
            let on: Vec<Value> = circuits
                .iter()
                .zip([1.0, share, 1.0])
                .map(|((_, circuit), share)| json!({"circuit": circuit["id"], "share": share}))
                .collect();
            let (devices, circuits): (Vec<_>, Vec<_>) = circuits.into_iter().unzip();
            json!({
                "format": 1,
                "job": {"name": "Any", "rules": rules, "nominal_v": 12, "ambient_c": 30},
                "boat": {"name": "Any", "length_m": 7, "fuel": "gasoline", "engine": "outboard"},
                "locations": [{"id": "helm", "name": "Helm"}, {"id": "stern", "name": "Stern"},
                    {"id": "bow", "name": "Bow"}, {"id": "engine", "name": "Engine", "engine_space": true}],
                "points": points, "feeders": feeders, "circuits": circuits,
                "devices": devices.into_iter().flatten().collect::<Vec<_>>(),
                "modes": [{"id": "running", "name": "Running", "hours": 2, "on": on}],
            })
        },
    )
}

/// A change that makes a plan worse.
#[derive(Debug, Clone, Copy)]
enum Worse {
    Thinner,
    Longer,
    Larger,
    Unfused,
}

/// The boat made worse in one place, and the things whose verdict must not get milder; nothing where the change
/// does not apply there.
fn worsened(boat: &Value, change: Worse, at: Index, by: f64) -> Option<(Value, Vec<String>)> {
    let mut worse = boat.clone();
    let lists = [("circuits", "circuit"), ("feeders", "feeder")];
    let things: Vec<(&str, &str, usize)> = lists
        .iter()
        .flat_map(|(list, kind)| (0..boat[*list].as_array().unwrap().len()).map(move |at| (*list, *kind, at)))
        .collect();
    let (list, kind, place) = *at.get(&things);
    let thing = &mut worse[list][place];
    let id = format!("{kind}/{}", thing["id"].as_str().unwrap());
    match change {
        Worse::Thinner => {
            let size = SIZES.iter().position(|size| *size == thing["size"]).unwrap();
            thing["size"] = json!(SIZES[size.checked_sub(1)?]);
        }
        Worse::Longer => thing["length_m"] = json!(thing["length_m"].as_f64().unwrap() * by),
        Worse::Unfused => drop(thing.as_object_mut().unwrap().remove("protection")?),
        Worse::Larger => {
            let device = at.index(boat["devices"].as_array().unwrap().len());
            let device_id = boat["devices"][device]["id"].clone();
            let load = &mut worse["devices"][device]["load"];
            for (figure, factor) in [("a", by), ("w", by), ("ohm", 1.0 / by)] {
                if let Some(amount) = load[figure].as_f64() {
                    load[figure] = json!(amount * factor);
                }
            }
            let feeds = |circuit: &&Value| {
                circuit["legs"].as_array().unwrap().iter().any(|leg| leg["device"] == device_id)
            };
            let circuit = boat["circuits"].as_array().unwrap().iter().find(feeds)?;
            let feeders: &[&str] = match circuit["from"].as_str()? {
                "house" => &["F2"],
                "fb1" => &["F0", "F1", "F2"],
                _ => &["F0", "F1", "F2", "F3"],
            };
            let mut things = vec![format!("circuit/{}", circuit["id"].as_str()?)];
            things.extend(feeders.iter().map(|id| format!("feeder/{id}")));
            return Some((worse, things));
        }
    }
    Some((worse, vec![id]))
}

fn checked(boat: &Value) -> Report {
    check(&JobFile::read(boat.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}")).plan)
}

/// Whether a finding is about one of the four. Of missing inputs only the time-current curve for a short is.
fn is_judged(finding: &Finding) -> bool {
    let code = finding.code.phrase();
    JUDGED.contains(&code)
        && (code != "input-missing" || said(finding).contains("a short circuit at the far end"))
}

/// The highest level among what is judged of a thing.
fn highest(report: &Report, thing: &str) -> Option<Level> {
    let of_it = report.findings.iter().filter(|finding| finding.subject.to_string() == thing);
    of_it.filter(|finding| is_judged(finding)).map(|finding| finding.level).max()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Two exceptions are physics. A thinner or longer wire between two batteries of different voltage carries
    /// less. And a resistance behind such a wire draws less, so that a network without a solution may have one.
    #[test]
    fn a_worse_plan_never_gets_a_milder_verdict(
        boat in a_boat(),
        change in select(vec![Worse::Thinner, Worse::Longer, Worse::Larger, Worse::Unfused]),
        at in any::<Index>(),
        by in 1.01..3.0_f64,
    ) {
        let Some((worse, things)) = worsened(&boat, change, at, by) else { return Ok(()) };
        let (before, after) = (checked(&boat), checked(&worse));
        let is_solved = |report: &Report| report.modes.as_ref().unwrap().states.iter().all(|state| state.not_solved.is_none());
        if is_solved(&after) && !is_solved(&before) {
            return Ok(());
        }
        for thing in things {
            let [was, is] = [&before, &after].map(|report| highest(report, &thing));
            let all_said = |report: &Report| {
                let of_it = report.findings.iter().filter(|finding| finding.subject.to_string() == thing);
                of_it.map(told).collect::<Vec<_>>()
            };
            prop_assert!(is >= was, "{change:?} {thing}: {:?}, then {:?}\n{boat}", all_said(&before), all_said(&after));
        }
    }
}
