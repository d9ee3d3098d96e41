//! Conductors without protection of their own: their upstream protection, and that it is small enough.

use driploop::job::check::{Report, together};
use driploop::job::finding::Finding;
use driploop::job::plan::Plan;
use serde_json::{Value, json};

use crate::fixture::{self, plan, report, text, wrongs};

/// Through so thin a return a short drives less than six times the 60 A: the manufacturer's curve is a missing input.
const WEAK: &str = "fix input-missing feeder/F1";

fn let_through(report: &Report, feeder: &str) -> Option<f64> {
    report.feeders[&feeder.parse().unwrap()].let_through_a
}

fn size(report: &Report, feeder: &str) -> String {
    report.feeders[&feeder.parse().unwrap()].conductor.size.unwrap().to_string()
}

fn bare(job: &mut Value, feeder: usize) {
    job["feeders"][feeder].as_object_mut().unwrap().remove("size");
}

/// 150 % of table 5 at 105 C: 14 AWG 52.5 A, 12 AWG 67.5 A. A short at the block comes back past the 60 A of F1.
#[test]
fn a_return_is_protected_by_the_fuse_of_its_panel() {
    let of_size = |size: &'static str| report(move |job| job["feeders"][1]["size"] = json!(size));
    let thin = of_size("14 AWG");
    assert_eq!(wrongs(&thin), ["stop fuse-over-wire feeder/F2", WEAK]);
    assert_eq!(let_through(&thin, "F2"), Some(60.0));
    assert_eq!(wrongs(&of_size("12 AWG")), [WEAK]);
}

#[test]
fn a_return_whose_size_is_left_open_gets_one_that_its_panels_fuse_protects() {
    let chosen = report(|job| bare(job, 1));
    assert_eq!(size(&chosen, "F2"), "10 AWG", "it carries the 60 A of the fuse");
    assert_eq!(wrongs(&chosen), [""; 0]);
}

/// The circuit is taken from the battery itself, so that nothing but its own 5 A is upstream. The block with 60 A
/// lies elsewhere than the negative bar.
#[test]
fn without_upstream_protection_the_circuits_own_fuse_counts() {
    let alone = report(|job| {
        job["circuits"][0]["from"] = json!("house");
        job["points"][1]["location"] = json!("stern");
    });
    assert_eq!(let_through(&alone, "F2"), Some(5.0));
}

/// F3 goes on from the block to a second one without a fuse of its own.
fn goes_on(job: &mut Value) {
    let block =
        json!({"id": "fb2", "kind": "fuse-block", "location": "helm", "rating_a": 100, "positions": 6});
    job["points"].as_array_mut().unwrap().push(block);
    let feeder = json!({"id": "F3", "from": "fb1", "to": "fb2", "polarity": "positive", "insulation_c": 105,
        "length_m": 0.5});
    job["feeders"].as_array_mut().unwrap().push(feeder);
    job["circuits"][0]["from"] = json!("fb2");
}

#[test]
fn a_feeder_behind_a_fused_one_gets_a_size_that_its_fuse_protects() {
    let chosen = report(goes_on);
    assert_eq!((size(&chosen, "F3").as_str(), let_through(&chosen, "F3")), ("10 AWG", Some(60.0)));
    assert_eq!(wrongs(&chosen), [""; 0]);
    let given = report(|job| {
        goes_on(job);
        job["feeders"][2]["size"] = json!("14 AWG");
    });
    assert_eq!(wrongs(&given), ["stop unprotected feeder/F3"]);
}

/// 12 AWG carries 45 A by table 5 and lawfully has a fuse of 67.5 A.
#[test]
fn a_feeder_behind_a_fuse_that_is_over_what_it_carries_is_noted() {
    let behind = |size: &'static str| {
        let report = report(move |job| {
            goes_on(job);
            job["feeders"][2]["size"] = json!(size);
        });
        text(&report, "fuse-over-ampacity", "feeder/F3")
    };
    let said = behind("12 AWG");
    assert!(said.contains(" (F1). 60 A is lawful but over the ampacity of 45 A here."), "{said}");
    assert_eq!(behind("10 AWG"), "");
}

/// 20 m of 12 AWG let less than six times 60 A flow: it is F1's curve that is missing, on F1.
#[test]
fn a_missing_curve_behind_a_fuse_is_named() {
    let report = report(|job| {
        goes_on(job);
        job["feeders"][2]["size"] = json!("12 AWG");
        job["feeders"][2]["length_m"] = json!(20);
    });
    let said = text(&report, "input-missing", "feeder/F3");
    assert!(
        said.contains(
            " (F1). Enter from the manufacturer's data whether this bolt-down fuse blows or trips at "
        ),
        "{said}"
    );
    assert!(said.ends_with(" (F1) as the current at which it blows or trips."), "{said}");
}

/// A second battery in the same locker, on a bare jumper to the first.
#[test]
fn a_bare_jumper_in_a_bank_may_be_entered_as_one_battery() {
    let bank = |location: &'static str| {
        report(move |job| {
            let second = json!({"id": "second", "kind": "battery", "location": location, "open_circuit_v": 12.7,
                "internal_mohm": 6.0});
            job["points"].as_array_mut().unwrap().push(second);
            let jumper = json!({"id": "F3", "from": "second", "to": "house", "polarity": "positive",
                "size": "2 AWG", "insulation_c": 105, "length_m": 0.3});
            job["feeders"].as_array_mut().unwrap().push(jumper);
        })
    };
    let one = " Or enter the bank as one battery.";
    let beside = bank("stern");
    assert!(text(&beside, "unprotected", "feeder/F3").ends_with(one));
    let far = text(&beside, "far-end-unprotected", "feeder/F3");
    assert!(
        far.starts_with(
            "Battery (house) feeds it from its other end, at battery (house), without sufficient"
        ) && far.ends_with(one),
        "{far}"
    );
    assert!(!text(&bank("bow"), "unprotected", "feeder/F3").ends_with(one));
}

/// Together no size is chosen that carries less than the 60 A before it.
#[test]
fn sizes_chosen_together_stand_what_is_let_through() {
    let plan: Plan = plan(|job| {
        goes_on(job);
        bare(job, 0);
        bare(job, 1);
    });
    let report = driploop::job::check::check(&plan);
    for wire in
        together(&plan, &report).wires.iter().filter(|wire| wire.subject.to_string().starts_with("feeder/"))
    {
        // Of table 5 at 105 C, 10 AWG carries 60 A without the law's half more.
        assert!(wire.anew >= Some("10 AWG".parse().unwrap()), "{} {:?}", wire.subject, wire.anew);
    }
}

/// A load of 12.5 A on a device that allows 10 A: said once, and not that the conductor is to blame.
#[test]
fn a_larger_wire_does_not_permit_a_fuse_that_the_manufacturer_forbids() {
    let report = report(|job| {
        job["devices"][0]["load"]["a"] = json!(12.0);
        job["devices"][0]["max_fuse_a"] = json!(10);
        job["circuits"][0]["protection"] = json!({"kind": "blade-fuse", "from_source_m": 0});
        job["circuits"][0].as_object_mut().unwrap().remove("size");
    });
    let texts: Vec<_> = (report.findings.iter())
        .filter(|said| said.code.phrase() == "no-standard-rating-fits")
        .map(fixture::said)
        .collect();
    assert_eq!(
        texts,
        [
            "No blade fuse has a standard rating between the load of 12.5 A and the 10 A that a device allows. Give its \
             devices circuits of their own, or ask the manufacturer."
        ]
    );
}

/// A block beside the battery, whose own return is long: the short to the battery's post counts, 12.7 V / 6 mohm.
#[test]
fn what_lies_in_the_same_location_may_be_touched() {
    let beside = report(|job| {
        job["circuits"][0]["from"] = json!("house");
        job["circuits"][0]["protection"]["from_source_m"] = json!(0.1);
    });
    let near = beside.circuits[&"C01".parse().unwrap()].conductor.fault_at_protection_a.unwrap();
    assert!((near - 12.7 / 0.006).abs() < 1e-6, "{near}");
    assert_eq!(wrongs(&beside), ["fix interrupt-rating-unconfirmed circuit/C01"]);
    let said =
        beside.findings.iter().find(|said| said.code.phrase() == "interrupt-rating-unconfirmed").unwrap();
    let text = fixture::said(said);
    assert!(text.contains("data sheet") && text.contains("current-limiting"), "{text}");
    let by_its_own = report(|job| {
        job["circuits"][0]["from"] = json!("house");
        job["circuits"][0]["protection"]["from_source_m"] = json!(0.1);
        job["circuits"][0]["protection"]["interrupt_a"] = json!(1000);
    });
    assert_eq!(wrongs(&by_its_own), ["stop interrupt-rating-under-fault circuit/C01"]);
}

/// 2,000 A at the block. A class T fuse on the only path limits it; beside a second path without one it does not.
#[test]
fn a_class_t_fuse_counts_only_where_no_path_goes_around_it() {
    let said = |fuse: &'static str, second: bool| {
        let report = report(move |job| {
            for feeder in job["feeders"].as_array_mut().unwrap() {
                (feeder["size"], feeder["length_m"]) = (json!("2/0 AWG"), json!(0.4));
            }
            job["feeders"][0]["protection"]["kind"] = json!(fuse);
            job["feeders"][0]["protection"]["interrupt_a"] = json!(20000);
            job["circuits"][0]["protection"]["interrupt_a"] = json!(1000);
            if second {
                let mut around = job["feeders"][0].clone();
                (around["id"], around["protection"]["kind"]) = (json!("F3"), json!("bolt-down-fuse"));
                job["feeders"].as_array_mut().unwrap().push(around);
            }
        });
        let of_circuit = |said: &&Finding| said.code.phrase().starts_with("interrupt-rating");
        let lines = report.findings.iter().filter(of_circuit);
        lines
            .map(|said| format!("{} {} {}", said.level.word(), said.code.phrase(), said.subject))
            .collect::<Vec<_>>()
    };
    assert_eq!(said("class-t-fuse", false), ["note interrupt-rating-unconfirmed circuit/C01"]);
    assert_eq!(said("bolt-down-fuse", false), ["stop interrupt-rating-under-fault circuit/C01"]);
    assert_eq!(said("class-t-fuse", true), ["stop interrupt-rating-under-fault circuit/C01"]);
}

/// A short where F1 ends comes home through the 30 m of F2: too little to open 60 A in good time.
#[test]
fn a_feeders_short_comes_home_through_the_return() {
    let long = report(|job| {
        job["feeders"][1]["length_m"] = json!(30);
        job["feeders"][1]["size"] = json!("12 AWG");
    });
    assert!(wrongs(&long).contains(&"fix input-missing feeder/F1".to_owned()), "{:?}", wrongs(&long));
}

/// Two loads of constant power at the end of a long feeder draw more than its fuse carries, though not at 12 V.
#[test]
fn the_solved_current_of_a_feeder_is_compared_with_its_fuse() {
    let low = report(|job| {
        job["devices"][0]["load"] = json!({"kind": "constant-power", "w": 690});
        job["points"][0]["open_circuit_v"] = json!(11.0);
        job["circuits"][0]["size"] = json!("2 AWG");
    });
    assert!(wrongs(&low).contains(&"fix fuse-under-load feeder/F1".to_owned()), "{:?}", wrongs(&low));
}

#[test]
fn a_fuse_in_a_return_counts_for_nothing() {
    let returned = report(|job| {
        job["feeders"][1]["protection"] =
            json!({"kind": "bolt-down-fuse", "rating_a": 60, "from_source_m": 0.1, "interrupt_a": 5000});
    });
    assert_eq!(wrongs(&returned), ["fix fuse-in-negative feeder/F2"]);
}

#[test]
fn protection_sits_on_its_conductor() {
    let beyond = report(|job| job["feeders"][0]["protection"]["from_source_m"] = json!(4.6));
    assert_eq!(
        wrongs(&beyond),
        ["stop fuse-far-from-source feeder/F1", "fix fuse-beyond-wire-end feeder/F1"]
    );
}

/// A 5 A blade fuse that is said to carry 400 times its rating, and to open at a milliampere.
#[test]
fn a_manufacturers_curve_that_cannot_be_so_is_left_aside() {
    let curve = |curve: Value| {
        wrongs(&report(move |job| {
            job["circuits"][0]["protection"]["curve"] = curve;
            job["devices"][0]["inrush"] = json!({"a": 55, "s": 3});
        }))
    };
    let inrush = "fix inrush-blows-fuse circuit/C01";
    let impossible = "fix time-current-curve-impossible circuit/C01";
    assert_eq!(curve(json!({"carries": {"a": 70, "s": 4}})), [impossible, inrush]);
    assert_eq!(curve(json!({"opens": {"a": 5, "s": 1}})), [impossible, inrush]);
    assert_eq!(curve(json!({"opens": {"a": 5.4, "s": 1}})), [impossible, inrush]);
    assert_eq!(curve(json!({"opens": {"a": 7, "s": 0.1}})), [impossible, inrush]);
    assert_eq!(curve(json!({"carries": {"a": 9, "s": 10}, "opens": {"a": 8, "s": 1}})), [impossible, inrush]);
    assert_eq!(curve(json!({"carries": {"a": 9, "s": 10}, "opens": {"a": 12, "s": 1}})), [inrush]);
}

#[test]
fn a_surge_is_more_than_the_load() {
    let small = report(|job| job["devices"][0]["inrush"] = json!({"a": 1.0, "s": 0.1}));
    assert_eq!(wrongs(&small), ["fix inrush-below-running-current device/side"]);
}

#[test]
fn the_largest_fuse_of_a_device_is_a_missing_input() {
    let unread = |report: &Report| {
        report.findings.iter().filter(|said| said.code.phrase() == "device-fuse-unknown").count()
    };
    assert_eq!(unread(&report(|_| {})), 1);
    let read = report(|job| {
        job["devices"][0]["max_fuse_a"] = json!(10);
        job["devices"][1]["max_fuse_a"] = json!(10);
    });
    assert_eq!(unread(&read), 0);
}

/// House to a switch by F1, and on to the block by F3, whose fuse sits so far from the switch.
fn behind_a_switch(from_switch: f64) -> impl Fn(&mut Value) {
    move |job| {
        let switch = json!({"id": "main", "kind": "battery-switch", "location": "stern", "rating_a": 300});
        job["points"].as_array_mut().unwrap().push(switch);
        let mut on = job["feeders"][0].clone();
        on["id"] = json!("F3");
        on["from"] = json!("main");
        on["protection"]["from_source_m"] = json!(from_switch);
        job["feeders"].as_array_mut().unwrap().push(on);
        job["feeders"][0]["to"] = json!("main");
        job["feeders"][0]["length_m"] = json!(0.5);
        job["feeders"][0].as_object_mut().unwrap().remove("protection");
    }
}

/// 33 CFR 183.460, from memory: 72 in (1.8288 m) of a switch that disconnects the battery do as well.
#[test]
fn a_fuse_may_follow_the_switch_of_its_battery() {
    let within = report(behind_a_switch(1.8));
    assert_eq!(wrongs(&within), [""; 0]);
    let told: Vec<_> = within.findings.iter().map(crate::fixture::told).collect();
    assert!(told.contains(&"note unfused-to-battery-switch feeder/F1".to_owned()), "{told:?}");
    let beyond = report(behind_a_switch(1.83));
    assert_eq!(wrongs(&beyond), ["stop unprotected feeder/F1", "stop fuse-far-from-source feeder/F3"]);
    let iso = report(|job| {
        behind_a_switch(0.1)(job);
        job["job"]["rules"] = json!("iso");
    });
    assert!(wrongs(&iso).contains(&"stop unprotected feeder/F1".to_owned()), "{:?}", wrongs(&iso));
}

/// A second battery, whose negative goes to the first one's by the jumper F4, with F3 to the block as F1. `jumper`
/// is its size, written in the wrong direction.
fn bank(jumper: Value) -> impl Fn(&mut Value) {
    move |job| {
        let mut second = job["points"][0].clone();
        second["id"] = json!("other");
        job["points"].as_array_mut().unwrap().push(second);
        let mut lead = job["feeders"][0].clone();
        (lead["id"], lead["from"]) = (json!("F3"), json!("other"));
        job["feeders"].as_array_mut().unwrap().push(lead);
        let mut between = job["feeders"][1].clone();
        (between["id"], between["from"], between["to"]) = (json!("F4"), json!("other"), json!("house"));
        (between["size"], between["length_m"]) = (jumper.clone(), json!(0.3));
        job["feeders"].as_array_mut().unwrap().push(between);
        job["feeders"][1]["size"] = json!("2 AWG");
    }
}

/// The current of the second battery goes home over the first one's post, past 60 A and 60 A side by side.
#[test]
fn a_negative_post_is_a_bar_on_the_return_path() {
    let thin = report(bank(json!("10 AWG")));
    let jumper = &thin.feeders[&"F4".parse().unwrap()];
    assert_eq!((jumper.conductor.design_current_a, jumper.let_through_a), (Some(1.7), Some(120.0)));
    // Table 5: 10 AWG carries 60 A and may have 90 A. 6 AWG carries the 120 A.
    assert!(wrongs(&thin).contains(&"stop fuse-over-wire feeder/F4".to_owned()), "{:?}", wrongs(&thin));
    assert_eq!(size(&report(bank(Value::Null)), "F4"), "6 AWG");
}

/// A start battery that feeds no circuit: the house current goes home over its post none the less.
#[test]
fn a_current_goes_home_over_the_post_of_a_battery_that_gives_none() {
    let over = report(|job| {
        bank(json!("14 AWG"))(job);
        job["feeders"].as_array_mut().unwrap().remove(2);
        job["feeders"][1]["to"] = json!("other");
    });
    assert_eq!(over.feeders[&"F4".parse().unwrap()].conductor.design_current_a, Some(1.7));
    assert!(wrongs(&over).contains(&"stop fuse-over-wire feeder/F4".to_owned()), "{:?}", wrongs(&over));
}

/// A short in the charger comes back through F4 past the 30 A of F3; 16 AWG may have 37.5 A, 18 AWG 30 A.
#[test]
fn the_return_of_a_charger_is_protected_by_its_fuse() {
    let returned = |size: &'static str, fuse: f64| {
        report(move |job| {
            let charger = json!({"id": "charger", "kind": "charger", "location": "stern", "open_circuit_v": 14.4,
                "internal_mohm": 60, "rating_a": 5});
            job["points"].as_array_mut().unwrap().push(charger);
            let lead = json!({"id": "F3", "from": "charger", "to": "house", "polarity": "positive", "size": "8 AWG",
                "insulation_c": 105, "length_m": 1, "protection": {"kind": "bolt-down-fuse", "rating_a": fuse,
                    "from_source_m": 0.1, "interrupt_a": 5000}});
            let back = json!({"id": "F4", "from": "house", "to": "charger", "polarity": "negative", "size": size,
                "insulation_c": 105, "length_m": 1});
            job["feeders"].as_array_mut().unwrap().extend([lead, back]);
        })
    };
    let stop = "stop fuse-over-wire feeder/F4".to_owned();
    assert!(wrongs(&returned("16 AWG", 40.0)).contains(&stop));
    assert!(!wrongs(&returned("16 AWG", 30.0)).contains(&stop));
}

#[test]
fn a_switch_behind_a_bar_is_no_battery_switch() {
    let behind_a_bar = report(|job| {
        behind_a_switch(0.5)(job);
        let bar = json!({"id": "pos", "kind": "positive-bus", "location": "stern", "rating_a": 200});
        job["points"].as_array_mut().unwrap().push(bar);
        let mut first = job["feeders"][0].clone();
        (first["id"], first["to"]) = (json!("F4"), json!("pos"));
        job["feeders"].as_array_mut().unwrap().push(first);
        job["feeders"][0]["from"] = json!("pos");
    });
    let said = wrongs(&behind_a_bar);
    assert!(said.contains(&"stop fuse-far-from-source feeder/F3".to_owned()), "{said:?}");
}

#[test]
fn a_bare_cable_to_a_switch_is_as_short_as_the_reach_of_a_fuse() {
    let long = report(|job| {
        behind_a_switch(0.5)(job);
        job["feeders"][0]["length_m"] = json!(1.9);
    });
    assert!(wrongs(&long).contains(&"stop unprotected feeder/F1".to_owned()), "{:?}", wrongs(&long));
}

/// A breaker at the battery, and the circuit straight on from what it feeds: 16 AWG may have 37.5 A.
#[test]
fn a_circuit_may_have_its_protection_in_the_feeder_before_it() {
    let bare = |fuse: f64| {
        report(move |job| {
            job["feeders"][0]["protection"]["rating_a"] = json!(fuse);
            job["circuits"][0].as_object_mut().unwrap().remove("protection");
        })
    };
    // A short at the lights drives less than six times the 30 A: the breaker's curve is a missing input.
    let covered = bare(30.0);
    assert_eq!(wrongs(&covered), ["fix input-missing circuit/C01"]);
    let by = covered.circuits[&"C01".parse().unwrap()].conductor.protected_by.as_ref();
    assert_eq!(by.map(|id| id.as_str()), Some("F1"));
    assert!(wrongs(&bare(60.0)).contains(&"stop unprotected circuit/C01".to_owned()));
    let device = report(|job| {
        job["feeders"][0]["protection"]["rating_a"] = json!(30);
        job["circuits"][0].as_object_mut().unwrap().remove("protection");
        job["devices"][0]["max_fuse_a"] = json!(10);
    });
    assert!(wrongs(&device).contains(&"stop unprotected circuit/C01".to_owned()));
}

#[test]
fn upstream_protection_covers_a_circuit_up_to_its_own_fuse() {
    let far = |fuse: f64| {
        wrongs(&report(move |job| {
            job["feeders"][0]["protection"]["rating_a"] = json!(fuse);
            job["circuits"][0]["protection"]["from_source_m"] = json!(0.5);
        }))
    };
    assert_eq!(far(30.0), [""; 0]);
    assert_eq!(far(60.0), ["stop fuse-far-from-source circuit/C01"]);
}

/// Two batteries side by side at the block: with one taken off, 20 m of 10 AWG let too little through for 60 A.
#[test]
fn a_short_is_judged_by_one_battery_alone() {
    let weak = |two: bool| {
        let report = report(move |job| {
            job["feeders"][0]["size"] = json!("10 AWG");
            job["feeders"][0]["length_m"] = json!(9);
            job["feeders"][1]["size"] = json!("2/0 AWG");
            job["feeders"][0]["protection"] =
                json!({"kind": "large-blade-fuse", "rating_a": 60, "from_source_m": 0.15});
            if two {
                let mut second = job["points"][0].clone();
                second["id"] = json!("other");
                job["points"].as_array_mut().unwrap().push(second);
                for (at, id) in [(0, "F3"), (1, "F4")] {
                    let mut lead = job["feeders"][at].clone();
                    let end = if at == 0 { "from" } else { "to" };
                    (lead["id"], lead[end]) = (json!(id), json!("other"));
                    job["feeders"].as_array_mut().unwrap().push(lead);
                }
            }
        });
        report.feeders[&"F1".parse().unwrap()].conductor.fault_current_a.unwrap()
    };
    assert!((weak(true) - weak(false)).abs() < 1e-6, "{} {}", weak(true), weak(false));
}

/// An alternator of 35 A on one battery, and a combiner of 10 AWG on to a second: the links carry it as well.
#[test]
fn what_charges_goes_on_to_the_battery_behind_a_combiner() {
    let combined = report(|job| {
        bank(json!("8 AWG"))(job);
        let engine = json!({"id": "engine", "kind": "charger", "location": "stern", "open_circuit_v": 14.2,
            "internal_mohm": 30, "rating_a": 35});
        let combiner =
            json!({"id": "combiner", "kind": "battery-switch", "location": "stern", "rating_a": 100});
        job["points"].as_array_mut().unwrap().extend([engine, combiner]);
        let cable = |id: &str, from: &str, to: &str, polarity: &str, size: &str| {
            json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": size, "insulation_c": 105,
                "length_m": 0.5})
        };
        job["feeders"].as_array_mut().unwrap().extend([
            cable("A1", "engine", "other", "positive", "6 AWG"),
            cable("A2", "engine", "other", "negative", "6 AWG"),
            cable("L1", "other", "combiner", "positive", "10 AWG"),
            cable("L2", "combiner", "house", "positive", "10 AWG"),
        ]);
    });
    for link in ["A1", "A2", "L1", "L2", "F4"] {
        let current = combined.feeders[&link.parse().unwrap()].conductor.design_current_a.unwrap();
        assert!(current >= 35.0, "{link} {current}");
    }
}

fn feeder(id: &str, ends: [&str; 2], polarity: &str, size: &str) -> Value {
    json!({"id": id, "from": ends[0], "to": ends[1], "polarity": polarity, "size": size, "insulation_c": 105,
        "length_m": 0.5})
}

fn engine(id: &str, starter: f64) -> Value {
    json!({"id": id, "kind": "charger", "location": "stern", "open_circuit_v": 14.2, "internal_mohm": 30, "rating_a": 10,
        "starter_a": starter})
}

fn add(job: &mut Value, points: &[Value], feeders: &[Value]) {
    job["points"].as_array_mut().unwrap().extend(points.iter().cloned());
    job["feeders"].as_array_mut().unwrap().extend(feeders.iter().cloned());
}

/// F2 goes home over the engine's block, and F3 is written from the battery to the block.
#[test]
fn an_engines_block_is_a_bar_on_the_return_path() {
    let over = report(|job| {
        job["feeders"][1]["to"] = json!("engine");
        add(job, &[engine("engine", 20.0)], &[feeder("F3", ["house", "engine"], "negative", "14 AWG")]);
    });
    assert_eq!(let_through(&over, "F3"), Some(60.0));
    assert!(wrongs(&over).contains(&"stop fuse-over-wire feeder/F3".to_owned()), "{:?}", wrongs(&over));
    let nowhere = report(|job| {
        job["feeders"][1]["to"] = json!("engine");
        add(job, &[engine("engine", 20.0)], &[]);
    });
    assert!(wrongs(&nowhere).contains(&"fix no-return circuit/C01".to_owned()), "{:?}", wrongs(&nowhere));
}

/// IEC 60364-4-43, from memory: 400 A x sqrt(10 s) / 115 = 11 mm2; 8 AWG has 8.37, and half of it needs 5.5.
#[test]
fn either_battery_may_have_to_crank_alone() {
    let both = report(|job| {
        bank(json!("2 AWG"))(job);
        job["feeders"].as_array_mut().unwrap().remove(2);
        let switch = json!({"id": "both", "kind": "battery-switch", "location": "stern", "rating_a": 400});
        let cranking = |mut cable: Value| {
            cable["cranking"] = json!(true);
            cable
        };
        let cables = [
            cranking(feeder("S1", ["house", "both"], "positive", "8 AWG")),
            cranking(feeder("S2", ["other", "both"], "positive", "8 AWG")),
            cranking(feeder("S3", ["both", "engine"], "positive", "2 AWG")),
            cranking(feeder("S4", ["engine", "house"], "negative", "2 AWG")),
        ];
        add(job, &[switch, engine("engine", 400.0)], &cables);
    });
    let said = wrongs(&both);
    for cable in ["S1", "S2"] {
        assert!(said.contains(&format!("stop starter-cable-overheats feeder/{cable}")), "{said:?}");
    }
}

/// The other battery brings its current past the 60 A of J to the posts of this one, which feeds F1 past nothing.
#[test]
fn what_leaves_a_battery_has_no_upstream_protection() {
    let bare = report(|job| {
        bank(json!("2 AWG"))(job);
        job["feeders"].as_array_mut().unwrap().remove(2);
        let mut jumper = feeder("J", ["other", "house"], "positive", "2 AWG");
        jumper["protection"] = json!({"kind": "bolt-down-fuse", "rating_a": 60, "from_source_m": 0.1,
            "interrupt_a": 5000});
        add(job, &[], &[jumper]);
        job["circuits"][0]["from"] = json!("house");
        job["circuits"][0].as_object_mut().unwrap().remove("protection");
    });
    assert!(wrongs(&bare).contains(&"stop unprotected circuit/C01".to_owned()), "{:?}", wrongs(&bare));
}

/// A short at the other battery's posts comes back over the jumper F4 past the 150 A of the tie; 8 AWG may have 120 A.
#[test]
fn a_tie_between_batteries_is_stood_by_their_negatives() {
    let tied = report(|job| {
        bank(json!("8 AWG"))(job);
        job["feeders"].as_array_mut().unwrap().remove(2);
        let mut tie = feeder("T", ["house", "other"], "positive", "2/0 AWG");
        tie["protection"] = json!({"kind": "bolt-down-fuse", "rating_a": 150, "from_source_m": 0.1,
            "interrupt_a": 5000});
        add(job, &[], &[tie]);
    });
    assert_eq!(let_through(&tied, "F4"), Some(150.0));
    assert!(wrongs(&tied).contains(&"stop fuse-over-wire feeder/F4".to_owned()), "{:?}", wrongs(&tied));
}

/// The charger's 50 A come home by F4 to the bar and by F2 to the battery, which is 16 AWG and may have 37.5 A.
#[test]
fn the_whole_return_path_of_a_charger_is_protected_by_its_fuse() {
    let through_bar = report(|job| {
        job["feeders"][0]["protection"]["rating_a"] = json!(30);
        job["feeders"][1]["size"] = json!("16 AWG");
        let charger = json!({"id": "charger", "kind": "charger", "location": "stern", "open_circuit_v": 14.4,
            "internal_mohm": 60, "rating_a": 5});
        let mut lead = feeder("F3", ["charger", "house"], "positive", "6 AWG");
        lead["protection"] = json!({"kind": "bolt-down-fuse", "rating_a": 50, "from_source_m": 0.1,
            "interrupt_a": 5000});
        add(job, &[charger], &[lead, feeder("F4", ["neg1", "charger"], "negative", "6 AWG")]);
    });
    assert_eq!(let_through(&through_bar, "F2"), Some(50.0));
}

/// A fuse 3 m along is none at the source, whatever is upstream.
#[test]
fn a_fuse_far_from_its_source_is_found_whatever_protection_is_upstream() {
    let along = wrongs(&report(|job| {
        job["feeders"][0]["protection"]["rating_a"] = json!(30);
        job["circuits"][0]["protection"]["from_source_m"] = json!(3);
    }));
    assert_eq!(along, ["stop fuse-far-from-source circuit/C01"]);
}

/// 33 CFR 183.415.
#[test]
fn two_engines_have_a_common_negative() {
    let twins = |joined: bool| {
        wrongs(&report(|job| {
            add(job, &[engine("port", 100.0), engine("starboard", 100.0)], &[]);
            if joined {
                add(job, &[], &[feeder("B", ["port", "starboard"], "negative", "2 AWG")]);
            }
        }))
    };
    let said = "fix engines-without-common-negative point/starboard".to_owned();
    assert!(twins(false).contains(&said) && !twins(true).contains(&said));
}

/// F3 goes unfused from the house switch to the block; an emergency link X joins that switch to the start battery's.
#[test]
fn a_link_between_two_battery_switches_carries_in_both_directions() {
    let linked = |ends: [&'static str; 2]| {
        report(move |job| {
            let switch =
                |id: &str| json!({"id": id, "kind": "battery-switch", "location": "stern", "rating_a": 400});
            let mut start = job["points"][0].clone();
            start["id"] = json!("start");
            let mut lead = feeder("S1", ["start", "starts"], "positive", "2/0 AWG");
            lead["protection"] = json!({"kind": "large-bolt-down-fuse", "rating_a": 300, "from_source_m": 0.1,
                "interrupt_a": 5000});
            job["feeders"][0]["to"] = json!("houses");
            let cables = [
                feeder("F3", ["houses", "fb1"], "positive", "6 AWG"),
                lead,
                feeder("S2", ["neg1", "start"], "negative", "2/0 AWG"),
                feeder("X", ends, "positive", "2/0 AWG"),
            ];
            add(job, &[start, switch("houses"), switch("starts")], &cables);
        })
    };
    for ends in [["houses", "starts"], ["starts", "houses"]] {
        let report = linked(ends);
        assert_eq!(let_through(&report, "F3"), Some(360.0), "{ends:?}");
        assert!(wrongs(&report).contains(&"stop unprotected feeder/F3".to_owned()), "{:?}", wrongs(&report));
    }
}
