//! Routes, fill and sizes settled together, against an exhaustive search in Python on small boats.
//!
//! A detour makes a wire longer, a longer wire thicker, and a thicker wire may not fit. The script calculates sizes and
//! fill by its own formulas and tries every combination of routes. Left out: bundles from 50 V on, engine spaces,
//! fuses and connectors; the diameters over insulation are those of the program, which have their own tests.

use std::io::Write as _;
use std::process::{Command, Stdio};

use driploop::trade::conductor::Size;
use driploop::trade::drop::PathLength;
use driploop::trade::insulation::Insulation;
use driploop::trade::minimum::Laying;
use driploop::trade::route::Map;
use driploop::trade::route::settle::{Girth, Routing, RunToRoute, settle};
use driploop::trade::rules::RuleSet;
use driploop::trade::sizing::{Demand, OwnFuse, choose};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Ratio, ThermodynamicTemperature};
use uom::si::length::millimeter;
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::map;

const LOCATIONS: usize = 5;

/// A circuit to be routed and sized.
#[derive(Debug, Clone)]
struct Wired {
    between: [usize; 2],
    amperes: f64,
    limit_v: f64,
}

#[derive(Debug)]
struct Boat {
    raceways: Vec<(usize, usize, f64, f64)>,
    runs: Vec<Wired>,
}

fn boat() -> impl Strategy<Value = Boat> {
    // To another location, by how many further.
    let ends = || (0..LOCATIONS, 1..LOCATIONS).prop_map(|(from, on)| [from, (from + on) % LOCATIONS]);
    let bore = prop_oneof![1 => Just(0.0), 4 => 8.0..26.0_f64];
    let raceways = vec((ends(), 0.5..4.0_f64, bore), 7);
    let limit = prop_oneof![Just(0.36), Just(1.2)];
    let run = (ends(), 1.0..9.0_f64, limit);
    (raceways, vec(run, 4)).prop_map(|(raceways, runs)| Boat {
        raceways: raceways.into_iter().map(|([one, other], long, bore)| (one, other, long, bore)).collect(),
        runs: runs
            .into_iter()
            .map(|(between, amperes, limit_v)| Wired { between, amperes, limit_v })
            .collect(),
    })
}

impl Wired {
    fn size(&self, routing: &Routing, run: usize) -> Option<Size> {
        let demand = Demand {
            rules: RuleSet::Us,
            design_current: Some(ElectricCurrent::new::<ampere>(self.amperes)),
            drop_current: None,
            length: Some(PathLength::OneWay(routing.ways[run].as_ref()?.length?)),
            longest_wire: None,
            nominal_voltage: Some(ElectricPotential::new::<volt>(12.0)),
            drop_limit: Some(Ratio::new::<ratio>(self.limit_v / 12.0)),
            insulation: Some(Insulation::BOAT_CABLE),
            ambient: ThermodynamicTemperature::new::<degree_celsius>(30.0),
            engine_space: false,
            bundle: None,
            laying: Laying::Alone,
            exemption: None,
            own_fuse: OwnFuse::Without,
            least_fuse: None,
            at_least: None,
        };
        Some(choose(&demand).unwrap().size())
    }
}

impl Boat {
    fn sizes(&self, routing: &Routing) -> Vec<Option<Size>> {
        self.runs.iter().enumerate().map(|(number, run)| run.size(routing, number)).collect()
    }

    /// The routes that are settled and the sizes of the last round; `None` where a run has no route.
    fn settled(&self, map: &Map) -> Option<(Vec<Vec<usize>>, Vec<Size>)> {
        let run = |run: &Wired| RunToRoute { between: run.between, given: None, widest: None };
        let runs: Vec<RunToRoute> = self.runs.iter().map(run).collect();
        let girth = |size: Option<Size>| -> Girth { size.map(|size| vec![size.outside_diameter(); 2]) };
        let settled = settle(map, &runs, |routing| self.sizes(routing).into_iter().map(girth).collect());
        assert!(!settled.cut_off);
        let ways = settled.routing.ways.iter().map(|way| Some(way.as_ref()?.raceways.clone()));
        let sizes = self.sizes(&settled.routing).into_iter().collect::<Option<_>>()?;
        Some((ways.collect::<Option<_>>()?, sizes))
    }

    fn as_json(&self, ways: &[Vec<usize>]) -> Value {
        let run =
            |run: &Wired| json!({"between": run.between, "amperes": run.amperes, "limit_v": run.limit_v});
        let runs: Vec<Value> = self.runs.iter().map(run).collect();
        json!({"locations": LOCATIONS, "raceways": self.raceways, "runs": runs, "ways": ways})
    }
}

const GAUGES: [u8; 8] = [16, 14, 12, 10, 8, 6, 4, 2];

fn gauge(gauge: u8) -> Size {
    format!("{gauge} AWG").parse().unwrap()
}

fn searched(boats: &[Value]) -> Vec<Value> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/routes_and_sizes.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut run) = run else { panic!("{python} cannot be started: the search runs in it") };
    let outside = |one: u8| (one.to_string(), json!(gauge(one).outside_diameter().get::<millimeter>()));
    let outside: serde_json::Map<String, Value> = GAUGES.into_iter().map(outside).collect();
    let asked = json!({"outside_mm": outside, "boats": boats});
    run.stdin.take().unwrap().write_all(asked.to_string().as_bytes()).unwrap();
    let answer = run.wait_with_output().unwrap();
    assert!(answer.status.success(), "the oracle failed");
    serde_json::from_slice(&answer.stdout).unwrap()
}

fn sizes_in(answer: &Value) -> Vec<Size> {
    let one = |size: &Value| gauge(u8::try_from(size.as_u64().unwrap()).unwrap());
    answer["sizes"].as_array().unwrap().iter().map(one).collect()
}

/// The sizes are the same on every boat. One run moves at a time by the least detour, so that a few boats get longer
/// routes than the least, or keep an over-full raceway although other routes would fit.
#[test]
fn routes_and_sizes_are_those_of_an_exhaustive_search() {
    let mut runner = TestRunner::deterministic();
    let (mut boats, mut asked) = (Vec::new(), Vec::new());
    while boats.len() < 400 {
        let boat = boat().new_tree(&mut runner).unwrap().current();
        let Some((ways, sizes)) = boat.settled(&map(LOCATIONS, &boat.raceways)) else { continue };
        asked.push(boat.as_json(&ways));
        boats.push((boat, sizes));
    }
    let (mut least, mut longer, mut over_full, mut none) = (0, 0, 0, 0);
    for ((boat, sizes), answer) in boats.iter().zip(searched(&asked)) {
        assert_eq!(*sizes, sizes_in(&answer), "{boat:?}");
        let (fits, meters) = (answer["fits"].as_bool().unwrap(), answer["meters"].as_f64().unwrap());
        match answer["least"].as_f64() {
            None => {
                assert!(!fits, "no routes fit, and these do: {answer} for {boat:?}");
                none += 1;
            }
            Some(_) if !fits => over_full += 1,
            Some(best) => {
                assert!(meters >= best - 1e-9, "{answer} for {boat:?}");
                if meters < best + 1e-9 { least += 1 } else { longer += 1 }
            }
        }
    }
    assert_eq!((least, longer, over_full, none), (330, 5, 2, 63));
}
