//! Which run leaves a full raceway, against every choice of routes for all runs.
//!
//! Runs are moved one at a time by the least detour. On small boats every combination of routes is tried here, and the
//! length that the displacements add is compared.

use driploop::trade::route::settle::{Girth, RunToRoute, settle};
use driploop::trade::route::{Map, RacewayRoom, fill};
use uom::si::f64::Length;
use uom::si::length::meter;

use super::{map, mm};

/// Numbers that are the same on every machine and in every run of the test.
struct Dice(u64);

impl Dice {
    /// A number below `sides`.
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }

    /// A number of steps, from a lowest value on.
    fn between(&mut self, low: f64, step: f64, sides: u64) -> f64 {
        low + step * f64::from(u32::try_from(self.roll(sides)).unwrap())
    }
}

/// All routes between two locations that come to no location twice, with their lengths in meters.
fn ways(map: &Map, [from, to]: [usize; 2]) -> Vec<(Vec<usize>, f64)> {
    let mut found = Vec::new();
    let mut open = vec![(vec![from], Vec::new(), 0.0)];
    while let Some((locations, raceways, meters)) = open.pop() {
        let here = *locations.last().unwrap();
        if here == to {
            found.push((raceways, meters));
            continue;
        }
        for (number, raceway) in map.raceways().iter().enumerate() {
            let Some(there) = raceway.beyond(here).filter(|there| !locations.contains(there)) else {
                continue;
            };
            let long = raceway.length.unwrap().get::<meter>();
            open.push((
                [&locations[..], &[there]].concat(),
                [&raceways[..], &[number]].concat(),
                meters + long,
            ));
        }
    }
    found
}

fn fits(map: &Map, chosen: &[&[usize]], girths: &[Vec<Length>]) -> bool {
    map.raceways().iter().enumerate().all(|(number, raceway)| {
        let RacewayRoom::Bore(bore) = raceway.room else { return true };
        let here = chosen.iter().zip(girths).filter(|(way, _)| way.contains(&number));
        let diameters: Vec<Length> = here.flat_map(|(_, girth)| girth.iter().copied()).collect();
        diameters.is_empty() || fill::fits(bore, &diameters)
    })
}

/// The least length of all routes together with which everything fits, by trying them all.
fn least(map: &Map, runs: &[RunToRoute], girths: &[Vec<Length>]) -> Option<f64> {
    let every: Vec<Vec<(Vec<usize>, f64)>> = runs.iter().map(|run| ways(map, run.between)).collect();
    let mut best: Option<f64> = None;
    let mut at = vec![0; runs.len()];
    if every.iter().any(Vec::is_empty) {
        return None;
    }
    loop {
        let chosen: Vec<&[usize]> = at.iter().zip(&every).map(|(at, ways)| ways[*at].0.as_slice()).collect();
        let meters: f64 = at.iter().zip(&every).map(|(at, ways)| ways[*at].1).sum();
        if best.is_none_or(|best| meters < best) && fits(map, &chosen, girths) {
            best = Some(meters);
        }
        let Some(next) = (0..at.len()).find(|run| at[*run] + 1 < every[*run].len()) else { return best };
        at[next] += 1;
        at[..next].fill(0);
    }
}

/// The length of all routes that were settled, where everything fits.
fn settled(map: &Map, runs: &[RunToRoute], girths: &[Vec<Length>]) -> Option<f64> {
    let counted: Vec<Girth> = girths.iter().cloned().map(Some).collect();
    let settled = settle(map, runs, |_| counted.clone());
    let ways: Option<Vec<_>> = settled.routing.ways.iter().map(Option::as_ref).collect();
    let chosen: Vec<&[usize]> = ways.as_ref()?.iter().map(|way| way.raceways.as_slice()).collect();
    let meters = ways.iter().flatten().map(|way| way.length.unwrap().get::<meter>()).sum();
    fits(map, &chosen, girths).then_some(meters)
}

fn run(from: usize, to: usize) -> RunToRoute {
    RunToRoute { between: [from, to], given: None, widest: None }
}

/// Where one tube is limited and all runs are as thick, the least detours first are the least of all: of two sets
/// of as many runs to leave, the one with the smaller detours is the shorter.
#[test]
fn of_runs_as_thick_in_one_tube_the_least_in_all_leave() {
    let mut dice = Dice(7);
    for case in 0..200 {
        let count = usize::try_from(2 + dice.roll(4)).unwrap();
        // Every run begins at a location of its own, 1 m before the tube from 0 to 1, and has an open raceway around it.
        let bore = dice.between(14.0, 2.0, 8);
        let mut raceways = vec![(0, 1, 2.0, bore)];
        for location in 0..count {
            raceways.push((location + 2, 0, 1.0, 0.0));
            raceways.push((location + 2, 1, dice.between(3.5, 0.7, 9), 0.0));
        }
        let map = map(count + 2, &raceways);
        let runs: Vec<RunToRoute> = (0..count).map(|location| run(location + 2, 1)).collect();
        let girths = vec![vec![mm(5.0); 2]; count];
        let (greedy, best) = (settled(&map, &runs, &girths), least(&map, &runs, &girths));
        let (greedy, best) = (greedy.unwrap(), best.unwrap());
        assert!((greedy - best).abs() < 1e-9, "case {case}: {greedy} m against {best} m");
    }
}

/// What is lost on any small boat. The figures are in the documentation of the module.
#[test]
fn what_one_at_a_time_loses_against_the_least_of_all() {
    let mut dice = Dice(1);
    let (mut solvable, mut same, mut longer, mut unfound) = (0, 0, Vec::new(), 0);
    for _ in 0..600 {
        let raceways: Vec<(usize, usize, f64, f64)> = (0..6)
            .map(|_| {
                let from = usize::try_from(dice.roll(4)).unwrap();
                let to = (from + 1 + usize::try_from(dice.roll(3)).unwrap()) % 4;
                let bore = if dice.roll(4) == 0 { 0.0 } else { dice.between(12.0, 2.0, 10) };
                (from, to, dice.between(1.0, 0.3, 12), bore)
            })
            .collect();
        let map = map(4, &raceways);
        let runs: Vec<RunToRoute> = (0..4)
            .map(|_| {
                let from = usize::try_from(dice.roll(4)).unwrap();
                run(from, (from + 1 + usize::try_from(dice.roll(3)).unwrap()) % 4)
            })
            .collect();
        let girths: Vec<Vec<Length>> = (0..4).map(|_| vec![mm(dice.between(3.0, 1.0, 4)); 2]).collect();
        let Some(best) = least(&map, &runs, &girths) else { continue };
        solvable += 1;
        match settled(&map, &runs, &girths) {
            None => unfound += 1,
            Some(greedy) => {
                assert!(greedy >= best - 1e-9, "{greedy} m is less than the least, {best} m");
                if greedy - best < 1e-9 { same += 1 } else { longer.push((greedy - best) / best) }
            }
        }
    }
    let worst = longer.iter().copied().fold(0.0, f64::max);
    let told = format!(
        "of {solvable} boats {same} at the least, {} longer by at most {:.0} %, {unfound} with a raceway left over-full",
        longer.len(),
        worst * 100.0
    );
    assert_eq!(
        told,
        "of 522 boats 514 at the least, 8 longer by at most 16 %, 0 with a raceway left over-full"
    );
}
