//! The whole check of a plan: every figure of a small job by hand, and each kind of finding.

use driploop::job::check::{By, Report, check};
use driploop::job::value::{CircuitId, DeviceId, FeederId};
use driploop::trade::finding::Level;
use serde_json::{Value, json};

use crate::fixture::{self, plan, report, text, told, wrongs};

fn circuit(job: &mut Value) -> &mut Value {
    &mut job["circuits"][0]
}

fn c01() -> CircuitId {
    "C01".parse().unwrap()
}

#[track_caller]
fn near(value: Option<f64>, expected: f64) {
    let value = value.expect("a figure");
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} is not {expected}");
}

/// After a change the sound job has exactly this wrong.
#[track_caller]
fn wrong(change: impl FnOnce(&mut Value), expected: &[&str]) {
    assert_eq!(wrongs(&report(change)), expected);
}

/// After a change the sound job carries this note.
#[track_caller]
fn noted(change: impl FnOnce(&mut Value), expected: &str) {
    let report = report(change);
    let all: Vec<_> = report.findings.iter().map(told).collect();
    assert!(all.iter().any(|finding| finding == expected), "{expected} in {all:?}");
}

#[test]
fn the_sound_job_passes() {
    let report = report(|_| {});
    assert_eq!(wrongs(&report), [""; 0]);
    assert!(report.passes());
}

/// Ohm's law and the handbook formula, by hand. Resistance of 16 and 6 AWG stranded coated copper at 75 C:
/// 5.29 and 0.510 ohm per 1000 ft (NFPA 70 chapter 9 table 8), at T times (234.5 + T) / (234.5 + 75). Warm by the
/// load: T is 30 C + 75 C x (1.2 A / ampacity)^2. Cold: 20 C.
#[test]
fn every_figure_of_a_circuit_by_hand() {
    let report = report(|job| {
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
        job["points"][0]["internal_mohm"] = json!(6);
    });
    let figures = &report.circuits[&c01()];
    assert_eq!(
        figures.conductor.route,
        ["house", "F1", "fb1", "C01-1", "panel", "C01-2", "jb1", "C01-3", "side"]
    );
    assert_eq!(figures.return_route, ["side", "C01-4", "neg1", "F2", "house"]);
    near(figures.conductor.one_way_m, 5.0);
    near(figures.conductor.round_trip_m, 10.0);
    near(figures.conductor.design_current_a, 1.2);
    // Table 5 of 33 CFR 183.425: 16 AWG at 105 C.
    near(figures.conductor.ampacity_a, 25.0);
    near(figures.conductor.derated_ampacity_a, 25.0);
    // 16 AWG by ASTM B258: d = 5 mil x 92^((36 - 16) / 39), in circular mils its square.
    let mils = (5.0 * 92_f64.powf(20.0 / 39.0)).powi(2);
    near(figures.conductor.handbook_drop_v, 10.75 * 1.2 * (10.0 / 0.3048) / mils);
    near(figures.conductor.handbook_drop_pct, 100.0 * 10.75 * 1.2 * (10.0 / 0.3048) / mils / 12.0);

    let copper = |celsius: f64| (234.5 + celsius) / (234.5 + 75.0);
    let warm = |ampacity: f64| copper(30.0 + 75.0 * (1.2_f64 / ampacity).powi(2));
    let branch = 5.29 / 304.8 * warm(25.0) * 10.0;
    let feeder = 0.51 / 304.8 * warm(120.0) * 4.5;
    let cold = 0.51 / 304.8 * copper(20.0) * 4.5;
    near(figures.conductor.solved_current_a, 1.2);
    near(figures.conductor.solved_drop_v, 1.2 * branch);
    near(figures.solved_drop_from_battery_v, 1.2 * (branch + 2.0 * feeder));
    near(
        figures.devices[&"side".parse::<DeviceId>().unwrap()].voltage_v,
        12.7 - 1.2 * (0.006 + branch + 2.0 * feeder),
    );
    near(figures.conductor.fault_current_a, 12.7 / (0.006 + branch + 2.0 * feeder));
    near(figures.conductor.fault_at_protection_a, 12.7 / (0.006 + 2.0 * cold));

    let fuse = figures.conductor.protection.as_ref().unwrap();
    // 33 CFR 183.455(c): 150 % of 25 A is 37.5 A; blade fuses are made from 2 A up to 35 A in between.
    assert_eq!((fuse.rating_a, fuse.rating_by), (Some(5.0), Some(By::Given)));
    assert_eq!((fuse.lowest_a, fuse.highest_a), (Some(2.0), Some(35.0)));

    let positive = &report.feeders[&"F1".parse::<FeederId>().unwrap()];
    assert_eq!(positive.conductor.route, ["house", "F1", "fb1"]);
    near(positive.conductor.design_current_a, 1.2);
    near(positive.conductor.one_way_m, 4.5);
    near(positive.conductor.round_trip_m, 9.0);
    near(positive.conductor.solved_drop_v, 1.2 * feeder);
    near(positive.conductor.fault_current_a, 12.7 / (0.006 + 2.0 * feeder));
    near(report.points[&"fb1".parse().unwrap()].voltage_v, 12.7 - 1.2 * (0.006 + feeder));
    near(report.points[&"neg1".parse().unwrap()].voltage_v, 1.2 * feeder);
    near(report.points[&"house".parse().unwrap()].current_a, 1.2);
    near(report.points[&"jb1".parse().unwrap()].current_a, 1.2);
}

#[test]
fn contacts_protection_and_engine_space_add_resistance() {
    let base = report(|job| circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]));
    let drop =
        |report: &driploop::job::check::Report| report.circuits[&c01()].conductor.solved_drop_v.unwrap();
    let fuse = report(|job| {
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
        circuit(job)["protection"]["resistance_mohm"] = json!(20);
    });
    near(Some(drop(&fuse) - drop(&base)), 1.2 * 0.020);
    let contacts = report(|job| {
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
        job["job"]["contact_mohm"] = json!(2);
    });
    // Four conductors of two ends each lie on the route.
    near(Some(drop(&contacts) - drop(&base)), 1.2 * 8.0 * 0.002);
    let hot = report(|job| {
        circuit(job)["legs"] = json!([{"number": 1, "device": "side"}]);
        job["locations"][2]["engine_space"] = json!(true);
    });
    let warm = |around: f64, ampacity: f64| around + (105.0 - around) * (1.2_f64 / ampacity).powi(2);
    near(Some(drop(&hot) / drop(&base)), (234.5 + warm(50.0, 0.85 * 25.0)) / (234.5 + warm(30.0, 25.0)));
    // 33 CFR 183.425 note 1: 0.85 at 105 C.
    near(hot.circuits[&c01()].conductor.derated_ampacity_a, 0.85 * 25.0);
}

#[test]
fn a_chain_counts_each_leg_by_what_it_carries() {
    let legs = report(|job| {
        circuit(job)["conductors"] = json!([{"from": "side", "to": "stern-light", "length_m": 2}]);
    });
    let figures = &legs.circuits[&c01()];
    // 1.2 A + 6 W / 12 V over 3 m, then 0.5 A over 2 m, each there and back.
    let mils = (5.0 * 92_f64.powf(20.0 / 39.0)).powi(2);
    near(figures.conductor.handbook_drop_v, 10.75 * (1.7 * 6.0 + 0.5 * 4.0) / 0.3048 / mils);
    near(figures.conductor.round_trip_m, 10.0);
    noted(|_| {}, "note device-lengths-assumed circuit/C01");
}

#[test]
fn what_is_left_out_is_chosen() {
    let chosen = report(|job| {
        circuit(job).as_object_mut().unwrap().remove("size");
        circuit(job)["protection"].as_object_mut().unwrap().remove("rating_a");
        job["feeders"][0].as_object_mut().unwrap().remove("size");
    });
    assert_eq!(wrongs(&chosen), [""; 0]);
    let figures = &chosen.circuits[&c01()];
    assert_eq!(
        (figures.conductor.size.map(|size| size.text()), figures.conductor.size_by),
        (Some("16 AWG"), Some(By::Chosen))
    );
    let fuse = figures.conductor.protection.as_ref().unwrap();
    // 1.7 A within 80 % of a rating.
    assert_eq!((fuse.rating_a, fuse.rating_by), (Some(3.0), Some(By::Chosen)));
    // The thinnest that carries the 60 A of the given fuse, by table 5 at 105 C: 12 AWG has 45 A, 10 AWG 60 A.
    let feeder = &chosen.feeders[&"F1".parse().unwrap()];
    assert_eq!(
        (feeder.conductor.size.map(|size| size.text()), feeder.conductor.size_by),
        (Some("10 AWG"), Some(By::Chosen))
    );
}

// 33 CFR 183.425(d), (e): 18 AWG in a jacket, 16 AWG by itself.
#[test]
fn the_jumpers_of_a_panel_are_wire_by_itself() {
    let jacketed = |job: &mut Value| {
        circuit(job)["jacketed"] = json!(true);
        circuit(job).as_object_mut().unwrap().remove("size");
        for device in 0..2 {
            job["devices"][device]["load"] = json!({"kind": "constant-current", "a": 0.2});
        }
    };
    let size = |report: &Report| report.circuits[&c01()].conductor.size.map(|size| size.text());
    assert_eq!(size(&report(jacketed)), Some("16 AWG"));
    let unswitched = report(|job| {
        jacketed(job);
        for passed in ["switch", "junction"] {
            circuit(job).as_object_mut().unwrap().remove(passed);
        }
    });
    assert_eq!(size(&unswitched), Some("18 AWG"));
}

#[test]
fn what_is_missing_never_passes() {
    let remove = |list: &'static str, index: usize, field: &'static str| {
        move |job: &mut Value| drop(job[list][index].as_object_mut().unwrap().remove(field))
    };
    // No raceway leads to the bow: the route that would give a length is not there either.
    let no_length = [
        "fix input-missing circuit/C01",
        "fix no-raceway-between circuit/C01",
        "fix no-raceway-between circuit/C01",
    ];
    wrong(remove("circuits", 0, "length_m"), &no_length);
    let no_load = report(remove("devices", 0, "load"));
    assert!(wrongs(&no_load).contains(&"fix input-missing device/side".to_owned()));
    assert!(!no_load.circuits[&c01()].conductor.design_current_a.is_some_and(|_| true));
    wrong(remove("points", 0, "internal_mohm"), &["fix input-missing point/house"]);
    wrong(remove("points", 1, "rating_a"), &["fix input-missing point/fb1"]);
    wrong(
        |job| drop(job["points"][3]["positions"][0].as_object_mut().unwrap().remove("rating_a")),
        &["fix input-missing position/panel-1"],
    );
    wrong(
        |job| drop(job["feeders"][0]["protection"].as_object_mut().unwrap().remove("from_source_m")),
        &["fix input-missing feeder/F1"],
    );
    wrong(
        |job| drop(job["feeders"][0]["protection"].as_object_mut().unwrap().remove("interrupt_a")),
        &["fix input-missing feeder/F1"],
    );
}

#[test]
fn protection_that_is_missing_or_wrong() {
    wrong(
        |job| drop(circuit(job).as_object_mut().unwrap().remove("protection")),
        &["stop unprotected circuit/C01"],
    );
    wrong(
        |job| drop(job["feeders"][0].as_object_mut().unwrap().remove("protection")),
        &["stop unprotected feeder/F1"],
    );
    wrong(
        |job| circuit(job)["protection"]["rating_a"] = json!(40),
        &["stop fuse-over-wire circuit/C01", "fix fault-current-too-low circuit/C01"],
    );
    wrong(|job| circuit(job)["protection"]["rating_a"] = json!(1), &["fix fuse-under-load circuit/C01"]);
    wrong(|job| job["devices"][0]["max_fuse_a"] = json!(3), &["fix fuse-over-device circuit/C01"]);
    wrong(|job| circuit(job)["protection"]["rating_a"] = json!(6), &["fix rating-not-standard circuit/C01"]);
    // 33 CFR 183.460: 72 in from the battery is 1.8288 m.
    wrong(|job| job["feeders"][0]["protection"]["from_source_m"] = json!(1.8288), &[]);
    wrong(
        |job| job["feeders"][0]["protection"]["from_source_m"] = json!(1.83),
        &["stop fuse-far-from-source feeder/F1"],
    );
    // 33 CFR 183.455(b): 7 in is 0.1778 m, in a jacket 40 in is 1.016 m.
    let bar = |distance: f64, jacketed: bool| {
        move |job: &mut Value| {
            job["points"][1]["kind"] = json!("positive-bus");
            circuit(job)["protection"]["from_source_m"] = json!(distance);
            circuit(job)["jacketed"] = json!(jacketed);
        }
    };
    wrong(bar(0.1778, false), &[]);
    wrong(bar(0.18, false), &["stop fuse-far-from-source circuit/C01"]);
    wrong(bar(1.016, true), &[]);
    wrong(bar(1.02, true), &["stop fuse-far-from-source circuit/C01"]);
}

#[test]
fn a_feeder_may_be_protected_by_the_one_before_it() {
    let split = |size: &'static str| {
        move |job: &mut Value| {
            let main = json!({"id": "main", "kind": "battery-switch", "location": "helm", "rating_a": 200});
            job["points"].as_array_mut().unwrap().push(main);
            job["feeders"][0]["to"] = json!("main");
            let second = json!({"id": "F3", "from": "main", "to": "fb1", "polarity": "positive",
                "size": size, "insulation_c": 105, "length_m": 0.5});
            job["feeders"].as_array_mut().unwrap().push(second);
        }
    };
    let thick = report(split("6 AWG"));
    assert_eq!(wrongs(&thick), [""; 0]);
    let by = thick.feeders[&"F3".parse().unwrap()].conductor.protected_by.as_ref();
    assert_eq!(by.map(|id| id.as_str()), Some("F1"));
    // 16 AWG may have 37.5 A at most, and F1 has 60 A.
    wrong(split("16 AWG"), &["stop unprotected feeder/F3"]);
}

/// An engine beside the battery, on one cable of its own.
fn cranked(size: &'static str, starter: Value) -> impl FnOnce(&mut Value) {
    move |job| {
        let engine = json!({"id": "engine", "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
            "internal_mohm": 30, "starter_a": starter});
        job["points"].as_array_mut().unwrap().push(engine);
        let cable = json!({"id": "F3", "from": "house", "to": "engine", "polarity": "positive",
            "size": size, "insulation_c": 105, "length_m": 0.3, "cranking": true});
        job["feeders"].as_array_mut().unwrap().push(cable);
        let back = json!({"id": "F4", "from": "engine", "to": "house", "polarity": "negative",
            "size": "10 AWG", "insulation_c": 105, "length_m": 0.3});
        job["feeders"].as_array_mut().unwrap().push(back);
    }
}

#[test]
fn a_cranking_feeder_is_left_to_the_manufacturer() {
    noted(cranked("2 AWG", json!(150)), "note cranking-not-checked feeder/F3");
}

/// IEC 60364-4-43, from memory: 150 A x sqrt(10 s) / 115 = 4.12 mm2; 12 AWG has 3.31 mm2, 10 AWG 5.26.
#[test]
fn a_starter_cable_carries_its_starter_for_as_long_as_one_cranks() {
    let burns = |size| {
        let said = wrongs(&report(cranked(size, json!(150))));
        assert!(!said.contains(&"stop starter-cable-overheats feeder/F4".to_owned()), "{said:?}");
        said.contains(&"stop starter-cable-overheats feeder/F3".to_owned())
    };
    assert!(burns("12 AWG") && !burns("10 AWG"));
    let burnt = report(cranked("12 AWG", json!(150)));
    assert_eq!(text(&burnt, "cranking-not-checked", "feeder/F3"), "");
}

#[test]
fn without_a_starter_nothing_excuses_a_cable_from_its_fuse() {
    let said = wrongs(&report(cranked("2 AWG", Value::Null)));
    assert!(said.contains(&"fix input-missing feeder/F3".to_owned()), "{said:?}");
    assert!(
        text(&report(cranked("2 AWG", Value::Null)), "input-missing", "feeder/F3").contains(
            "Enter the starter current of the engine that it leads to. This is needed to check whether it is a starter \
             cable, which needs no fuse."
        )
    );
}

/// Without the mark it wants a fuse, which a starter blows: the mark is named.
#[test]
fn the_finding_on_an_unmarked_starter_cable_names_the_mark() {
    let unmarked = |starter: Value| {
        report(move |job| {
            cranked("2 AWG", starter)(job);
            job["feeders"][2].as_object_mut().unwrap().remove("cranking");
        })
    };
    let said = |starter| text(&unmarked(starter), "unprotected", "feeder/F3");
    let fit = "Fit one at its source of power.";
    assert!(
        said(json!(150)).ends_with(&format!("{fit} Or mark it as a starter cable.")),
        "{}",
        said(json!(150))
    );
    assert!(said(Value::Null).ends_with(fit), "{}", said(Value::Null));
}

#[test]
fn what_cranks_nothing_is_no_starter_cable() {
    // The mark would let it go unprotected.
    let said = ["stop unprotected feeder/F1"];
    wrong(|job| job["feeders"][0]["cranking"] = json!(true), &said);
}

#[test]
fn wire_that_is_too_thin() {
    wrong(|job| circuit(job)["length_m"] = json!(12), &["fix drop-over-limit circuit/C01"]);
    wrong(
        |job| {
            circuit(job)["size"] = json!("18 AWG");
            circuit(job)["length_m"] = json!(3);
        },
        &["fix under-minimum-size circuit/C01"],
    );
    wrong(
        |job| {
            job["devices"][0]["load"] = json!({"kind": "constant-current", "a": 26});
            job["devices"][0]["drop_limit_pct"] = json!(20);
            job["devices"][1]["drop_limit_pct"] = json!(20);
            circuit(job)["length_m"] = json!(1);
            circuit(job)["protection"]["rating_a"] = json!(35);
            job["points"][3]["positions"][0]["rating_a"] = json!(40);
        },
        &["stop current-over-ampacity circuit/C01"],
    );
    wrong(
        |job| {
            circuit(job)["conductors"] = json!([{"from": "fb1", "to": "panel", "size": "18 AWG"}]);
        },
        &["fix under-minimum-size conductor/C01-1"],
    );
}

#[test]
fn points_against_their_ratings_and_positions() {
    wrong(|job| job["points"][1]["rating_a"] = json!(1), &["fix distribution-point-over-rating point/fb1"]);
    wrong(
        |job| job["points"][2]["rating_a"] = json!(1.5),
        &["fix distribution-point-over-rating point/neg1"],
    );
    wrong(
        |job| job["points"][3]["positions"][0]["rating_a"] = json!(1),
        &["fix switch-over-rating position/panel-1"],
    );
    wrong(|job| job["points"][1]["positions"] = json!(0), &["fix too-few-positions point/fb1"]);
    let report = report(|_| {});
    let free = |id: &str| {
        let point = &report.points[&id.parse().unwrap()];
        (point.positions_used, point.positions_free)
    };
    assert_eq!(free("fb1"), (1, Some(11)));
    assert_eq!(free("panel"), (1, Some(1)));
    assert_eq!(free("jb1"), (1, Some(9)));
    assert_eq!(free("neg1"), (2, None));
}

#[test]
fn circuits_and_feeders_that_lead_nowhere() {
    let unfed = report(|job| {
        job["feeders"].as_array_mut().unwrap().remove(0);
    });
    assert_eq!(wrongs(&unfed), ["fix unfed circuit/C01"]);
    assert_eq!(unfed.circuits[&c01()].lowest_v(), None);
    let no_return = report(|job| {
        job["feeders"].as_array_mut().unwrap().remove(1);
    });
    assert_eq!(wrongs(&no_return), ["fix no-return circuit/C01"]);
    assert_eq!(no_return.circuits[&c01()].lowest_v(), None);
}

#[test]
fn loads_that_the_battery_cannot_feed() {
    let collapsed = report(|job| {
        job["devices"][1]["load"] = json!({"kind": "constant-power", "w": 2000});
    });
    let said: Vec<_> =
        collapsed.findings.iter().filter(|finding| finding.code.phrase() == "network-not-solved").collect();
    let about: Vec<_> = said.iter().map(|finding| finding.subject.to_string()).collect();
    assert_eq!(about, ["job/job", "feeder/F1", "feeder/F2", "circuit/C01", "mode/running"]);
    assert!(said.iter().all(|finding| finding.level == Level::Stop));
    let states = [said[0], said[4]];
    assert!(states.iter().all(|finding| fixture::said(finding).contains("(C01)")), "{said:?}");
}

#[test]
fn notes_say_what_was_assumed() {
    noted(
        |job| drop(job["devices"][0].as_object_mut().unwrap().remove("drop_limit_pct")),
        "note drop-limit-assumed device/side",
    );
    // 33 CFR 183.401: gasoline engines other than outboards.
    noted(|_| {}, "note law-not-mandatory job/job");
    let bound = report(|job| job["boat"]["engine"] = json!("inboard"));
    assert!(!bound.findings.iter().any(|finding| finding.code.phrase() == "law-not-mandatory"));
    noted(
        |job| {
            let mut twin = job["circuits"][0].clone();
            twin["id"] = json!("C02");
            twin["legs"] = json!([{"number": 1, "device": "stern-light"}]);
            job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
            job["circuits"].as_array_mut().unwrap().push(twin);
        },
        "note switch-shared position/panel-1",
    );
}

/// A second battery on the same switch: the current may come from either.
#[test]
fn two_parallel_feeders_are_each_sized_for_the_whole_current() {
    let two = report(|job| {
        let start = json!({"id": "start", "kind": "battery", "location": "stern", "open_circuit_v": 12.7,
            "internal_mohm": 20.0});
        job["points"][0]["internal_mohm"] = json!(20.0);
        job["points"].as_array_mut().unwrap().push(start);
        let mut second = job["feeders"][0].clone();
        second["id"] = json!("F3");
        second["from"] = json!("start");
        job["feeders"].as_array_mut().unwrap().push(second);
        let mut back = job["feeders"][1].clone();
        back["id"] = json!("F4");
        back["to"] = json!("start");
        job["feeders"].as_array_mut().unwrap().push(back);
    });
    assert_eq!(wrongs(&two), [""; 0]);
    for id in ["F1", "F2", "F3", "F4"] {
        let feeder = &two.feeders[&id.parse().unwrap()];
        near(feeder.conductor.design_current_a, 1.7);
        // Alike in everything, so that each carries half.
        let half = two.circuits[&c01()].conductor.solved_current_a.unwrap() / 2.0;
        near(feeder.conductor.solved_current_a, half);
    }
    let said: Vec<_> =
        two.findings.iter().filter(|finding| finding.code.phrase() == "several-feeders").map(told).collect();
    assert_eq!(said, ["note several-feeders point/fb1", "note several-feeders point/neg1"]);
}

/// A charger rests while the battery feeds, and its cable carries what it gives and no more.
#[test]
fn a_charger_counts_for_what_it_gives() {
    let charged = report(|job| {
        let charger = json!({"id": "charger", "kind": "charger", "location": "stern", "open_circuit_v": 14.4,
            "rating_a": 20});
        job["points"].as_array_mut().unwrap().push(charger);
        for (id, from, to, polarity) in
            [("F3", "charger", "house", "positive"), ("F4", "house", "charger", "negative")]
        {
            let cable = json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": "8 AWG",
                "insulation_c": 105, "length_m": 1.0});
            job["feeders"].as_array_mut().unwrap().push(cable);
        }
    });
    assert_eq!(wrongs(&charged), ["stop unprotected feeder/F3"]);
    near(charged.feeders[&"F3".parse().unwrap()].conductor.design_current_a, 20.0);
    near(charged.feeders[&"F3".parse().unwrap()].conductor.solved_current_a, 0.0);
    near(
        charged.points[&"house".parse().unwrap()].current_a,
        charged.circuits[&c01()].conductor.solved_current_a.unwrap(),
    );
}

#[test]
fn the_report_is_json_keyed_by_id() {
    let plan = plan(|job| circuit(job)["length_m"] = json!(12));
    let json = serde_json::to_value(check(&plan)).unwrap();
    assert_eq!(json["circuits"]["C01"]["size"], "16 AWG");
    assert_eq!(json["feeders"]["F1"]["protection"]["kind"], "bolt-down-fuse");
    assert_eq!(json["points"]["fb1"]["kind"], "fuse-block");
    let finding = &json["findings"][0];
    assert_eq!(finding["code"], "drop-over-limit");
    assert_eq!((&finding["subject_kind"], &finding["subject"]), (&json!("circuit"), &json!("C01")));
    assert!(finding["value"].as_f64() > finding["limit"].as_f64());
    assert_eq!(finding["unit"], "%");
    assert!(finding["working"]["numbers"].as_str().is_some_and(|numbers| numbers.contains("10.75")));
    assert!(finding["source"]["title"].is_string());
}
