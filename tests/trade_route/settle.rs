//! Routes, fill and sizes in agreement: by hand on small maps, and what is promised on any.

use std::collections::HashSet;

use driploop::trade::route::fill;
use driploop::trade::route::settle::{Girth, MOST_ROUNDS, Routing, RunToRoute, SettledRoutes, settle};
use driploop::trade::route::{Map, MapRaceway, RacewayRoom};
use proptest::collection::vec;
use proptest::prelude::*;
use uom::si::f64::Length;

use super::{map, meters, mm};

fn run(from: usize, to: usize) -> RunToRoute {
    RunToRoute { between: [from, to], given: None, widest: None }
}

fn pair(diameter: f64) -> Girth {
    Some(vec![mm(diameter); 2])
}

fn way(settled: &SettledRoutes, run: usize) -> Vec<usize> {
    settled.routing.ways[run].as_ref().unwrap().raceways.clone()
}

/// Two tubes side by side, 2 m and 3 m, both 20 mm: four conductors of 6 mm fill one to 36 %, six to 54 %.
#[test]
fn what_does_not_fit_takes_the_next_route() {
    let map = map(2, &[(0, 1, 2.0, 20.0), (0, 1, 3.0, 20.0)]);
    let runs = [run(0, 1), run(1, 0), run(0, 1)];
    let settled = settle(&map, &runs, |_| vec![pair(6.0), pair(6.0), pair(6.0)]);
    assert_eq!((way(&settled, 0), way(&settled, 1), way(&settled, 2)), (vec![1], vec![0], vec![0]));
    assert_eq!(settled.routing.closed[0].iter().collect::<Vec<_>>(), [&0]);
    assert_eq!(settled.alone[0].as_ref().unwrap().raceways, [0]);
    assert!(settled.held.is_empty() && !settled.cut_off);
}

/// The run with the least detour moves, whatever its place in the list.
#[test]
fn the_run_with_the_least_detour_moves() {
    // From 0 to 1 the tube is the only good route; from 2 to 1 there is another as good.
    let map =
        map(4, &[(0, 1, 2.0, 15.0), (2, 0, 1.0, 0.0), (2, 1, 3.2, 0.0), (0, 3, 9.0, 0.0), (3, 1, 9.0, 0.0)]);
    let settled = settle(&map, &[run(0, 1), run(2, 1)], |_| vec![pair(5.0), pair(5.0)]);
    assert_eq!((way(&settled, 0), way(&settled, 1)), (vec![0], vec![2]));
}

#[test]
fn a_route_set_by_hand_stays() {
    let map = map(2, &[(0, 1, 2.0, 12.0), (0, 1, 3.0, 40.0)]);
    let by_hand = RunToRoute { given: Some(vec![0]), ..run(0, 1) };
    let settled = settle(&map, &[by_hand.clone(), by_hand], |_| vec![pair(5.0), pair(5.0)]);
    assert_eq!((way(&settled, 0), way(&settled, 1)), (vec![0], vec![0]));
    assert!(!fill::fits(mm(12.0), &[mm(5.0); 4]), "and is over full, which is for the caller to say");
}

#[test]
fn a_connector_goes_round_a_narrow_tube_where_it_can() {
    let map = map(3, &[(0, 1, 2.0, 20.0), (0, 1, 3.0, 40.0), (1, 2, 1.0, 20.0)]);
    let plug = RunToRoute { widest: Some(mm(25.0)), ..run(0, 1) };
    let stuck = RunToRoute { widest: Some(mm(25.0)), ..run(1, 2) };
    let settled = settle(&map, &[plug, stuck], |_| vec![Some(vec![mm(6.0)]); 2]);
    assert_eq!((way(&settled, 0), way(&settled, 1)), (vec![1], vec![2]));
}

/// Thick in company and thin alone: without memory it would go to and fro for ever.
#[test]
fn what_would_cycle_stops_and_is_named() {
    let map = map(2, &[(0, 1, 2.0, 16.0), (0, 1, 3.0, 16.0)]);
    let mut asked = 0;
    let settled = settle(&map, &[run(0, 1), run(0, 1)], |routing| {
        asked += 1;
        let together = routing.sharing(0).count() == 2;
        vec![pair(if together { 6.0 } else { 4.0 }), pair(if together { 6.0 } else { 4.0 })]
    });
    assert_eq!((way(&settled, 0), way(&settled, 1)), (vec![1], vec![0]));
    assert_eq!(settled.held, [0, 1]);
    assert_eq!((settled.rounds, asked), (2, 2));
}

/// Thicker each time it is asked: there is nowhere left to move to, so that nobody asks again.
#[test]
fn sizes_that_never_settle_end_with_the_routes() {
    let map = map(2, &[(0, 1, 1.0, 10.0), (0, 1, 2.0, 0.0)]);
    let mut thickness = 5.0;
    let settled = settle(&map, &[run(0, 1)], |_| {
        thickness += 1.0;
        vec![pair(thickness)]
    });
    assert_eq!(way(&settled, 0), [1]);
    assert!(settled.rounds == 2 && settled.rounds < MOST_ROUNDS && !settled.cut_off);
}

/// A made thickness for a run: what it has alone, and more the more runs share a raceway with it.
fn sized(routing: &Routing, raceways: usize, thin: &[usize], greed: &[usize]) -> Vec<Girth> {
    const MADE: [f64; 6] = [2.8, 3.4, 4.1, 5.0, 6.2, 8.0];
    let mut shared = vec![1; thin.len()];
    for raceway in 0..raceways {
        let here: Vec<usize> = routing.sharing(raceway).collect();
        for run in &here {
            shared[*run] = shared[*run].max(here.len());
        }
    }
    let step = |run: usize| (thin[run] + greed[run] * shared[run] / 3).min(MADE.len() - 1);
    (0..thin.len()).map(|run| pair(MADE[step(run)])).collect()
}

/// A boat of random raceways and runs, with how thick each run is and how it takes company.
type Boat = (Vec<(usize, usize, f64, f64)>, Vec<(usize, usize)>, Vec<usize>, Vec<usize>);

const PLACES: usize = 7;

fn boat() -> impl Strategy<Value = Boat> {
    let bore = prop_oneof![1 => Just(0.0), 5 => 8.0..40.0_f64];
    let raceways = vec((0..PLACES, 0..PLACES, 0.1..6.0_f64, bore), 4..16);
    (raceways, 1..14_usize).prop_flat_map(|(raceways, runs)| {
        (Just(raceways), vec((0..PLACES, 0..PLACES), runs), vec(0..4_usize, runs), vec(0..3_usize, runs))
    })
}

fn diameters(settled: &SettledRoutes, raceway: usize) -> Vec<Length> {
    settled.routing.sharing(raceway).flat_map(|run| settled.girths[run].clone().unwrap()).collect()
}

/// Whether a run could leave a raceway for a route that has room: what must not be left undone.
fn could_leave(map: &Map, settled: &SettledRoutes, runs: &[RunToRoute], run: usize, full: usize) -> bool {
    let may = |raceway: usize| {
        let MapRaceway { room, .. } = map.raceways()[raceway];
        let mut all: Vec<Length> = settled
            .routing
            .sharing(raceway)
            .filter(|other| *other != run)
            .flat_map(|other| settled.girths[other].clone().unwrap())
            .collect();
        all.extend(settled.girths[run].clone().unwrap());
        let has_room = match room {
            RacewayRoom::Bore(bore) => fill::fits(bore, &all),
            RacewayRoom::Open | RacewayRoom::Unknown => true,
            RacewayRoom::Shut => false,
        };
        raceway != full && !settled.routing.closed[run].contains(&raceway) && has_room
    };
    map.shortest(runs[run].between, may).is_some()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Settling stops within the bound of its proof, on any boat and with sizes that hang on company.
    #[test]
    fn it_always_stops((raceways, ends, thin, greed) in boat()) {
        let map = map(PLACES, &raceways);
        let runs: Vec<RunToRoute> = ends.iter().map(|&(from, to)| run(from, to)).collect();
        let settled = settle(&map, &runs, |routing| sized(routing, raceways.len(), &thin, &greed));
        prop_assert!(!settled.cut_off);
        prop_assert!(settled.rounds <= 1 + 6 * runs.len(), "{} rounds", settled.rounds);
    }

    /// No raceway holds more than its limit, unless nothing in it can go anywhere else.
    #[test]
    fn a_full_raceway_is_one_that_nothing_can_leave((raceways, ends, thin, greed) in boat()) {
        let map = map(PLACES, &raceways);
        let runs: Vec<RunToRoute> = ends.iter().map(|&(from, to)| run(from, to)).collect();
        let settled = settle(&map, &runs, |routing| sized(routing, raceways.len(), &thin, &greed));
        for (number, raceway) in map.raceways().iter().enumerate() {
            let RacewayRoom::Bore(bore) = raceway.room else { continue };
            if !fill::fits(bore, &diameters(&settled, number)) {
                for run in settled.routing.sharing(number) {
                    prop_assert!(!could_leave(&map, &settled, &runs, run, number), "{run} could leave {number}");
                }
            }
        }
    }

    /// Every route leads from its run's beginning to its end, by no raceway that is closed to it, and is never
    /// shorter than the route it would take alone.
    #[test]
    fn every_route_leads_to_its_end((raceways, ends, thin, greed) in boat()) {
        let map = map(PLACES, &raceways);
        let runs: Vec<RunToRoute> = ends.iter().map(|&(from, to)| run(from, to)).collect();
        let settled = settle(&map, &runs, |routing| sized(routing, raceways.len(), &thin, &greed));
        for (number, wanted) in runs.iter().enumerate() {
            let [from, to] = wanted.between;
            match &settled.routing.ways[number] {
                Some(way) => {
                    let locations = map.walk(from, &way.raceways).unwrap();
                    prop_assert_eq!(locations.last(), Some(&to));
                    prop_assert_eq!(locations.iter().collect::<HashSet<_>>().len(), locations.len(), "in a circle");
                    prop_assert!(way.raceways.iter().all(|p| !settled.routing.closed[number].contains(p)));
                    let alone = settled.alone[number].as_ref().unwrap().length.unwrap();
                    prop_assert!(way.length.unwrap() >= alone - meters(1e-9));
                }
                None => prop_assert!(!map.reached_from(from).contains(&to)),
            }
        }
    }

    /// What is counted is never less than what the last sizes ask for.
    #[test]
    fn what_is_counted_covers_what_is_there((raceways, ends, thin, greed) in boat()) {
        let map = map(PLACES, &raceways);
        let runs: Vec<RunToRoute> = ends.iter().map(|&(from, to)| run(from, to)).collect();
        let settled = settle(&map, &runs, |routing| sized(routing, raceways.len(), &thin, &greed));
        let last = sized(&settled.routing, raceways.len(), &thin, &greed);
        for (number, (counted, last)) in settled.girths.iter().zip(&last).enumerate() {
            let (counted, last) = (counted.as_ref().unwrap(), last.as_ref().unwrap());
            prop_assert!(counted.iter().zip(last).all(|(counted, last)| counted >= last));
            prop_assert_eq!(settled.held.contains(&number), counted != last);
        }
    }
}
