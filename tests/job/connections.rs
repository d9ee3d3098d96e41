//! The connection rules as a table: for each rule one small job file that breaks it, and its twin that passes.

use driploop::job::check::{Report, check};
use driploop::job::conductor::Conductor;
use driploop::job::file::JobFile;
use driploop::job::finding_phase::phase_of;
use driploop::job::plan::Plan;
use driploop::job::value::PointId;
use driploop::job::wiring::Conductors;
use driploop::trade::finding::Code;
use proptest::prelude::*;
use serde_json::{Value, json};

use super::fixture::told;

/// A change of the small job: where, as a JSON pointer, and what stands there. `-` at the end adds to a list.
type Change = (&'static str, Value);

/// The small job after changes, as a job file.
#[track_caller]
fn plan(changes: &[Change]) -> Plan {
    let mut job: Value = serde_json::from_str(include_str!("connected.json")).unwrap();
    for (at, value) in changes {
        match at.strip_suffix("/-") {
            Some(list) => job.pointer_mut(list).unwrap().as_array_mut().unwrap().push(value.clone()),
            None => {
                let (object, key) = at.rsplit_once('/').unwrap();
                let object = job.pointer_mut(object).unwrap_or_else(|| panic!("nothing at {object}"));
                object.as_object_mut().unwrap().insert(key.to_owned(), value.clone());
            }
        }
    }
    JobFile::read(job.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}")).plan
}

fn has(report: &Report, finding: &str) -> bool {
    report.findings.iter().any(|one| told(one) == finding)
}

fn all(report: &Report) -> Vec<String> {
    report.findings.iter().map(told).collect()
}

/// A rule: what it finds, the job that breaks it, and its twin that passes.
struct Rule {
    finding: &'static str,
    breaks: Vec<Change>,
    passes: Vec<Change>,
}

fn rule(finding: &'static str, breaks: impl Into<Vec<Change>>, passes: impl Into<Vec<Change>>) -> Rule {
    Rule { finding, breaks: breaks.into(), passes: passes.into() }
}

/// A device more.
fn device(more: Value) -> Value {
    let mut device =
        json!({"id": "more", "name": "Fan", "location": "helm", "drop_limit_pct": 10, "max_fuse_a": 5});
    device.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    device
}

/// A circuit more, from a point to a device.
fn circuit(from: &str, device: &str, more: Value) -> Value {
    let mut circuit = json!({
        "id": "C9", "name": "Fan", "legs": [{"number": 1, "device": device}], "from": from, "return": "neg",
        "size": "12 AWG", "insulation_c": 105, "length_m": 4,
        "protection": {"kind": "breaker", "rating_a": 5, "from_source_m": 0.1, "interrupt_a": 5000}
    });
    circuit.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    circuit
}

fn draws() -> Value {
    device(json!({"load": {"kind": "constant-current", "a": 1}}))
}

/// A conductor from a battery or a switch to a bar.
fn lead(id: &str, from: &str, to: &str, polarity: &str) -> Value {
    json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": "2 AWG", "insulation_c": 105,
        "length_m": 0.4,
        "protection": if polarity == "positive" {
            json!({"kind": "bolt-down-fuse", "rating_a": 100, "from_source_m": 0.1, "interrupt_a": 5000})
        } else { Value::Null }})
}

const DEVICES: &str = "/devices/-";
const CIRCUITS: &str = "/circuits/-";
const FEEDERS: &str = "/feeders/-";
const POINTS: &str = "/points/-";

fn wires() -> Vec<Rule> {
    let cable = json!([{"id": "fan-net", "kind": "network", "to": {"location": "bow"}}]);
    vec![
        rule(
            "fix device-without-wire device/more",
            [(DEVICES, draws())],
            [(DEVICES, draws()), (CIRCUITS, circuit("fb", "more", json!({})))],
        ),
        rule(
            "fix device-without-wire device/more",
            [(DEVICES, device(json!({})))],
            [(DEVICES, device(json!({"needs_no_wire": true})))],
        ),
        rule(
            "fix device-without-wire device/more",
            [(DEVICES, device(json!({})))],
            [(DEVICES, device(json!({"cables": cable})))],
        ),
        rule(
            "fix length-implausible feeder/F2",
            [("/feeders/1/length_m", json!(0.0))],
            [("/feeders/1/length_m", json!(2.4))],
        ),
        rule(
            "fix length-implausible circuit/C1",
            [("/circuits/0/length_m", json!(0.7))],
            [("/circuits/0/length_m", json!(3.4))],
        ),
        rule(
            "fix length-implausible conductor/C3-0",
            [("/circuits/2/conductors/2/length_m", json!(0.0))],
            [("/circuits/2/conductors/2/length_m", json!(0.6))],
        ),
    ]
}

fn feeds() -> Vec<Rule> {
    let second = |from: &str| (CIRCUITS, circuit(from, "lamp", json!({})));
    let inputs = |many: u16| ("/devices/1/inputs", json!(many));
    vec![
        rule("fix back-feed device/lamp", [second("always")], [second("fb")]),
        rule("fix back-feed device/lamp", [second("sw-start")], [second("sw-house")]),
        rule("fix back-feed device/lamp", [second("always")], [second("always"), inputs(2)]),
        rule("fix negatives-over-inputs device/lamp", [second("fb")], [second("fb"), inputs(2)]),
        rule("note load-counted-twice device/lamp", [second("fb")], []),
        rule(
            "fix always-on-behind-switch circuit/C3",
            [("/circuits/2/from", json!("fb")), ("/circuits/2/conductors", json!([]))],
            [],
        ),
        rule(
            "fix always-on-behind-switch circuit/C3",
            [("/circuits/2/float_switch", json!(false)), ("/circuits/2/conductors", json!([]))],
            [],
        ),
        rule(
            "fix always-on-behind-switch circuit/C2",
            [("/devices/1/purpose", json!("high-water-alarm"))],
            [],
        ),
        rule(
            "fix ahead-of-battery-switch circuit/C9",
            [(DEVICES, draws()), (CIRCUITS, circuit("always", "more", json!({})))],
            [
                (DEVICES, device(json!({"purpose": "memory", "load": {"kind": "constant-current", "a": 1}}))),
                (CIRCUITS, circuit("always", "more", json!({}))),
            ],
        ),
        rule(
            "fix ahead-of-battery-switch circuit/C9",
            [(DEVICES, draws()), (CIRCUITS, circuit("house", "more", json!({})))],
            [(DEVICES, draws()), (CIRCUITS, circuit("sw-house", "more", json!({})))],
        ),
        rule(
            "fix house-load-on-start-bank circuit/C9",
            [(DEVICES, draws()), (CIRCUITS, circuit("sw-start", "more", json!({})))],
            [(DEVICES, draws()), (CIRCUITS, circuit("sw-house", "more", json!({})))],
        ),
        rule("fix house-load-on-start-bank circuit/C4", [("/devices/3/purpose", Value::Null)], []),
        rule(
            "fix input-missing device/more",
            [
                (DEVICES, device(json!({"name": "Forward bilge pump"}))),
                (CIRCUITS, circuit("fb", "more", json!({}))),
            ],
            [
                (
                    DEVICES,
                    device(
                        json!({"name": "Forward bilge pump", "purpose": "hand-bilge-pump", "load": {"kind": "constant-current", "a": 1}}),
                    ),
                ),
                (CIRCUITS, circuit("fb", "more", json!({}))),
            ],
        ),
    ]
}

fn parts() -> Vec<Rule> {
    let beside = |more: Value| {
        let circuit = circuit("fb", "more", json!({"switch": {"panel": "panel", "position": 1}}));
        let mut changes = vec![(DEVICES, draws()), (CIRCUITS, circuit)];
        changes.extend(more.as_u64().map(|poles| ("/points/9/positions/0/poles", json!(poles))));
        changes
    };
    let leads = |many: usize| {
        let bar =
            json!({"id": "bar", "kind": "negative-bus", "location": "aft", "rating_a": 300, "positions": 12});
        let ids = ["G1", "G2", "G3", "G4", "G5"];
        let leads = ids.into_iter().take(many).map(|id| (FEEDERS, lead(id, "bar", "house", "negative")));
        [(POINTS, bar)].into_iter().chain(leads).collect::<Vec<_>>()
    };
    vec![
        rule("fix fuses-on-one-contact position/panel-1", beside(json!(1)), beside(json!(2))),
        rule("fix input-missing position/panel-1", beside(Value::Null), beside(json!(2))),
        rule("fix terminals-over-stud point/house", leads(4), leads(3)),
        rule(
            "fix position-over-rating point/fb",
            [("/points/5/position_a", json!(2))],
            [("/points/5/position_a", json!(3))],
        ),
        rule("note not-checked point/fb", [("/points/5/position_a", Value::Null)], []),
        rule(
            "note no-spare-position point/fb",
            [("/points/5/positions", json!(2))],
            [("/points/5/positions", json!(3))],
        ),
        rule("note not-checked point/neg", [("/points/7/positions", Value::Null)], []),
        rule(
            "fix fuse-over-holder feeder/F1",
            [("/feeders/0/protection/holder_a", json!(80))],
            [("/feeders/0/protection/holder_a", json!(100))],
        ),
        rule(
            "fix fuse-over-device circuit/C2",
            [("/devices/1/max_fuse_a", json!(2))],
            [("/devices/1/max_fuse_a", json!(3))],
        ),
    ]
}

fn batteries() -> Vec<Rule> {
    let blade = |more: Value| json!({"kind": "blade-fuse", "rating_a": 5, "from_source_m": 0.1, "interrupt_a": more, "holder_a": 30});
    let from_post = |interrupt: Value| {
        let memory = device(json!({"purpose": "memory", "load": {"kind": "constant-current", "a": 1}}));
        vec![(DEVICES, memory), (CIRCUITS, circuit("house", "more", json!({"protection": blade(interrupt)})))]
    };
    // Without its capacity, nothing can be supposed of its resistance either.
    let unknown = |changes: Vec<Change>| {
        let nothing = [("/points/0/internal_mohm", Value::Null), ("/points/0/capacity_ah", Value::Null)];
        [changes, nothing.into()].concat()
    };
    let combiner = |fuse: Value| {
        json!({"id": "G1", "from": "start", "to": "house", "polarity": "positive", "size": "4 AWG",
        "insulation_c": 105, "length_m": 1.5, "protection": fuse})
    };
    let fuse = json!({"kind": "bolt-down-fuse", "rating_a": 100, "from_source_m": 0.1, "interrupt_a": 5000});
    let bar =
        json!({"id": "bar", "kind": "positive-bus", "location": "aft", "rating_a": 300, "positions": 4});
    let half = |id: &str, bank: &str, fuse: &Value| {
        json!({"id": id, "from": bank, "to": "bar", "polarity": "positive",
        "size": "4 AWG", "insulation_c": 105, "length_m": 0.7, "protection": fuse})
    };
    let charger = json!({"id": "charger", "kind": "charger", "location": "aft", "open_circuit_v": 14.2, "rating_a": 20});
    let charge = |fuse: Value| {
        json!({"id": "G2", "from": "charger", "to": "house", "polarity": "positive", "size": "8 AWG",
        "insulation_c": 105, "length_m": 3, "protection": fuse})
    };
    let charging = |lead: Value| vec![(POINTS, charger.clone()), (FEEDERS, lead)];
    let near = json!({"kind": "bolt-down-fuse", "rating_a": 40, "from_source_m": 0.1, "interrupt_a": 5000});
    let far = json!({"kind": "bolt-down-fuse", "rating_a": 40, "from_source_m": 2.5, "interrupt_a": 5000});
    vec![
        rule("fix blade-fuse-at-battery circuit/C9", unknown(from_post(json!(1000))), from_post(json!(2000))),
        rule("stop interrupt-rating-under-fault circuit/C9", from_post(json!(1000)), from_post(json!(2000))),
        rule("fix interrupt-rating-unconfirmed circuit/C9", from_post(Value::Null), from_post(json!(2000))),
        rule(
            "stop far-end-unprotected feeder/G1",
            [(FEEDERS, combiner(fuse.clone()))],
            [(POINTS, bar), (FEEDERS, half("G1", "start", &fuse)), (FEEDERS, half("G2", "house", &fuse))],
        ),
        rule("stop unprotected feeder/G2", charging(charge(Value::Null)), charging(charge(near.clone()))),
        rule("stop fuse-far-from-source feeder/G2", charging(charge(far)), charging(charge(near))),
    ]
}

fn vapor() -> Vec<Rule> {
    let lamp_in_bilge =
        |mark: Value| vec![("/devices/1/location", json!("bilge")), ("/devices/1/ignition_protected", mark)];
    let open = ("/locations/2/vapor", json!("open"));
    vec![
        rule(
            "stop not-ignition-protected device/lamp",
            lamp_in_bilge(json!(false)),
            lamp_in_bilge(json!(true)),
        ),
        rule(
            "fix ignition-protection-unknown device/lamp",
            lamp_in_bilge(Value::Null),
            lamp_in_bilge(json!(true)),
        ),
        rule(
            "stop not-ignition-protected device/lamp",
            lamp_in_bilge(json!(false)),
            [lamp_in_bilge(json!(false)), vec![open]].concat(),
        ),
        rule(
            "fix ignition-protection-unknown point/fb",
            [("/locations/0/vapor", json!("gathers"))],
            [("/locations/0/vapor", json!("gathers")), ("/points/5/ignition_protected", json!(true))],
        ),
        rule(
            "fix ignition-protection-unknown feeder/F1",
            [("/locations/1/vapor", json!("gathers"))],
            [
                ("/locations/1/vapor", json!("gathers")),
                ("/feeders/0/protection/ignition_protected", json!(true)),
            ],
        ),
        rule("fix input-missing job/job", [("/locations/0/vapor", Value::Null)], []),
        rule(
            "fix input-missing job/job",
            [("/boat/fuel", Value::Null)],
            [("/boat/fuel", json!("diesel")), ("/boat/propane", json!(false))],
        ),
        rule(
            "stop not-ignition-protected device/lamp",
            [
                lamp_in_bilge(json!(false)),
                vec![("/boat/fuel", json!("diesel")), ("/boat/propane", json!(true))],
            ]
            .concat(),
            [lamp_in_bilge(json!(false)), vec![("/boat/fuel", json!("diesel"))]].concat(),
        ),
    ]
}

fn rules() -> impl Iterator<Item = Rule> {
    [wires(), feeds(), parts(), batteries(), vapor()].into_iter().flatten()
}

#[test]
fn the_small_job_is_sound() {
    let report = check(&plan(&[]));
    let wrong: Vec<_> = all(&report).into_iter().filter(|finding| !finding.starts_with("note")).collect();
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn each_rule_finds_the_job_that_breaks_it_and_passes_its_twin() {
    let mut wrong = Vec::new();
    for rule in rules() {
        let (broken, twin) = (check(&plan(&rule.breaks)), check(&plan(&rule.passes)));
        if !has(&broken, rule.finding) {
            wrong.push(format!("{} is not among {:#?}", rule.finding, all(&broken)));
        }
        if has(&twin, rule.finding) {
            wrong.push(format!("the twin has {}", rule.finding));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every finding of the table has a phase, and its words keep the limits of a screen.
#[test]
fn the_table_has_every_code_of_the_connection_rules() {
    let found: Vec<Code> = rules()
        .flat_map(|rule| check(&plan(&rule.breaks)).findings)
        .inspect(|finding| {
            phase_of(finding);
        })
        .map(|finding| finding.code)
        .collect();
    for code in [
        Code::DeviceWithoutWire,
        Code::BackFeed,
        Code::NegativesOverInputs,
        Code::LoadCountedTwice,
        Code::AlwaysOnBehindSwitch,
        Code::AheadOfBatterySwitch,
        Code::HouseLoadOnStartBank,
        Code::FusesOnOneContact,
        Code::TerminalsOverStud,
        Code::PositionOverRating,
        Code::NoSparePosition,
        Code::FuseOverHolder,
        Code::BladeFuseAtBattery,
        Code::LengthImplausible,
        Code::NotIgnitionProtected,
        Code::IgnitionProtectionUnknown,
    ] {
        assert!(found.contains(&code), "no rule of the table finds {}", code.phrase());
    }
}

#[test]
fn a_float_switch_has_a_conductor_of_its_own_and_shares_fuse_and_negative() {
    let plan = plan(&[]);
    let circuit = &plan.circuits[2];
    let conductors = Conductors::of(&plan);
    let ends = |wire: &Conductor| format!("{} {} to {}", wire.id, wire.from.id(), wire.to.id());
    let all: Vec<_> = conductors.of_circuit(&circuit.id).iter().map(ends).collect();
    assert_eq!(
        all,
        ["C3-1 always to panel", "C3-0 always to pump", "C3-3 panel to pump", "C3-4 pump to neg-aft"]
    );
    let by_hand: Vec<_> = conductors.path(circuit, 0).conductors().map(ends).collect();
    assert_eq!(by_hand, ["C3-1 always to panel", "C3-3 panel to pump", "C3-4 pump to neg-aft"]);
}

#[test]
fn a_float_switch_needs_a_hand_switch_and_one_device() {
    let mut job: Value = serde_json::from_str(include_str!("connected.json")).unwrap();
    job["circuits"][3]["float_switch"] = json!(true);
    let error = JobFile::read(job.to_string().as_bytes()).unwrap_err().to_string();
    assert!(
        error.contains("circuits[3].float_switch") && error.contains("a switch and one device"),
        "{error}"
    );
}

/// With one load unknown, no sum over it is shown: neither at its block nor for the whole boat.
#[test]
fn an_unknown_load_is_not_counted_as_nothing() {
    let known = check(&plan(&[]));
    let unknown = check(&plan(&[("/devices/1/load", Value::Null)]));
    let [block, other]: [PointId; 2] = ["fb", "always"].map(|id| id.parse().unwrap());
    let lamp = "C2".parse().unwrap();
    let drawn = |report: &Report| report.modes.as_ref().unwrap().states[0].drawn_a;
    assert!(known.points[&block].current_a.is_some() && drawn(&known).is_some());
    assert_eq!((unknown.points[&block].current_a, drawn(&unknown)), (None, None));
    assert_eq!(unknown.points[&other].current_a, known.points[&other].current_a);
    assert!(!unknown.modes.as_ref().unwrap().circuits.contains_key(&lamp));
}

/// A spare device that nothing is joined to.
fn spare() -> impl Strategy<Value = Value> {
    let places = prop::sample::select(vec!["helm", "aft", "bilge", "bow"]);
    let load = prop::option::of(0.1..40.0f64);
    let mark = prop::option::of(any::<bool>());
    let name = prop::sample::select(vec!["Fan", "Bilge pump", "Radio", "High-water alarm"]);
    (places, load, mark, name, any::<bool>()).prop_map(|(location, load, mark, name, no_wire)| {
        json!({"id": "spare", "name": name, "location": location, "ignition_protected": mark, "needs_no_wire": no_wire,
            "load": load.map(|a| json!({"kind": "constant-current", "a": a}))})
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A spare device that nothing is joined to takes no finding away from another thing.
    #[test]
    fn a_spare_device_removes_no_finding_of_another_thing(at in any::<prop::sample::Index>(), spare in spare()) {
        let all_rules: Vec<Rule> = rules().collect();
        let broken = &all_rules[at.index(all_rules.len())].breaks;
        let with_spare = [broken.as_slice(), &[(DEVICES, spare)]].concat();
        let (before, after) = (check(&plan(broken)), check(&plan(&with_spare)));
        let after = all(&after);
        for finding in all(&before) {
            prop_assert!(after.contains(&finding), "{} is gone", finding);
        }
    }
}
