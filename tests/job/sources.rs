//! Sources: conductors that are fed from both ends, batteries tied together, what starter cables lose, and to which
//! battery a current goes back.

use driploop::job::check::Report;
use serde_json::{Value, json};

use crate::fixture::{self, report, text, told, wrongs};

#[track_caller]
fn wrong(change: impl FnOnce(&mut Value), expected: &[&str]) {
    assert_eq!(wrongs(&report(change)), expected);
}

fn add(job: &mut Value, list: &str, thing: Value) {
    job[list].as_array_mut().unwrap().push(thing);
}

fn cable(job: &mut Value, id: &str, ends: [&str; 2], polarity: &str, size: &str, meters: f64) {
    let [from, to] = ends;
    let cable = json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": size, "insulation_c": 105,
        "length_m": meters});
    add(job, "feeders", cable);
}

fn fuse(job: &mut Value, feeder: usize, kind: &str, rating: f64, from_source: f64) {
    job["feeders"][feeder]["protection"] =
        json!({"kind": kind, "rating_a": rating, "from_source_m": from_source, "interrupt_a": 5000});
}

/// A charger on the battery: F3 with its fuse as given, F4 back.
fn charged(from_source: f64, interrupts: f64) -> impl FnOnce(&mut Value) {
    move |job| {
        add(
            job,
            "points",
            json!({"id": "charger", "kind": "charger", "location": "stern", "open_circuit_v": 14.4, "internal_mohm": 60,
                "rating_a": 20}),
        );
        cable(job, "F3", ["charger", "house"], "positive", "8 AWG", 2.5);
        cable(job, "F4", ["house", "charger"], "negative", "8 AWG", 2.5);
        fuse(job, 2, "bolt-down-fuse", 30.0, from_source);
        job["feeders"][2]["protection"]["interrupt_a"] = json!(interrupts);
    }
}

/// 33 CFR 183.460: within 72 in (1.8288 m) of the battery; its short-circuit current is 12.7 V / 6 mohm = 2117 A.
#[test]
fn the_fuse_of_a_charger_is_compared_with_the_battery_it_leads_to() {
    wrong(charged(0.15, 5000.0), &[]);
    wrong(charged(1.8288, 5000.0), &[]);
    wrong(charged(1.83, 5000.0), &["stop fuse-far-from-source feeder/F3"]);
    let far = text(&report(charged(1.83, 5000.0)), "fuse-far-from-source", "feeder/F3");
    assert!(far.contains(" Its source is battery (house): "), "{far}");
    wrong(charged(0.15, 2000.0), &["stop interrupt-rating-under-fault feeder/F3"]);
    let near = report(charged(0.15, 5000.0)).feeders[&"F3".parse().unwrap()]
        .conductor
        .fault_at_protection_a
        .unwrap();
    assert!((near - 12.7 / 0.006).abs() < 1e-6, "{near}");
}

#[test]
fn a_charger_on_a_fused_bus_is_guarded_by_its_fuse() {
    let on_the_block = |size: &'static str| {
        move |job: &mut Value| {
            charged(0.15, 5000.0)(job);
            job["feeders"][2] = json!({"id": "F3", "from": "charger", "to": "fb1", "polarity": "positive", "size": size,
                "insulation_c": 105, "length_m": 5.0});
            job["points"].as_array_mut().unwrap().last_mut().unwrap()["rating_a"] = json!(2);
        }
    };
    let guarded = report(on_the_block("8 AWG"));
    assert_eq!(wrongs(&guarded), [""; 0]);
    let by = guarded.feeders[&"F3".parse().unwrap()].conductor.protected_by.as_ref();
    assert_eq!(by.map(|id| id.as_str()), Some("F1"));
    // 16 AWG may have 37.5 A at most, and F1 has 60 A.
    wrong(on_the_block("16 AWG"), &["stop unprotected feeder/F3"]);
}

/// Two batteries on one switch, the second with its own cable F4 and return F5.
fn two_batteries(job: &mut Value, volts: f64) {
    add(
        job,
        "points",
        json!({"id": "main", "kind": "battery-switch", "location": "helm", "rating_a": 300,
        "switch_kind": "one-two-both"}),
    );
    add(
        job,
        "points",
        json!({"id": "start", "kind": "battery", "location": "stern", "open_circuit_v": volts, "internal_mohm": 6.0}),
    );
    job["feeders"][0]["to"] = json!("main");
    job["raceways"][0]["bore_mm"] = json!(60);
    cable(job, "F3", ["main", "fb1"], "positive", "6 AWG", 0.5);
    cable(job, "F4", ["start", "main"], "positive", "2/0 AWG", 4.5);
    cable(job, "F5", ["neg1", "start"], "negative", "2/0 AWG", 4.5);
    fuse(job, 2, "bolt-down-fuse", 30.0, 0.05);
    job["circuits"][0]["protection"]["interrupt_a"] = json!(5000);
}

#[test]
fn what_two_batteries_feed_is_protected_from_both() {
    let second = |kind: &'static str, rating: f64| {
        move |job: &mut Value| {
            two_batteries(job, 12.7);
            fuse(job, 3, kind, rating, 0.15);
        }
    };
    wrong(second("bolt-down-fuse", 70.0), &[]);
    // 6 AWG may have 180 A at most.
    let said = ["stop far-end-unprotected feeder/F1", "fix input-missing feeder/F4"];
    wrong(second("large-bolt-down-fuse", 300.0), &said);
    let bare = |job: &mut Value| two_batteries(job, 12.7);
    wrong(bare, &["stop far-end-unprotected feeder/F1", "stop unprotected feeder/F4"]);
}

/// The same batteries on a bar in place of their switch.
fn on_a_bar(job: &mut Value) {
    let points = job["points"].as_array_mut().unwrap();
    let main = points.iter_mut().find(|point| point["id"] == "main").unwrap().as_object_mut().unwrap();
    main.insert("kind".to_owned(), json!("positive-bus"));
    main.remove("switch_kind");
}

#[test]
fn unlike_batteries_on_one_bar_feed_each_other() {
    let tied = |volts| {
        move |job: &mut Value| {
            two_batteries(job, volts);
            fuse(job, 3, "bolt-down-fuse", 70.0, 0.15);
            on_a_bar(job);
        }
    };
    let parted = |job: &mut Value| {
        tied(12.9)(job);
        let main =
            job["points"].as_array_mut().unwrap().iter_mut().find(|point| point["id"] == "main").unwrap();
        main["kind"] = json!("battery-switch");
        main["switch_kind"] = json!("one-two-both");
    };
    wrong(parted, &[]);
    wrong(tied(12.7), &[]);
    wrong(tied(12.9), &["fix batteries-feed-each-other point/house"]);
    wrong(tied(12.5), &["fix batteries-feed-each-other point/start"]);
    // 0.05 V at 12 V is a few hundredths of the charge, and what two readings differ by.
    wrong(tied(12.701), &[]);
    wrong(tied(12.75), &[]);
    wrong(tied(12.76), &["fix batteries-feed-each-other point/house"]);
    wrong(tied(13.7), &["fix batteries-feed-each-other point/house"]);
}

/// More than a volt apart is no matter of charge: 12 V tied to 24 V is a short circuit.
#[test]
fn batteries_of_other_voltages_must_not_be_tied() {
    let tied = |volts| {
        report(move |job: &mut Value| {
            two_batteries(job, volts);
            fuse(job, 3, "bolt-down-fuse", 70.0, 0.15);
        })
    };
    let said = |report: &Report| {
        let found =
            report.findings.iter().find(|one| one.code.phrase() == "batteries-of-different-voltage-joined");
        found.map(|one| (told(one), one.value, one.limit, fixture::said(one)))
    };
    assert_eq!(said(&tied(13.7)), None);
    let clash = |on: &str| format!("stop batteries-of-different-voltage-joined point/{on}");
    assert_eq!(said(&tied(13.71)).map(|one| one.0), Some(clash("house")));
    assert_eq!(said(&tied(6.35)).map(|one| one.0), Some(clash("start")));
    let (told, value, limit, text) = said(&tied(25.4)).unwrap();
    assert_eq!(told, clash("house"));
    assert!((value.unwrap() - 12.7).abs() < 1e-9 && limit == Some(1.0), "{value:?} {limit:?}");
    assert!(text.contains("25.4 V") && text.contains("short circuit"), "{text}");
}

/// Whether the plan has modes or not, and whether a switch lies between or not.
#[test]
fn batteries_of_unlike_kinds_are_said_wherever_they_are_tied() {
    let tied = |kinds: [&'static str; 2], by: &'static str, modes: bool| {
        report(move |job: &mut Value| {
            two_batteries(job, 12.7);
            fuse(job, 3, "bolt-down-fuse", 70.0, 0.15);
            job["points"][0]["chemistry"] = json!(kinds[0]);
            let last = job["points"].as_array().unwrap().len() - 1;
            job["points"][last]["chemistry"] = json!(kinds[1]);
            if by == "positive-bus" {
                on_a_bar(job);
            }
            if !modes {
                job["modes"] = json!([]);
            }
        })
    };
    let said = |report: Report| {
        let found = report.findings.iter().filter(|one| one.code.phrase() == "batteries-of-different-kinds");
        found.map(|one| (told(one), fixture::said(one))).collect::<Vec<_>>()
    };
    for modes in [true, false] {
        for by in ["battery-switch", "positive-bus"] {
            assert_eq!(said(tied(["agm", "agm"], by, modes)), []);
            let said = said(tied(["agm", "lifepo4"], by, modes));
            let [(told, text)] = said.as_slice() else { panic!("{said:?}") };
            assert_eq!(told, "fix batteries-of-different-kinds point/house");
            assert!(
                text.contains(
                    "battery (house), absorbed glass mat and battery (start), lithium iron phosphate"
                ),
                "{text}"
            );
            assert_eq!(
                text.contains("no position of battery switch (main) joins them"),
                by == "battery-switch",
                "{text}"
            );
        }
    }
}

#[test]
fn a_battery_without_a_return_path_supplies_nothing() {
    let returned = |ends: Option<[&'static str; 2]>| {
        let report = report(move |job: &mut Value| {
            two_batteries(job, 12.7);
            fuse(job, 3, "bolt-down-fuse", 70.0, 0.15);
            add(
                job,
                "points",
                json!({"id": "neg2", "kind": "negative-bus", "location": "stern", "rating_a": 150}),
            );
            match ends {
                Some(ends) => job["feeders"][4]["from"] = json!(ends[0]),
                None => drop(job["feeders"].as_array_mut().unwrap().remove(4)),
            }
        });
        let found = report.findings.into_iter().filter(|one| one.code.phrase() == "no-return");
        found.map(|one| (told(&one), fixture::said(&one))).collect::<Vec<_>>()
    };
    assert_eq!(returned(Some(["neg1", "start"])), []);
    for (ends, words) in
        [(None, "negative post, so it gives"), (Some(["neg2", "start"]), "not joined to the negative")]
    {
        let said = returned(ends);
        let [(told, text)] = said.as_slice() else { panic!("{said:?}") };
        assert_eq!(told, "fix no-return point/start");
        assert!(text.contains(words), "{text}");
    }
}

/// The second battery shares the negative bar, and no current of the first goes home through it.
#[test]
fn a_current_goes_back_to_the_battery_it_came_from() {
    let report = report(|job| {
        let start = json!({"id": "start", "kind": "battery", "location": "stern", "open_circuit_v": 12.7,
            "internal_mohm": 6.0});
        add(job, "points", start);
        // Fewer letters, so that it would be met first.
        cable(job, "A1", ["neg1", "start"], "negative", "6 AWG", 4.5);
        job["feeders"].as_array_mut().unwrap().rotate_right(1);
    });
    let figures = |id: &str| &report.feeders[&id.parse().unwrap()];
    assert_eq!(figures("A1").conductor.design_current_a, Some(0.0));
    assert!(figures("A1").circuits.is_empty());
    assert_eq!(figures("F2").conductor.design_current_a, Some(1.7));
    let circuit = &report.circuits[&"C01".parse().unwrap()];
    assert_eq!(circuit.return_route[circuit.return_route.len() - 3..], ["neg1", "F2", "house"]);
}

#[test]
fn a_source_gives_the_voltage_of_the_boat() {
    wrong(|job| job["points"][0]["open_circuit_v"] = json!(14.4), &[]);
    let gives = |volts: f64| {
        move |job: &mut Value| {
            job["points"][0]["open_circuit_v"] = json!(volts);
            job["circuits"][0]["protection"]["interrupt_a"] = json!(5000);
        }
    };
    wrong(gives(25.4), &["fix source-not-nominal point/house"]);
    // Half the volts drive half the current in a short: less than six times the 60 A of F1.
    wrong(gives(6.3), &["fix source-not-nominal point/house", "fix input-missing feeder/F1"]);
}

/// NFPA 70 chapter 9 table 8: 2 AWG coated copper 0.201 ohm per 1000 ft at 75 C, at 30 C times 264.5 / 309.5.
#[test]
fn starter_cables_lose_a_tenth_at_most() {
    let cranked = |meters: f64| {
        move |job: &mut Value| {
            let engine = json!({"id": "engine", "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
                "internal_mohm": 30, "rating_a": 40, "starter_a": 200});
            add(job, "points", engine);
            for (id, ends, polarity) in
                [("F3", ["house", "engine"], "positive"), ("F4", ["engine", "house"], "negative")]
            {
                cable(job, id, ends, polarity, "2 AWG", meters);
                job["feeders"].as_array_mut().unwrap().last_mut().unwrap()["cranking"] = json!(true);
            }
        }
    };
    // Warm by the 40 A that charge: table 5 of 33 CFR 183.425, 2 AWG at 105 C.
    let warm = 30.0 + 75.0 * (40.0_f64 / 210.0).powi(2);
    let per_meter = 200.0 * 0.201 / 304.8 * (234.5 + warm) / 309.5;
    let reach = 1.2 / (2.0 * per_meter);
    wrong(cranked(reach - 0.01), &[]);
    wrong(cranked(reach + 0.01), &["fix starter-cable-drop-over-limit point/engine"]);
}

/// Another circuit of 1 A at the helm, on what `from` names.
fn another_circuit(job: &mut Value, from: &str) {
    add(
        job,
        "devices",
        json!({"id": "fan", "name": "Fan", "location": "helm", "drop_limit_pct": 10,
            "load": {"kind": "constant-current", "a": 1}}),
    );
    add(
        job,
        "circuits",
        json!({"id": "C02", "name": "Fan", "legs": [{"number": 1, "device": "fan"}], "from": from, "return": "neg1", "size": "16 AWG",
            "insulation_c": 105, "length_m": 1,
            "protection": {"kind": "blade-fuse", "rating_a": 3, "from_source_m": 0.1, "interrupt_a": 5000}}),
    );
}

#[test]
fn a_feeder_opens_before_the_one_before_it() {
    let second = |rating: f64| {
        move |job: &mut Value| {
            another_circuit(job, "main");
            add(
                job,
                "points",
                json!({"id": "main", "kind": "positive-bus", "location": "helm", "rating_a": 300}),
            );
            job["feeders"][0]["to"] = json!("main");
            cable(job, "F3", ["main", "fb1"], "positive", "6 AWG", 0.5);
            fuse(job, 2, "bolt-down-fuse", rating, 0.05);
        }
    };
    let said = |rating| report(second(rating)).findings.iter().map(told).collect::<Vec<_>>();
    assert!(!said(30.0).iter().any(|said| said.contains("feeder/F3")), "{:?}", said(30.0));
    assert!(said(40.0).contains(&"note feeder-may-trip-too feeder/F3".to_owned()));
    assert!(said(60.0).contains(&"fix feeder-trips-first feeder/F3".to_owned()));
}

/// Where all that hangs on a feeder hangs on one branch, nothing else is lost with it.
#[test]
fn which_opens_first_is_all_one_to_a_branch_alone() {
    let order = |job: &mut Value| {
        job["circuits"][0]["protection"]["rating_a"] = json!(60);
        job["circuits"][0]["protection"]["kind"] = json!("bolt-down-fuse");
    };
    let first = "fix feeder-trips-first circuit/C01".to_owned();
    assert!(!wrongs(&report(order)).contains(&first));
    let beside = report(|job| {
        order(job);
        another_circuit(job, "fb1");
    });
    assert!(wrongs(&beside).contains(&first), "{:?}", wrongs(&beside));
}

/// 60 A from each of two batteries to one bar: a branch of 100 A stays under what both let through.
#[test]
fn feeders_side_by_side_open_together() {
    let side_by_side = |branch: f64, kind: &'static str| {
        report(move |job| {
            two_batteries(job, 12.7);
            let main = json!({"id": "main", "kind": kind, "location": "helm", "rating_a": 300});
            *job["points"].as_array_mut().unwrap().iter_mut().find(|point| point["id"] == "main").unwrap() =
                main;
            fuse(job, 3, "bolt-down-fuse", 60.0, 0.15);
            fuse(job, 2, "bolt-down-fuse", branch, 0.05);
            another_circuit(job, "main");
        })
    };
    let said = |branch, kind| {
        let report = side_by_side(branch, kind);
        let order = ["feeder-trips-first", "feeder-may-trip-too"];
        let found = report
            .findings
            .iter()
            .find(|said| said.subject.to_string() == "feeder/F3" && order.contains(&said.code.phrase()));
        found.map(|said| (said.code.phrase(), fixture::said(said)))
    };
    assert_eq!(said(60.0, "positive-bus"), None);
    let (code, text) = said(100.0, "positive-bus").unwrap();
    assert_eq!(code, "feeder-may-trip-too");
    assert!(text.contains("The branch has 100 A, its feeders side by side 60 A and 60 A."), "{text}");
    // A switch may leave either battery alone.
    assert_eq!(said(60.0, "battery-switch").unwrap().0, "feeder-trips-first");
}

/// A winch starts with 110 A for 1.5 s, which its own breaker is said to carry and the 40 A before it is not.
#[test]
fn a_surge_may_open_the_fuse_before_its_circuit() {
    let winch = |main: &'static str, rating: f64| {
        report(move |job| {
            job["devices"][0]["inrush"] = json!({"a": 109.5, "s": 1.5});
            job["circuits"][0]["protection"] = json!({"kind": "breaker", "rating_a": 10, "from_source_m": 0,
                "interrupt_a": 5000, "curve": {"carries": {"a": 120, "s": 2}, "opens": {"a": 130, "s": 3}}});
            fuse(job, 0, main, rating, 0.15);
            job["feeders"][0]["size"] = json!("2 AWG");
        })
    };
    let blade = winch("blade-fuse", 40.0);
    let surge = "fix inrush-blows-fuse circuit/C01";
    let said = blade.findings.iter().find(|said| told(said) == surge).unwrap();
    let text = fixture::said(said);
    assert!(text.starts_with("Upstream protection of feeder "), "{text}");
    assert!(text.contains(" (F1): The inrush of 110 A for 1.5 s may blow a 40 A"), "{text}");
    let asked = winch("bolt-down-fuse", 60.0);
    let asks = |report: &Report| {
        report.findings.iter().any(|said| {
            told(said) == "fix input-missing circuit/C01"
                && fixture::said(said).contains("(F1): Enter from the manufacturer's data")
        })
    };
    assert!(asks(&asked), "{:?}", asked.findings);
    let large = winch("bolt-down-fuse", 125.0);
    assert!(!asks(&large) && !wrongs(&large).contains(&surge.to_owned()), "{:?}", wrongs(&large));
}

/// The law as remembered: not over 120 % of what the alternator gives.
#[test]
fn a_fuse_after_an_alternator() {
    let alternator = |rating: f64| {
        move |job: &mut Value| {
            charged(0.15, 5000.0)(job);
            job["points"].as_array_mut().unwrap().last_mut().unwrap()["starter_a"] = json!(150);
            job["feeders"][2]["size"] = json!("6 AWG");
            job["feeders"][2]["protection"]["rating_a"] = json!(rating);
            job["points"].as_array_mut().unwrap().last_mut().unwrap()["rating_a"] = json!(50);
        }
    };
    let said = |rating| report(alternator(rating)).findings.iter().map(told).collect::<Vec<_>>();
    let over = "note fuse-over-alternator feeder/F3".to_owned();
    assert!(!said(60.0).contains(&over));
    assert!(said(70.0).contains(&over));
}

/// Without its load no drop of a circuit is known, solved or not: nought would look like a good one.
#[test]
fn a_load_that_is_not_given_has_no_solved_drop() {
    let report = report(|job| drop(job["devices"][0].as_object_mut().unwrap().remove("load")));
    let circuit = &report.circuits[&"C01".parse().unwrap()];
    assert_eq!(
        (
            circuit.conductor.handbook_drop_v,
            circuit.conductor.solved_drop_v,
            circuit.solved_drop_from_battery_v
        ),
        (None, None, None)
    );
    assert_eq!(circuit.lowest_v(), None);
    assert!(wrongs(&report).contains(&"fix input-missing circuit/C01".to_owned()));
}

/// A circuit that is on in a mode is judged there, with what else is on in it.
#[test]
fn the_drop_from_the_battery_is_that_of_a_mode() {
    let heavy = |on_too: bool| {
        move |job: &mut Value| {
            job["devices"]
                .as_array_mut()
                .unwrap()
                .push(json!({"id": "horn", "name": "Horn", "location": "bow",
                "drop_limit_pct": 10, "load": {"kind": "constant-current", "a": 40}}));
            add(
                job,
                "circuits",
                json!({"id": "C02", "name": "Horn", "legs": [{"number": 1, "device": "horn"}], "from": "fb1", "return": "neg1",
                    "protection": {"kind": "large-blade-fuse", "rating_a": 50, "from_source_m": 0}, "size": "8 AWG",
                    "insulation_c": 105, "length_m": 2}),
            );
            if on_too {
                job["modes"][0]["on"].as_array_mut().unwrap().push(json!({"circuit": "C02"}));
            }
        }
    };
    let said = |on_too| {
        let report = report(heavy(on_too));
        let found = report.findings.iter().find(|finding| told(finding).ends_with("over-limit circuit/C01"));
        found.map(fixture::said)
    };
    assert_eq!(said(false), None);
    assert!(said(true).unwrap().starts_with("Running: "), "{:?}", said(true));
}

/// What charges passes every cable and bar between charger and battery, out and back.
#[test]
fn the_charging_current_is_carried_by_all_on_its_path() {
    let through_bars = |gives: f64| {
        move |job: &mut Value| {
            add(
                job,
                "points",
                json!({"id": "charger", "kind": "charger", "location": "helm", "open_circuit_v": 14.4,
                "internal_mohm": 60, "rating_a": gives}),
            );
            add(
                job,
                "points",
                json!({"id": "pos", "kind": "positive-bus", "location": "helm", "rating_a": 50}),
            );
            job["feeders"][0]["to"] = json!("pos");
            cable(job, "F3", ["pos", "fb1"], "positive", "6 AWG", 0.5);
            cable(job, "F4", ["charger", "pos"], "positive", "1/0 AWG", 0.5);
            cable(job, "F5", ["neg1", "charger"], "negative", "12 AWG", 0.5);
        }
    };
    let small = report(through_bars(10.0));
    assert_eq!(wrongs(&small), [""; 0]);
    let large = report(through_bars(80.0));
    let all = wrongs(&large);
    // 12 AWG has an ampacity of 45 A by table 5, the bar 50 A; F1 has a fuse of 60 A and 6 AWG for a 3 % drop over 9 m.
    for said in [
        "stop current-over-ampacity feeder/F5",
        "fix distribution-point-over-rating point/pos",
        "fix fuse-under-load feeder/F1",
        "fix drop-over-limit feeder/F1",
        "fix drop-over-limit feeder/F2",
    ] {
        assert!(all.contains(&said.to_owned()), "{said} in {all:?}");
    }
    let current = |id: &str| large.feeders[&id.parse().unwrap()].conductor.design_current_a;
    assert_eq!(["F1", "F2", "F4", "F5"].map(current), [Some(80.0); 4]);
    assert_eq!(current("F3"), Some(1.7));
    let unrated = report(|job| {
        through_bars(10.0)(job);
        job["points"].as_array_mut().unwrap()[5].as_object_mut().unwrap().remove("rating_a");
    });
    for said in ["fix input-missing feeder/F1", "fix input-missing point/pos"] {
        assert!(wrongs(&unrated).contains(&said.to_owned()), "{said} in {:?}", wrongs(&unrated));
    }
}

/// A starter cable that circuits draw through as well is compared with what they draw.
#[test]
fn a_starter_cable_that_feeds_more_carries_more() {
    let shared = |size: &'static str| {
        move |job: &mut Value| {
            add(
                job,
                "points",
                json!({"id": "engine", "kind": "charger", "location": "helm", "open_circuit_v": 14.2,
                "internal_mohm": 30, "rating_a": 5, "starter_a": 60}),
            );
            add(
                job,
                "points",
                json!({"id": "main", "kind": "battery-switch", "location": "helm", "rating_a": 300}),
            );
            cable(job, "F3", ["house", "main"], "positive", size, 4.5);
            cable(job, "F4", ["main", "engine"], "positive", "2 AWG", 0.5);
            cable(job, "F5", ["engine", "neg1"], "negative", "2 AWG", 0.5);
            for feeder in [2, 3, 4] {
                job["feeders"][feeder]["cranking"] = json!(true);
            }
            job["feeders"][0]["from"] = json!("main");
            job["feeders"][0]["length_m"] = json!(0.5);
            job["devices"][0]["load"] = json!({"kind": "constant-current", "a": 20});
            job["circuits"][0]["protection"]["rating_a"] = json!(30);
        }
    };
    let over = "stop current-over-ampacity feeder/F3".to_owned();
    assert!(!wrongs(&report(shared("2 AWG"))).contains(&over));
    // 18 AWG has an ampacity of 20 A by table 5.
    assert!(wrongs(&report(shared("18 AWG"))).contains(&over));
}

/// 10.5 V / 60 A of a blade band cannot be had: what guards a feeder without a fuse has to see its far end.
#[test]
fn a_short_beyond_anothers_fuse_has_to_open_it() {
    let behind = |meters: f64| {
        report(move |job: &mut Value| {
            add(
                job,
                "points",
                json!({"id": "main", "kind": "positive-bus", "location": "helm", "rating_a": 300}),
            );
            job["feeders"][0]["to"] = json!("main");
            cable(job, "F3", ["main", "fb1"], "positive", "14 AWG", meters);
            job["feeders"][0]["protection"]["rating_a"] = json!(50);
        })
    };
    let said = |meters| {
        let report = behind(meters);
        assert_eq!(
            report.feeders[&"F3".parse().unwrap()].conductor.protected_by.as_ref().unwrap().as_str(),
            "F1"
        );
        report.findings.iter().map(told).filter(|said| said.ends_with("feeder/F3")).collect::<Vec<_>>()
    };
    // 14 AWG resists 9.14 mohm a meter at 30 C: 12.7 V drive 580 A through 1 m, 33 A through 40 m.
    assert!(!said(1.0).contains(&"fix fault-current-too-low feeder/F3".to_owned()), "{:?}", said(1.0));
    assert!(said(40.0).contains(&"fix fault-current-too-low feeder/F3".to_owned()), "{:?}", said(40.0));
}

/// 48 A at 12 V, by power: with less volts there are more amperes, and the fuse of 50 A opens.
#[test]
fn the_current_of_constant_power_at_low_voltage_is_compared_with_the_fuse() {
    let by_power = |volts: f64| {
        report(move |job: &mut Value| {
            job["points"][0]["open_circuit_v"] = json!(volts);
            job["devices"][0]["load"] = json!({"kind": "constant-power", "w": 570});
            for device in [0, 1] {
                job["devices"][device]["drop_limit_pct"] = json!(20);
            }
            job["circuits"][0]["size"] = json!("8 AWG");
            job["circuits"][0]["protection"] =
                json!({"kind": "large-blade-fuse", "rating_a": 50, "from_source_m": 0});
            job["points"][3]["positions"][0]["rating_a"] = json!(60);
            job["points"][4]["rating_a"] = json!(60);
        })
    };
    let under = "fix fuse-under-load circuit/C01".to_owned();
    assert!(wrongs(&by_power(11.5)).contains(&under), "{:?}", wrongs(&by_power(11.5)));
    assert!(!wrongs(&by_power(14.0)).contains(&under), "{:?}", wrongs(&by_power(14.0)));
}

#[test]
fn cranking_is_not_judged_without_an_internal_resistance() {
    let cranked = |job: &mut Value| {
        job["points"][0].as_object_mut().unwrap().remove("internal_mohm");
        add(
            job,
            "points",
            json!({"id": "engine", "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
            "internal_mohm": 30, "rating_a": 40, "starter_a": 200}),
        );
        for (id, ends, polarity) in
            [("F3", ["house", "engine"], "positive"), ("F4", ["engine", "house"], "negative")]
        {
            cable(job, id, ends, polarity, "2 AWG", 1.0);
            job["feeders"].as_array_mut().unwrap().last_mut().unwrap()["cranking"] = json!(true);
        }
    };
    let said = report(cranked);
    let lacks =
        said.findings.iter().any(|finding| fixture::said(finding).contains("the voltage while cranking"));
    assert!(lacks, "{:?}", wrongs(&said));
}

/// Of two parallel feeders the one with the smaller fuse opens first, whichever is first in the file.
#[test]
fn the_smaller_of_two_parallel_fuses_decides_the_order_of_opening() {
    for turned in [false, true] {
        let report = report(|job| {
            two_batteries(job, 12.7);
            another_circuit(job, "main");
            fuse(job, 3, "bolt-down-fuse", 40.0, 0.15);
            if turned {
                job["feeders"].as_array_mut().unwrap().swap(0, 3);
            }
        });
        let all: Vec<_> = report.findings.iter().map(told).collect();
        assert!(all.contains(&"note feeder-may-trip-too feeder/F3".to_owned()), "{all:?}");
    }
}

/// A charger beside the battery gives what it gives: a large fuse in its lead lets no more through.
#[test]
fn a_charger_counts_for_what_it_gives_in_what_guards_a_feeder() {
    let beside = |job: &mut Value| {
        add(
            job,
            "points",
            json!({"id": "main", "kind": "positive-bus", "location": "helm", "rating_a": 300}),
        );
        add(
            job,
            "points",
            json!({"id": "charger", "kind": "charger", "location": "helm", "open_circuit_v": 14.4,
            "internal_mohm": 60, "rating_a": 20}),
        );
        job["feeders"][0]["to"] = json!("main");
        cable(job, "F3", ["main", "fb1"], "positive", "8 AWG", 0.5);
        cable(job, "F4", ["charger", "main"], "positive", "8 AWG", 0.5);
        cable(job, "F5", ["neg1", "charger"], "negative", "8 AWG", 0.5);
        fuse(job, 3, "bolt-down-fuse", 100.0, 0.1);
    };
    let report = report(beside);
    assert_eq!(wrongs(&report), [""; 0]);
    assert_eq!(
        report.feeders[&"F3".parse().unwrap()].conductor.protected_by.as_ref().unwrap().as_str(),
        "F1"
    );
}

/// A second fuse may sit anywhere along a conductor that the first protects already.
#[test]
fn what_is_protected_up_to_its_own_fuse_may_have_it_anywhere() {
    let second = |size: &'static str| {
        move |job: &mut Value| {
            add(
                job,
                "points",
                json!({"id": "main", "kind": "positive-bus", "location": "helm", "rating_a": 300}),
            );
            job["feeders"][0]["to"] = json!("main");
            cable(job, "F3", ["main", "fb1"], "positive", size, 1.0);
            fuse(job, 2, "bolt-down-fuse", 30.0, 0.5);
        }
    };
    // 10 AWG may have 90 A at most, 14 AWG 52.5 A; F1 has 60 A.
    wrong(second("10 AWG"), &[]);
    wrong(second("14 AWG"), &["stop fuse-far-from-source feeder/F3"]);
}
