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
