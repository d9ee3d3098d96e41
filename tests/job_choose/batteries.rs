//! Battery switches of each kind, supposed internal resistance, and banks in series.

use serde_json::{Value, json};

use crate::boats::{checked, said, wrongs};

fn small_boat(file: &str, change: impl FnOnce(&mut Value)) -> Value {
    let mut job = serde_json::from_str(file).unwrap();
    change(&mut job);
    job
}

fn two(change: impl FnOnce(&mut Value)) -> Value {
    small_boat(include_str!("two_batteries.json"), change)
}

fn point<'v>(job: &'v mut Value, id: &str) -> &'v mut Value {
    job["points"].as_array_mut().unwrap().iter_mut().find(|point| point["id"] == id).unwrap()
}

/// The findings with one code.
fn with_code(job: &Value, code: &str) -> Vec<String> {
    let report = checked(job);
    report.findings.iter().filter(|finding| finding.code.phrase() == code).map(said).collect()
}

#[test]
fn a_switch_says_which_batteries_it_joins() {
    let kind = |kind: &str| two(|job| point(job, "switch")["switch_kind"] = json!(kind));
    for apart in ["one-two-both", "dual-circuit"] {
        assert_eq!(wrongs(&checked(&kind(apart))), Vec::<String>::new());
    }
    let joined = with_code(&kind("on-off"), "battery-switch-joins-batteries");
    assert_eq!(joined.len(), 1, "{joined:?}");
    assert!(joined[0].contains("Battery (battery) and Second battery (second)"), "{joined:?}");
    let unknown = two(|job| {
        point(job, "switch").as_object_mut().unwrap().remove("switch_kind");
    });
    assert!(wrongs(&checked(&unknown)).iter().any(|said| said.contains("the kind of this battery switch")));
}

/// 0.3 V apart at rest: joined for good one feeds the other; behind a switch that parts them it does not.
#[test]
fn batteries_behind_a_parting_switch_do_not_feed_each_other() {
    let apart = |kind: &str| {
        two(|job| {
            point(job, "switch")["switch_kind"] = json!(kind);
            point(job, "second")["open_circuit_v"] = json!(12.4);
        })
    };
    assert!(with_code(&apart("one-two-both"), "batteries-feed-each-other").is_empty());
    assert_eq!(with_code(&apart("on-off"), "batteries-feed-each-other").len(), 1);
}

/// From memory: (12.6 V - 7.2 V) / 750 A, halved for a warm battery: 3.6 milliohm at 12.6 V.
#[test]
fn internal_resistance_is_supposed_and_said() {
    let one = |change: fn(&mut Value)| small_boat(include_str!("one_battery.json"), change);
    let code = "internal-resistance-supposed";
    let by_cranking = with_code(&one(|_| ()), code);
    assert_eq!(by_cranking.len(), 1);
    assert!(by_cranking[0].contains("3.6 m\u{2126}"), "{by_cranking:?}");
    // 0.6 ohm Ah / 100 Ah x 12.7 / 12.6.
    let by_capacity = with_code(
        &one(|job| {
            point(job, "battery").as_object_mut().unwrap().remove("cranking_a");
        }),
        code,
    );
    assert!(by_capacity[0].contains("6.0 m\u{2126}"), "{by_capacity:?}");
    assert!(with_code(&one(|job| point(job, "battery")["internal_mohm"] = json!(5)), code).is_empty());
    let nothing = one(|job| {
        let battery = point(job, "battery").as_object_mut().unwrap();
        battery.retain(|field, _| field != "cranking_a" && field != "capacity_ah");
    });
    assert!(with_code(&nothing, code).is_empty());
    assert!(wrongs(&checked(&nothing)).iter().any(|said| said.contains("the internal resistance")));
}

/// Two batteries in series are entered as one: 25.4 V, the cranking current of one, twice its resistance.
#[test]
fn a_bank_in_series_is_one_with_the_resistances_added() {
    let series = small_boat(include_str!("one_battery.json"), |job| {
        job["job"]["nominal_v"] = json!(24);
        point(job, "battery")["open_circuit_v"] = json!(25.4);
        point(job, "engine")["open_circuit_v"] = json!(28.4);
    });
    assert!(with_code(&series, "internal-resistance-supposed")[0].contains("7.3 m\u{2126}"));
    assert!(with_code(&series, "source-not-nominal").is_empty());
}

/// A 24 V boat with a 12 V block behind a converter and a 12 V start bank. Each side is judged by its own voltage.
fn two_voltages() -> Value {
    let light = |id: &str, watts: f64| {
        json!({"id": id, "name": id, "location": "boat", "drop_limit_pct": 3, "max_fuse_a": 15,
            "load": {"kind": "constant-power", "w": watts}})
    };
    let circuit = |id: &str, device: &str, from: &str| {
        json!({"id": id, "name": id, "legs": [{"number": 1, "device": device}], "from": from, "return": "bar",
            "insulation_c": 105, "length_m": 3, "protection": {"kind": "blade-fuse"}})
    };
    let feeder = |id: &str, from: &str, to: &str, fused: bool| {
        let polarity = if id.starts_with('N') { "negative" } else { "positive" };
        let mut feeder = json!({"id": id, "from": from, "to": to, "polarity": polarity, "insulation_c": 105,
            "length_m": 1.5});
        if fused {
            feeder["protection"] = json!({"kind": "breaker", "from_source_m": 0.1, "interrupt_a": 10000});
        }
        feeder
    };
    json!({"format": 1, "job": {"name": "T", "rules": "us", "nominal_v": 24, "ambient_c": 30},
        "boat": {"name": "T", "length_m": 9, "fuel": "diesel", "propane": false},
        "locations": [{"id": "boat", "name": "Boat", "vapor": "isolated"}],
        "points": [
            {"id": "house", "kind": "battery", "location": "boat", "open_circuit_v": 25.4, "capacity_ah": 100,
                "chemistry": "agm"},
            {"id": "start", "kind": "battery", "location": "boat", "nominal_v": 12, "open_circuit_v": 12.7,
                "cranking_a": 700},
            {"id": "step-down", "kind": "converter", "location": "boat", "nominal_v": 12, "open_circuit_v": 12.6,
                "rating_a": 30},
            {"id": "block24", "kind": "fuse-block", "location": "boat", "rating_a": 100},
            {"id": "block12", "kind": "fuse-block", "location": "boat", "rating_a": 100},
            {"id": "engine-block", "kind": "fuse-block", "location": "boat", "rating_a": 100},
            {"id": "bar", "kind": "negative-bus", "location": "boat", "rating_a": 150}],
        "feeders": [feeder("F1", "house", "block24", true), feeder("F2", "step-down", "block12", true),
            feeder("F3", "start", "engine-block", true), feeder("N1", "bar", "house", false),
            feeder("N2", "bar", "step-down", false), feeder("N3", "bar", "start", false)],
        "devices": [light("lamp", 72.0), light("radio", 72.0), light("gauge", 24.0), light("input", 90.0)],
        "circuits": [circuit("C24", "lamp", "block24"), circuit("C12", "radio", "block12"),
            circuit("CS", "gauge", "engine-block"), circuit("CI", "input", "block24")]})
}

#[test]
fn each_side_of_a_boat_of_two_voltages_is_judged_by_its_own() {
    let report = checked(&two_voltages());
    assert_eq!(wrongs(&report), Vec::<String>::new());
    let figures = |id: &str| &report.circuits[&id.parse().unwrap()];
    for (id, amperes, nominal) in [("C24", 3.0, 24.0), ("C12", 6.0, 12.0), ("CS", 2.0, 12.0)] {
        let own = figures(id);
        assert_eq!(own.conductor.design_current_a, Some(amperes), "{id}");
        let volts = own.lowest_v().unwrap();
        assert!(volts > 0.94 * nominal && volts < 1.1 * nominal, "{id} gets {volts}");
        let percent = own.conductor.handbook_drop_v.unwrap() / nominal * 100.0;
        assert!((own.conductor.handbook_drop_pct.unwrap() - percent).abs() < 1e-9, "{id}");
    }
    // The same watts need twice the current at half the voltage, and a thicker conductor.
    assert!(figures("C12").conductor.size > figures("C24").conductor.size);
    let unsaid = with_code(&two_voltages(), "not-checked");
    assert!(unsaid.iter().any(|said| said.contains("point/step-down")), "{unsaid:?}");
}

/// Its twin: a 12 V bank that nobody marked as such on a 24 V boat is an error.
#[test]
fn a_bank_of_another_voltage_without_a_side_is_said() {
    let mut job = two_voltages();
    point(&mut job, "start").as_object_mut().unwrap().remove("nominal_v");
    assert_eq!(with_code(&job, "source-not-nominal").len(), 1);
}
