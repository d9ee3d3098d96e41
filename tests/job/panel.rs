//! Switch panels: labels, throws, free positions, and the bench list compared with the panel as it is wired.

use std::collections::{BTreeMap, BTreeSet};

use driploop::job::check::{Sizes, check};
use driploop::job::conductor::Landing;
use driploop::job::file::JobFile;
use driploop::job::jumpers::{self, JumperSide, Master};
use driploop::job::plan::Plan;
use driploop::job::value::CircuitId;
use driploop::job::wiring::Conductors;
use serde_json::{Value, json};
use uom::si::electric_current::ampere;
use uom::si::f64::Length;
use uom::si::length::meter;

use crate::fixture::{report, sound, told};

fn said(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let wanted = ["label", "position", "switch", "circuits-unswitched", "input-missing"];
    let report = report(change);
    let of_panels = report
        .findings
        .iter()
        .filter(|finding| wanted.iter().any(|code| finding.code.phrase().starts_with(code)));
    of_panels.map(told).collect()
}

fn position(job: &mut Value, fields: Value) {
    job["points"][3]["positions"][0] = fields;
}

#[test]
fn free_and_mislabeled_positions_are_reported() {
    assert_eq!(said(|_| {}), ["note positions-free point/panel"]);
    let odd = said(|job| position(job, json!({"label": "HORN", "engraved": "fixed", "rating_a": 15})));
    assert_eq!(odd, ["fix label-wrong position/panel-1", "note positions-free point/panel"]);
    let blank = said(|job| position(job, json!({"label": "AUX 1", "engraved": "free", "rating_a": 15})));
    assert_eq!(blank, ["note positions-free point/panel", "note label-unclear position/panel-1"]);
    let bare = said(|job| drop(job["circuits"][0].as_object_mut().unwrap().remove("switch")));
    assert_eq!(bare, ["note circuits-unswitched job/job", "note positions-free point/panel"]);
}

/// The sound job with a second circuit on the same switch, each in some of its throws.
fn two_on_one(job: &mut Value, [one, other]: [Value; 2]) {
    let mut second = job["circuits"][0].clone();
    second["id"] = json!("C02");
    second["legs"] = json!([{"number": 1, "device": "side"}]);
    second["switch"]["throws"] = other;
    job["circuits"][0]["switch"]["throws"] = one;
    job["circuits"].as_array_mut().unwrap().push(second);
    position(
        job,
        json!({"label": "NAV", "switch": "on-off-on", "poles": 2, "rating_a": 1.5, "throws": ["RUN", "ANCHOR"]}),
    );
}

#[test]
fn the_throws_of_a_switch_part_what_hangs_on_it() {
    let free = "note positions-free point/panel";
    // C01 draws 1.7 A and C02 1.2 A: never both at once, but C01 is over 1.5 A by itself.
    let parted = || [json!([1]), json!([2])];
    assert_eq!(said(|job| two_on_one(job, parted())), ["fix switch-over-rating position/panel-1", free]);
    let rated = |throws: [Value; 2], amperes: u8| {
        said(|job| {
            two_on_one(job, throws);
            job["points"][3]["positions"][0]["rating_a"] = json!(amperes);
        })
    };
    assert_eq!(rated(parted(), 2), [free], "a throw at a time it carries");
    let both = rated([json!([1, 2]), json!([2])], 2);
    assert_eq!(both, ["fix switch-over-rating position/panel-1", free], "2.9 A in the second throw");
    let unnamed = rated([json!([1]), json!([])], 5);
    assert_eq!(unnamed, ["fix input-missing position/panel-1", free]);
}

#[test]
fn throws_are_those_of_the_switch() {
    let refused = |throws: Value, switch: &str, on: Value| {
        let mut job = sound();
        position(&mut job, json!({"label": "NAV", "switch": switch, "rating_a": 5, "throws": throws}));
        job["circuits"][0]["switch"]["throws"] = on;
        JobFile::read(job.to_string().as_bytes()).unwrap_err().to_string()
    };
    let third = refused(json!(["RUN", "ANCHOR"]), "on-off-on", json!([3]));
    assert!(
        third.contains("circuits[0].switch.throws[0]") && third.contains("a throw from 1 to 2"),
        "{third}"
    );
    let twice = refused(json!(["RUN", "ANCHOR"]), "on-off-on", json!([1, 1]));
    assert!(twice.contains("circuits[0].switch.throws[1]"), "{twice}");
    let none = refused(json!([]), "on-off", json!([1]));
    assert!(none.contains("has no throws"), "{none}");
    let plain = refused(json!(["RUN", "ANCHOR"]), "on-off", json!([]));
    assert!(plain.contains("only where the switch is on-off-on"), "{plain}");
    let same = refused(json!(["RUN", "RUN"]), "on-off-on", json!([]));
    assert!(same.contains("different names"), "{same}");
}

fn demo() -> Plan {
    JobFile::read(include_bytes!("../../src/shop/demo/second-plover.json")).unwrap().plan
}

/// The bench list is followed piece by piece as an electrician would, and what it makes is held against the plan
/// and against the solved network.
#[test]
fn the_bench_list_makes_the_panel_that_was_solved() {
    let (plan, report) = (demo(), check(&demo()));
    let conductors = Conductors::of(&plan);
    let lists = jumpers::lists(&plan, &conductors, Master::default());
    let made: Vec<_> = lists.iter().flat_map(|list| &list.jumpers).collect();
    let mut by_circuit: BTreeMap<&CircuitId, Vec<_>> = BTreeMap::new();
    for jumper in &made {
        by_circuit.entry(&jumper.circuit.id).or_default().push(*jumper);
    }
    let switched: BTreeSet<&CircuitId> =
        plan.circuits.iter().filter(|circuit| circuit.switch.is_some()).map(|circuit| &circuit.id).collect();
    assert_eq!(
        by_circuit.keys().copied().collect::<BTreeSet<_>>(),
        switched,
        "every switched circuit, no other"
    );
    let wired = Sizes::of(&report).wire(&plan, &conductors).unwrap();
    for (id, jumpers) in &by_circuit {
        let circuit = plan.circuit(id).unwrap();
        let sides: Vec<JumperSide> = jumpers.iter().map(|jumper| jumper.side).collect();
        if circuit.float_switch {
            // Its fuse is at the battery, so its feed is pulled through the boat.
            assert_eq!(sides, [JumperSide::Load], "{id}: its load");
            continue;
        }
        assert_eq!(sides, [JumperSide::Feed, JumperSide::Load], "{id}: one feed, then one load");
        let at = circuit.switch.as_ref().unwrap();
        let switch = Landing::Point { id: at.panel.clone(), position: Some(at.position) };
        let [feed, load] = [jumpers[0].wire, jumpers[1].wire];
        assert_eq!((feed.from.id(), &feed.to), (circuit.from.as_str(), &switch), "{id}");
        assert_eq!(
            (&load.from, load.to.id()),
            (&switch, circuit.junction.as_ref().unwrap().as_str()),
            "{id}"
        );
        let solved = wired.solve(|on| on == *id).unwrap();
        let whole = solved.of_circuit(id).unwrap().get::<ampere>();
        for wire in [feed, load] {
            let through = solved.of_conductor(&wire.id).unwrap().get::<ampere>();
            assert!(
                whole > 0.0 && (through - whole).abs() < 1e-9,
                "{id}: all its current passes {}",
                wire.id
            );
        }
        assert!(jumpers.iter().all(|jumper| jumper.cut.is_some()), "{id}: each is measured");
    }
    let order: Vec<u16> = lists[0].jumpers.iter().map(|jumper| jumper.position).collect();
    assert!(order.is_sorted(), "position by position: {order:?}");
}

#[test]
fn what_is_not_made_on_the_bench_is_left_for_the_boat() {
    let plan = demo();
    let conductors = Conductors::of(&plan);
    let lists = jumpers::lists(&plan, &conductors, Master::default());
    for list in &lists {
        let circuits: BTreeSet<_> = list.jumpers.iter().map(|jumper| jumper.circuit.id.as_str()).collect();
        let landed: BTreeSet<_> =
            list.left.land.iter().map(|(end, _)| end.id.split('-').next().unwrap()).collect();
        assert_eq!(circuits, landed, "each circuit's wire out lands on the junction bar");
        let ends: Vec<_> = list.left.land.iter().map(|(end, _)| end.id.as_str()).collect();
        assert!(
            list.jumpers
                .iter()
                .all(|jumper| !ends.iter().any(|end| end.starts_with(&format!("{}a", jumper.wire.id))))
        );
        assert!(!list.left.feeders.is_empty());
    }
}

#[test]
fn one_length_measured_goes_for_all_that_have_none() {
    let mut plan = demo();
    plan.circuits[0].conductors.clear();
    let conductors = Conductors::of(&plan);
    let meters = |length: f64| Some(Length::new::<meter>(length));
    let lists = jumpers::lists(&plan, &conductors, Master { feed: meters(0.9), load: meters(0.6) });
    let cut = |id: &str| {
        let wires = lists.iter().flat_map(|list| &list.jumpers);
        let of_this = wires.filter(|jumper| jumper.circuit.id.as_str() == id);
        of_this.map(|jumper| jumper.cut.unwrap().get::<meter>()).collect::<Vec<_>>()
    };
    assert_eq!(cut("C01"), [0.9, 0.6]);
    assert_eq!(cut("C02"), [0.7, 0.5], "what has a length of its own keeps it");
}
