//! Joint sizing against every combination on small trees, and against HiGHS, a solver of mixed-integer
//! programmes, on boats of 60 circuits.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod cable_tree;

use std::io::Write as _;
use std::process::{Command, Stdio};

use driploop::trade::joint::{BrokenLimit, NoSizing, RaisableWire, RaisedSize, TreeStretch, raise, size};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length};
use uom::si::length::meter;

use cable_tree::{Twig, gauge, grown};

/// Whether the choice keeps every limit and current, and what it costs.
fn priced(stretches: &[TreeStretch], chosen: &[usize]) -> Option<f64> {
    let (mut cost, mut lost) = (0.0, Vec::new());
    for (stretch, &place) in stretches.iter().zip(chosen) {
        let choice = &stretch.choices[place];
        let (meters, amperes) = (stretch.length.get::<meter>(), stretch.current.get::<ampere>());
        let before: f64 = stretch.above.map_or(0.0, |above| lost[above]);
        let here = before + choice.per_meter.get::<ohm>() * meters * amperes;
        let carries = stretch.fixed.map_or(choice.ampacity >= stretch.current, |fixed| fixed == place);
        let keeps = stretch.limit.is_none_or(|limit| here <= limit.get::<volt>() * (1.0 + 1e-11));
        if !(carries && keeps) {
            return None;
        }
        lost.push(here);
        cost += choice.cost_per_meter * meters;
    }
    Some(cost)
}

/// The least cost of all combinations, each tried.
fn exhaustive(stretches: &[TreeStretch]) -> Option<f64> {
    let mut chosen = vec![0; stretches.len()];
    let mut least: Option<f64> = None;
    loop {
        if let Some(cost) = priced(stretches, &chosen) {
            least = Some(least.map_or(cost, |least| least.min(cost)));
        }
        let Some(at) = (0..chosen.len()).find(|&at| chosen[at] + 1 < stretches[at].choices.len()) else {
            return least;
        };
        chosen[at] += 1;
        chosen[..at].fill(0);
    }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-9 * other.abs().max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn nothing_tried_by_hand_costs_less(stretches in cable_tree::small(6)) {
        match (size(&stretches), exhaustive(&stretches)) {
            (Ok(sizing), Some(least)) => {
                prop_assert!(near(sizing.cost, least), "{} against {least}", sizing.cost);
                prop_assert!(near(priced(&stretches, &sizing.chosen).unwrap(), least));
                prop_assert!(sizing.proof.lower_bound <= least * (1.0 + 1e-9) + 1e-9);
            }
            (Err(NoSizing::Limits { unmet }), None) => prop_assert!(!unmet.is_empty()),
            (Err(NoSizing::NoAmpacity { .. }), None) => {}
            (ours, theirs) => prop_assert!(false, "{ours:?} against {theirs:?}"),
        }
    }
}

fn as_json(stretches: &[TreeStretch]) -> serde_json::Value {
    let stretch = |stretch: &TreeStretch| {
        let choices: Vec<_> = stretch
            .choices
            .iter()
            .map(|choice| {
                serde_json::json!({
                    "ohm_per_m": choice.per_meter.get::<ohm>(),
                    "ampacity_a": choice.ampacity.get::<ampere>(),
                    "cost_per_m": choice.cost_per_meter,
                })
            })
            .collect();
        serde_json::json!({
            "above": stretch.above,
            "length_m": stretch.length.get::<meter>(),
            "current_a": stretch.current.get::<ampere>(),
            "choices": choices,
            "fixed": stretch.fixed,
            "limit_v": stretch.limit.map(|limit| limit.get::<volt>()),
        })
    };
    serde_json::json!({ "stretches": stretches.iter().map(stretch).collect::<Vec<_>>() })
}

/// The least cost by HiGHS.
fn highs(stretches: &[TreeStretch]) -> Option<f64> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/joint_sizing.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut run) = run else {
        panic!(
            "{python} cannot be started: HiGHS, the oracle of this test, runs in it; tests/run installs it"
        )
    };
    run.stdin.take().unwrap().write_all(as_json(stretches).to_string().as_bytes()).unwrap();
    let told = run.wait_with_output().unwrap();
    assert!(
        told.status.success(),
        "the oracle failed; does {python} have what tests/requirements.txt lists?"
    );
    // HiGHS greets on standard output; the answer comes last.
    let last = String::from_utf8(told.stdout).unwrap().lines().last().unwrap().to_owned();
    serde_json::from_str::<serde_json::Value>(&last).unwrap()["cost"].as_f64()
}

#[track_caller]
fn costs_what_highs_finds(stretches: &[TreeStretch]) {
    match (size(stretches).ok().map(|sizing| sizing.cost), highs(stretches)) {
        (Some(ours), Some(theirs)) => {
            assert!((ours - theirs).abs() <= 1e-6 * theirs, "ours {ours}, HiGHS {theirs}");
        }
        (ours, theirs) => assert_eq!(ours, theirs),
    }
}

#[test]
fn boats_of_sixty_circuits_cost_what_highs_finds() {
    let mut runner = TestRunner::deterministic();
    for _ in 0..6 {
        costs_what_highs_finds(&cable_tree::boat(60).new_tree(&mut runner).unwrap().current());
    }
}

/// A trunk with a device every meter or so: the shape in which fronts grow most.
#[test]
fn a_long_trunk_costs_what_highs_finds() {
    let mut twigs = Vec::new();
    for joint in 0..16_u8 {
        let (trunk, vary) = (twigs.len(), f64::from(joint));
        twigs.push(twig(trunk.checked_sub(2), 0.5 + (vary * 0.37) % 1.3, 0.0, 0.0));
        twigs.push(twig(
            Some(trunk),
            1.0 + (vary * 0.61) % 2.0,
            0.2 + (vary * 0.17) % 0.9,
            0.36 + (vary * 0.23) % 0.84,
        ));
    }
    costs_what_highs_finds(&grown(&twigs));
}

fn twig(above: Option<usize>, length_m: f64, own_a: f64, limit_v: f64) -> Twig {
    Twig { above, length_m, own_a, limit_v, choices: cable_tree::gauges(), fixed: None }
}

#[test]
fn a_shared_feeder_pays_for_its_branches() {
    let mut twigs = vec![twig(None, 8.0, 0.0, 0.0)];
    twigs.extend((0..6).map(|_| twig(Some(0), 6.0, 3.0, 0.36)));
    let sizing = size(&grown(&twigs)).unwrap();
    // With a thinner feeder the six branches cost more than it saves.
    twigs[0].fixed = Some(sizing.chosen[0] - 1);
    assert!(size(&grown(&twigs)).unwrap().cost > sizing.cost);
    assert!(sizing.lost[1..].iter().all(|lost| lost.get::<volt>() <= 0.36));
}

#[test]
fn what_is_fixed_stays_and_the_rest_makes_up_for_it() {
    let mut twigs = vec![twig(None, 6.0, 0.0, 0.0), twig(Some(0), 3.0, 5.0, 0.5)];
    let free = size(&grown(&twigs)).unwrap();
    twigs[0].fixed = Some(free.chosen[0] - 1);
    let fixed = size(&grown(&twigs)).unwrap();
    assert_eq!(fixed.chosen[0], free.chosen[0] - 1);
    assert!(fixed.chosen[1] > free.chosen[1]);
    assert!(fixed.cost >= free.cost);
}

#[test]
fn a_limit_that_cannot_be_kept_is_named() {
    let twigs = [twig(None, 5.0, 0.0, 0.0), twig(Some(0), 2.0, 5.0, 0.5), twig(Some(0), 90.0, 5.0, 0.001)];
    let Err(NoSizing::Limits { unmet }) = size(&grown(&twigs)) else { panic!("a millivolt over 90 m") };
    let [unmet] = unmet[..] else { panic!("only one of them") };
    assert_eq!((unmet.stretch, unmet.limit.get::<volt>()), (2, 0.001));
    assert!(unmet.least > unmet.limit);
}

#[test]
fn a_current_that_nothing_carries_is_named() {
    let mut twigs = [twig(None, 5.0, 900.0, 5.0)];
    let told = size(&grown(&twigs)).unwrap_err();
    assert_eq!(told.to_string(), "stretch 0: none of its 13 sizes carries 900.0 A");
    twigs[0].fixed = Some(12);
    assert!(size(&grown(&twigs)).is_ok(), "what is fixed is judged elsewhere");
}

#[test]
fn values_that_cannot_be_reckoned_with_name_the_field() {
    let good = TreeStretch {
        above: None,
        length: Length::new::<meter>(5.0),
        current: ElectricCurrent::new::<ampere>(2.0),
        choices: vec![gauge(14)],
        fixed: None,
        limit: Some(ElectricPotential::new::<volt>(0.36)),
    };
    let told = |stretch: TreeStretch| size(&[stretch]).unwrap_err().to_string();
    let length = Length::new::<meter>(f64::NAN);
    assert_eq!(
        told(TreeStretch { length, ..good.clone() }),
        "stretch 0: length is NaN; expected a number from 0 up"
    );
    let above = Some(0);
    assert_eq!(
        told(TreeStretch { above, ..good.clone() }),
        "stretch 0: above is 0; expected an earlier stretch"
    );
    let fixed = Some(1);
    assert_eq!(
        told(TreeStretch { fixed, ..good.clone() }),
        "stretch 0: fixed is 1; expected one of its choices"
    );
    assert_eq!(
        told(TreeStretch { limit: None, ..good.clone() }),
        "stretch 0: limit is missing; expected a limit where nothing hangs from the stretch"
    );
    assert_eq!(size(&[]).unwrap().cost, 0.0);
}

/// Wires of up to four sizes, and limits of which each wire adds to some.
fn raisable() -> impl Strategy<Value = (Vec<RaisableWire>, Vec<BrokenLimit>)> {
    let wire = (0.1..5.0_f64, 1_usize..5).prop_map(|(cost, sizes)| {
        let size = |at: usize| 0.63_f64.powi(i32::try_from(at).unwrap());
        let sizes = (0..sizes).map(|at| RaisedSize { share: size(at), cost: cost / size(at) }).collect();
        RaisableWire { sizes }
    });
    let limit = (proptest::collection::vec(0.0..1.0_f64, 4), 0.05..0.8_f64);
    let limits = proptest::collection::vec(limit, 1..4);
    (proptest::collection::vec(wire, 4), limits).prop_map(|(wires, limits)| {
        let broken = |(adds, share): (Vec<f64>, f64)| {
            let adds: Vec<(usize, f64)> =
                adds.into_iter().enumerate().filter(|(_, adds)| *adds > 0.4).collect();
            BrokenLimit { excess: share * adds.iter().map(|(_, adds)| adds).sum::<f64>(), adds }
        };
        (wires, limits.into_iter().map(broken).filter(|limit| !limit.adds.is_empty()).collect())
    })
}

/// Whether sizes keep all limits, and what they cost.
fn raised_cost(wires: &[RaisableWire], limits: &[BrokenLimit], chosen: &[usize]) -> Option<f64> {
    let size = |wire: usize| wires[wire].sizes[chosen[wire]];
    let keeps = |limit: &BrokenLimit| {
        let saved: f64 = limit.adds.iter().map(|(wire, adds)| adds * (1.0 - size(*wire).share)).sum();
        saved >= limit.excess - 1e-9
    };
    limits.iter().all(keeps).then(|| (0..wires.len()).map(|wire| size(wire).cost).sum())
}

/// The least cost of all combinations of sizes.
fn least_raise(wires: &[RaisableWire], limits: &[BrokenLimit]) -> Option<f64> {
    let mut every = vec![vec![]];
    for wire in wires {
        every = every
            .into_iter()
            .flat_map(|head: Vec<usize>| (0..wire.sizes.len()).map(move |at| [&head[..], &[at]].concat()))
            .collect();
    }
    let costs = every.iter().filter_map(|chosen| raised_cost(wires, limits, chosen));
    costs.reduce(f64::min)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Where some sizes keep the limits, the raised ones do. One limit alone is a tree, so nothing is cheaper.
    #[test]
    fn raised_sizes_keep_every_limit_that_can_be_kept((wires, limits) in raisable()) {
        let chosen = raise(&wires, &limits);
        let ours = raised_cost(&wires, &limits, &chosen);
        let least = least_raise(&wires, &limits);
        prop_assert_eq!(ours.is_some(), least.is_some(), "{:?}", chosen);
        if let (Some(ours), Some(least), 1) = (ours, least, limits.len()) {
            prop_assert!(near(ours, least), "{ours} against {least}");
        }
    }
}
