//! The load worksheet against sums by hand. The arithmetic is common practice: current x hours for each load, and
//! the time by Peukert's relation over rated hours, t = H (C / (I H))^k.

use driploop::job::check::check;
use driploop::job::file::JobFile;
use driploop::job::plan::Plan;
use driploop::job::worksheet::{BankSheet, ModeSheet, worksheet};
use serde_json::{Value, json};

/// A 100 Ah AGM bank at 25 C (minimum 50 %, k = 1.1, rated 5 A) with an anchor light of 1 A, a refrigerator of 60 W,
/// a pump of 3 ohm and a device with this load. At anchor 10 h a day: the light all the time, the refrigerator
/// 40 % of it and the pump 10 %.
fn boat(last: Option<Value>) -> Plan {
    let circuit = |id: &str, device: &str| {
        json!({"id": id, "name": id, "legs": [{"number": 1, "device": device}], "from": "fb", "return": "neg",
            "insulation_c": 105, "length_m": 3, "protection": {"kind": "blade-fuse"}})
    };
    let device = |id: &str, load: Option<Value>| {
        let mut own = json!({"id": id, "name": id, "location": "helm"});
        load.into_iter().for_each(|load| own["load"] = load);
        own
    };
    let mut light = device("light", Some(json!({"kind": "constant-current", "a": 1.0})));
    light["light"] = json!("all-round");
    let file = json!({
        "format": 1,
        "job": {"name": "Test", "rules": "us", "nominal_v": 12, "ambient_c": 25},
        "boat": {"name": "Boat", "length_m": 7.1},
        "locations": [{"id": "helm", "name": "Helm"}],
        "points": [
            {"id": "house", "kind": "battery", "location": "helm", "open_circuit_v": 12.7, "capacity_ah": 100, "chemistry": "agm"},
            {"id": "fb", "kind": "fuse-block", "location": "helm", "rating_a": 100, "positions": 12},
            {"id": "neg", "kind": "negative-bus", "location": "helm", "rating_a": 100}],
        "feeders": [
            {"id": "F1", "from": "house", "to": "fb", "polarity": "positive", "insulation_c": 105, "length_m": 1,
                "protection": {"kind": "bolt-down-fuse", "from_source_m": 0.1}},
            {"id": "F2", "from": "neg", "to": "house", "polarity": "negative", "insulation_c": 105, "length_m": 1}],
        "devices": [light, device("fridge", Some(json!({"kind": "constant-power", "w": 60}))),
            device("pump", Some(json!({"kind": "resistance", "ohm": 3}))), device("last", last)],
        "circuits": [circuit("C1", "light"), circuit("C2", "fridge"), circuit("C3", "pump"), circuit("C4", "last")],
        "modes": [
            {"id": "anchor", "name": "At anchor", "hours": 10,
                "on": [{"circuit": "C1"}, {"circuit": "C2", "share": 0.4}, {"circuit": "C3", "share": 0.1}]},
            {"id": "dark", "name": "Dark", "hours": 2, "on": []},
            {"id": "radio", "name": "Radio", "hours": 2, "on": [{"circuit": "C4", "share": 0.5}]}],
    });
    JobFile::read(file.to_string().as_bytes()).unwrap().plan
}

fn bank(plan: &Plan) -> BankSheet {
    let mut sheet = worksheet(plan, &check(plan));
    assert_eq!((sheet.banks.len(), sheet.without_bank.len()), (1, 0));
    sheet.banks.remove(0)
}

fn known() -> Plan {
    boat(Some(json!({"kind": "constant-current", "a": 6.0})))
}

fn is_near(value: f64, by_hand: f64) {
    assert!((value - by_hand).abs() < 1e-3, "{value}, by hand {by_hand}");
}

fn charges(mode: &ModeSheet) -> Vec<Option<f64>> {
    mode.loads.iter().map(|line| line.charge.as_ref().map(|charge| charge.value)).collect()
}

#[test]
fn a_mode_adds_up_as_by_hand() {
    let bank = bank(&known());
    let mode = &bank.modes[0];
    // 1 A x 10 h; 60 W / 12 V = 5 A x 40 % x 10 h; 12 V / 3 ohm = 4 A x 10 % x 10 h.
    assert_eq!(charges(mode), [Some(10.0), Some(20.0), Some(4.0)]);
    is_near(mode.charge.value, 34.0);
    // On for 10 h and 4 h: continuous (3 h and more). On for 1 h: short time.
    assert_eq!(mode.loads.iter().map(|line| line.is_short_time).collect::<Vec<_>>(), [false, false, true]);
    is_near(mode.continuous.as_ref().unwrap().value, 6.0);
    is_near(mode.short_time.as_ref().unwrap().value, 4.0);
    is_near(mode.design.value, 10.0);
    // On together: 1 A for 54 % of the time, 6 A for 36 %, 5 A for 6 %, 10 A for 4 %. Over 5 A by Peukert:
    // 6 A x 1.2^0.1 = 6.1104 A, 10 A x 2^0.1 = 10.7177 A. In all 3.4685 A, and 50 Ah last 14.416 h.
    is_near(mode.to_minimum.as_ref().unwrap().value, 14.416);
    let working = &mode.to_minimum.as_ref().unwrap().working;
    assert_eq!(working.formula, "capacity x (100 % - minimum state of charge) / Peukert-corrected load");
    assert!(
        working.numbers.to_string().starts_with("100 Ah x (100 % - 50 %) / 3.468"),
        "{}",
        working.numbers
    );
}

#[test]
fn everything_on_lasts_an_hour() {
    let bank = bank(&known());
    let all = bank.modes.last().unwrap();
    assert_eq!((all.mode.as_ref(), all.hours, all.loads.len()), (None, 1.0, 4));
    is_near(all.charge.value, 16.0);
    // The radio is on for an hour of its mode: short time. So 6 A continuous, and the larger of 4 A and 6 A.
    is_near(all.design.value, 12.0);
    // 16 A x (16 / 5)^0.1 = 17.9735 A.
    is_near(all.to_minimum.as_ref().unwrap().value, 2.7819);
    assert_eq!(bank.feeders.len(), 1, "the positive feeder");
    is_near(bank.feeders[0].design.as_ref().unwrap().value, 12.0);
}

#[test]
fn what_is_not_known_is_no_zero() {
    let bank = bank(&boat(None));
    let [_, dark, radio, all] = bank.modes.as_slice() else { panic!("three modes and everything on") };
    assert_eq!((charges(radio), radio.unknown, radio.is_unknown()), (vec![None], 1, true));
    assert_eq!((all.unknown, all.is_unknown()), (1, false));
    is_near(all.charge.value, 10.0);
    assert_eq!(
        (dark.continuous.as_ref(), dark.short_time.as_ref(), dark.to_minimum.as_ref()),
        (None, None, None)
    );
    assert_eq!(bank.feeders[0].design, None, "a load on it is not known");
}

#[test]
fn without_capacity_no_time_is_said() {
    let mut plan = known();
    let house = plan.points.iter_mut().find(|point| point.id.as_str() == "house").unwrap();
    let driploop::job::point::Body::Battery(battery) = &mut house.body else { panic!("a battery") };
    battery.capacity_ah = None;
    let bank = bank(&plan);
    assert_eq!((bank.capacity_ah, bank.modes[0].to_minimum.as_ref()), (None, None));
    is_near(bank.modes[0].charge.value, 34.0);
}

#[test]
fn a_circuit_without_a_battery_is_named() {
    let mut plan = known();
    plan.feeders.retain(|feeder| feeder.id.as_str() != "F1");
    let sheet = worksheet(&plan, &check(&plan));
    assert_eq!(sheet.without_bank.iter().map(|id| id.as_str()).collect::<Vec<_>>(), ["C1", "C2", "C3", "C4"]);
}
