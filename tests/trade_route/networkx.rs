//! Shortest routes against NetworkX on random maps with raceways side by side.

use std::io::Write as _;
use std::process::{Command, Stdio};

use driploop::trade::route::{Map, MapRaceway, RacewayRoom};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};
use uom::si::length::meter;

use super::meters;

/// Locations, raceways with their lengths, and the raceways that may not be taken.
type Boat = (usize, Vec<(usize, usize, f64)>, Vec<bool>);

fn boat() -> impl Strategy<Value = Boat> {
    (2..24_usize).prop_flat_map(|locations| {
        let raceways = vec((0..locations, 0..locations, 0.0..9.0_f64), locations..3 * locations);
        let shut = vec(prop::bool::weighted(0.15), 3 * locations);
        (Just(locations), raceways, shut)
    })
}

/// For each boat the length of the shortest route between every two locations, or null.
fn networkx(boats: &[Boat]) -> Vec<Vec<Option<f64>>> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/shortest_ways.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut run) = run else {
        panic!(
            "{python} cannot be started: NetworkX, the oracle of this test, runs in it; tests/run installs it"
        )
    };
    let boats: Vec<Value> = boats
        .iter()
        .map(|(locations, raceways, shut)| {
            let open = raceways.iter().zip(shut).filter(|(_, shut)| !**shut).map(|(raceway, _)| raceway);
            json!({"locations": locations, "raceways": open.collect::<Vec<_>>()})
        })
        .collect();
    run.stdin.take().unwrap().write_all(json!({ "boats": boats }).to_string().as_bytes()).unwrap();
    let told = run.wait_with_output().unwrap();
    assert!(
        told.status.success(),
        "the oracle failed; does {python} have what tests/requirements.txt lists?"
    );
    serde_json::from_slice(&told.stdout).unwrap()
}

#[test]
fn every_shortest_route_is_as_long_as_networkx_finds() {
    let mut runner = TestRunner::deterministic();
    let boats: Vec<Boat> = (0..150).map(|_| boat().new_tree(&mut runner).unwrap().current()).collect();
    let mut compared = 0;
    for ((locations, raceways, shut), expected) in boats.iter().zip(networkx(&boats)) {
        let raceway = |&(one, other, length): &(usize, usize, f64)| MapRaceway {
            between: [one, other],
            length: Some(meters(length)),
            room: RacewayRoom::Open,
        };
        let map = Map::new(*locations, raceways.iter().map(raceway).collect());
        let pairs = (0..*locations).flat_map(|from| (0..*locations).map(move |to| [from, to]));
        for (ends, expected) in pairs.zip(expected) {
            let way = map.shortest(ends, |raceway| !shut[raceway]);
            match (&way, expected) {
                (Some(way), Some(expected)) => {
                    let ours = way.length.unwrap().get::<meter>();
                    assert!((ours - expected).abs() < 1e-9, "{ends:?}: {ours} m, NetworkX {expected} m");
                    assert_eq!(map.walk(ends[0], &way.raceways).unwrap().last(), Some(&ends[1]));
                    assert!(way.raceways.iter().all(|raceway| !shut[*raceway]));
                }
                (None, None) => {}
                (ours, theirs) => panic!("{ends:?}: {ours:?}, NetworkX {theirs:?}"),
            }
            compared += 1;
        }
    }
    assert!(compared > 10_000, "{compared}");
}
