//! Every kind alone, with nothing measured but lengths, is a sound circuit.

use serde_json::{Value, json};

use super::*;
use crate::job::check::check;
use crate::job::file::JobFile;
use crate::job::plan::{CableTo, Circuit, Plan};
use crate::job::value::NominalV;
use crate::trade::finding::{Code, Level};
use crate::trade::protection::Family;
use crate::trade::rules::RuleSet;
use crate::trade::units::Units;

/// What one kind alone cannot settle: a measurement that is missing, and the set of lights of a whole boat.
const MAY_BE: [Code; 3] = [Code::InputMissing, Code::NoLightsUnderPower, Code::NoAnchorLight];

/// A small boat: a battery with a class T fuse, an always-on block ahead of the switch and a block behind it.
fn boat(rules: RuleSet, volts: f64, internal_mohm: f64) -> Plan {
    let times = volts / 12.0;
    let main = json!({"kind": "class-t-fuse", "rating_a": 400, "from_source_m": 0.1, "interrupt_a": 20000});
    let feeder = |id: &str, from: &str, to: &str, polarity: &str, protection: Value| {
        json!({"id": id, "from": from, "to": to, "polarity": polarity, "insulation_c": 105, "length_m": 0.5,
            "jacketed": true, "protection": protection})
    };
    let job = json!({
        "format": 1,
        "job": {"name": "Alone", "rules": if rules == RuleSet::Us { "us" } else { "iso" }, "nominal_v": volts, "ambient_c": 30},
        "boat": {"name": "Turnstone", "length_m": 6.4, "fuel": "diesel", "engine": "inboard", "propane": false},
        "locations": [
            {"id": "helm", "name": "Helm", "vapor": "open"}, {"id": "aft", "name": "Battery locker", "vapor": "open"}],
        "raceways": [{"id": "tray", "between": ["helm", "aft"], "length_m": 2, "kind": "tray"}],
        "points": [
            {"id": "house", "kind": "battery", "location": "aft", "open_circuit_v": 12.7 * times, "internal_mohm": internal_mohm,
                "capacity_ah": 200, "chemistry": "agm"},
            {"id": "sw", "kind": "battery-switch", "location": "aft", "rating_a": 600, "switch_kind": "on-off"},
            {"id": "ahead", "kind": "positive-bus", "location": "aft", "rating_a": 600, "positions": 12},
            {"id": "behind", "kind": "positive-bus", "location": "aft", "rating_a": 600, "positions": 12},
            {"id": "neg", "kind": "negative-bus", "location": "aft", "rating_a": 600, "positions": 12}],
        "feeders": [
            feeder("F1", "house", "ahead", "positive", main),
            feeder("F2", "ahead", "sw", "positive", Value::Null),
            feeder("F3", "sw", "behind", "positive", Value::Null),
            feeder("F4", "neg", "house", "negative", Value::Null)],
        "devices": [], "circuits": [],
    });
    JobFile::read(job.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}")).plan
}

/// The small boat with one device of a kind, on a circuit if it draws current.
fn alone(kind: &Kind, rules: RuleSet, volts: f64) -> Plan {
    let nominal: NominalV = volts.try_into().unwrap();
    let mut plan = boat(rules, volts, internal_mohm(kind) * volts / 12.0);
    let mut device = kind.device("d1".parse().unwrap(), kind.name.clone(), "helm".parse().unwrap(), nominal);
    device.cables = kind
        .cables
        .iter()
        .zip(["one", "two", "three"])
        .map(|(need, id)| need.cable(id.parse().unwrap(), CableTo::Location("aft".parse().unwrap())))
        .collect();
    if device.load.is_some() {
        let from = if kind.feed == Feed::AlwaysOn { "ahead" } else { "behind" };
        plan.circuits.push(circuit(kind, from, protection(kind, nominal)));
    }
    plan.devices.push(device);
    plan
}

fn circuit(kind: &Kind, from: &str, protection: Value) -> Circuit {
    serde_json::from_value(json!({
        "id": "C1", "name": kind.name, "legs": [{"number": 1, "device": "d1"}], "from": from, "return": "neg",
        "insulation_c": 105, "jacketed": true, "length_m": 3, "protection": protection,
    }))
    .unwrap()
}

/// A bank that starts a thruster, or a small one whose short circuit a blade fuse breaks (1 kA, from memory).
fn internal_mohm(kind: &Kind) -> f64 {
    if kind.max_fuse_a.is_some_and(|fuse| fuse.number() > 40.0) { 4.0 } else { 14.0 }
}

/// A blade fuse, a bolt-down fuse or a class T fuse, by the largest that the kind allows.
fn protection(kind: &Kind, nominal: NominalV) -> Value {
    let largest = kind.figures(nominal).max_fuse_a.unwrap().number();
    let (family, interrupt_a) = match largest {
        ..=40.0 if internal_mohm(kind) > 4.0 => (Family::BladeFuse, None),
        ..=200.0 => (Family::BoltDownFuse, Some(10_000)),
        _ => (Family::ClassTFuse, Some(20_000)),
    };
    json!({"kind": family, "from_source_m": 0.1, "interrupt_a": interrupt_a})
}

#[test]
fn every_kind_alone_is_a_sound_circuit() {
    let mut wrong = Vec::new();
    for (rules, volts) in
        [(RuleSet::Us, 12.0), (RuleSet::Us, 24.0), (RuleSet::Iso, 12.0), (RuleSet::Iso, 24.0)]
    {
        let kinds = Catalog::built_in().kinds().iter();
        for kind in kinds.filter(|kind| kind.is_device() && !kind.needs_12_v(volts.try_into().unwrap())) {
            let plan = alone(kind, rules, volts);
            assert_eq!(plan.faults(), Vec::new(), "{}", kind.id);
            let open = check(&plan)
                .findings
                .into_iter()
                .filter(|finding| finding.level >= Level::Fix && !MAY_BE.contains(&finding.code));
            let on = format!("{} at {volts} V, {}", kind.id, rules.words());
            wrong.extend(open.map(|finding| {
                format!("{on}: {}: {}", finding.code.phrase(), finding.text.text(Units::of_rules(rules)))
            }));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
