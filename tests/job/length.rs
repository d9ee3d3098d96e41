//! How the length of a wire came about: the sum that is shown comes to the length that is counted with.

use driploop::job::check::check;
use driploop::job::length::of_wire;
use driploop::job::plan::{Plan, Wiring};
use driploop::job::wiring::Conductors;
use driploop::shop::demo;
use driploop::trade::quantity::Quantity;
use uom::si::length::meter;

/// The sum of `3.8 m (C02) - 0.5 m (C02-1)`.
fn sum(numbers: &str) -> f64 {
    let words: Vec<&str> = numbers.split(' ').collect();
    let signed = words.iter().enumerate().filter_map(|(at, word)| {
        let number: f64 = word.parse().ok()?;
        let before = at.checked_sub(1).and_then(|before| words.get(before));
        Some(if before == Some(&"-") { -number } else { number })
    });
    signed.sum()
}

/// How many wires of a plan have a length, each of which is shown to come about.
#[track_caller]
fn check_lengths(plan: &Plan) -> usize {
    let report = check(plan);
    let conductors = Conductors::along(plan, &report.routes.ways());
    let mut seen = 0;
    for wire in conductors.all() {
        let length = wire.length.map_or(0.0, |length| length.get::<meter>());
        if length == 0.0 {
            continue;
        }
        let workings = of_wire(plan, &conductors, &report.routes, wire);
        let last = workings.last().unwrap_or_else(|| panic!("{} has a length and no working", wire.id));
        let result: f64 = last.result.to_string().trim_end_matches(" m").parse().unwrap();
        assert!((result - length).abs() < 6e-3, "{}: {last:?} is not {length}", wire.id);
        if last.what == Quantity::WireLength {
            assert!(
                (sum(&last.numbers.to_string()) - length).abs() < 2e-2,
                "{}: {last:?} is not {length}",
                wire.id
            );
        }
        seen += 1;
    }
    seen
}

#[test]
fn every_length_of_the_demo_boats_can_be_summed_by_hand() {
    let seen: usize = demo::files().unwrap().iter().map(|file| check_lengths(&file.plan)).sum();
    assert!(seen > 100, "{seen} wires have a length");
}

#[test]
fn a_chain_or_home_runs_and_their_returns_take_what_the_circuits_length_leaves() {
    for file in demo::files().unwrap() {
        for wiring in [Wiring::Chain, Wiring::HomeRuns] {
            for given in [Some(22.0), None] {
                let mut plan = file.plan.clone();
                for circuit in &mut plan.circuits {
                    circuit.length_m = given.map(|meters| meters.try_into().unwrap());
                    circuit.wiring = wiring;
                }
                check_lengths(&plan);
            }
        }
    }
}
