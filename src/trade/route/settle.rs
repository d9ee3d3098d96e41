//! Routes, fill and sizes brought into agreement.
//!
//! Each depends on the others. A size depends on the length of the route and on the other runs in a raceway.
//! The fill depends on the sizes, and the route depends on the fill. [`settle`] works in rounds:
//!
//! 1. Every run takes its shortest route, as if it were alone. A route set by hand is not changed.
//! 2. Look for a raceway over its limit with a run that has another route with room. The run with the
//!    smallest increase in length takes that route, and the raceway is *closed* to it. Runs that do not fit
//!    the raceway even alone go first. Repeat until there is none.
//! 3. The sizes are calculated for these routes. Where a run got thicker, its new thickness counts, and the
//!    round starts again at 2 until nothing changes. Where it got thinner, the old thickness still counts.
//!
//! # Why it ends
//!
//! A raceway closed to a run stays closed, and a thickness that counts never decreases. Each move of step 2
//! closes a raceway to a run that was open to it. The number of such moves is therefore at most runs times
//! raceways. Each return from step 3 makes at least one run thicker, and thicknesses come from a finite list
//! of standard sizes. The number of such rounds is therefore at most runs times sizes. So both loops end,
//! whatever the sizes do. Each has a work budget besides. A callback that returns ever thicker conductors is
//! stopped after [`MOST_ROUNDS`] rounds, or fewer with many runs. [`SettledRoutes::cut_off`] reports it.
//!
//! # Where a raceway stays over its limit
//!
//! One move at a time can fill the route that another run needs. So a run in a raceway that is left over-full, or one
//! on the route around it, is kept out from the start, and everything is settled again: each such run in turn, then
//! two of them, within a work budget. The first result without such a raceway counts.
//!
//! A cycle is possible only with a run that is thick on one route and thin on the other. It ends on the other
//! route and counts with its largest thickness: [`SettledRoutes::held`] names it. All statements about the result
//! stay true, because each raceway really holds no more than what was counted.

use std::collections::{BTreeSet, VecDeque};
use std::ops::Add;

use foldhash::HashMap;
use uom::si::f64::{Area, Length};
use uom::si::length::meter;

use super::fill;
use super::map::{Map, RacewayRoom, Way};

/// More rounds than all standard sizes could cause for a run.
pub const MOST_ROUNDS: usize = 10_000;

/// The work budget of the rounds: runs sized, over all rounds. Few boats need ten rounds.
const MOST_SIZED: usize = 400_000;
/// The rounds that every boat has.
const LEAST_ROUNDS: usize = 20;
/// The work budget of settling again: runs settled, over all tries; and the most tries.
const MOST_SETTLED: usize = 2_000;
const MOST_TRIES: usize = 24;
/// The work budget of one search for runs to keep out: raceways looked at.
const MOST_AROUND: usize = 200_000;
/// The work budget of step 2: raceways looked at, over all searches for another route.
const MOST_LOOKS: usize = 20_000_000;

/// Conductors and cables that are pulled together between two locations.
#[derive(Debug, Clone, PartialEq)]
pub struct RunToRoute {
    /// The locations where it begins and ends, by number.
    pub between: [usize; 2],
    /// A route set by hand, by the numbers of its raceways.
    pub given: Option<Vec<usize>>,
    /// Its widest part, such as a connector. Narrower raceways are avoided if there is another route.
    pub widest: Option<Length>,
}

/// The outside diameters of a run's conductors and cables; `None` while they are not known.
pub type Girth = Option<Vec<Length>>;

/// The route of each run.
#[derive(Debug, Clone, PartialEq)]
pub struct Routing {
    /// The route of each run; `None` where no route leads from its beginning to its end.
    pub ways: Vec<Option<Way>>,
    /// For each run, the raceways closed to it because they were full.
    pub closed: Vec<BTreeSet<usize>>,
    /// For each raceway the runs in it.
    lying: Vec<BTreeSet<usize>>,
}

impl Routing {
    /// Every run on its first route, with nothing closed to it.
    fn new(map: &Map, ways: Vec<Option<Way>>) -> Self {
        let mut lying = vec![BTreeSet::new(); map.raceways().len()];
        for (run, way) in ways.iter().enumerate() {
            for raceway in way.iter().flat_map(|way| &way.raceways) {
                if let Some(lying) = lying.get_mut(*raceway) {
                    lying.insert(run);
                }
            }
        }
        Self { closed: vec![BTreeSet::new(); ways.len()], ways, lying }
    }

    /// The runs in a raceway.
    pub fn sharing(&self, raceway: usize) -> impl Iterator<Item = usize> {
        self.lying.get(raceway).into_iter().flatten().copied()
    }

    fn lies_in(&self, run: usize, raceway: usize) -> bool {
        self.lying.get(raceway).is_some_and(|lying| lying.contains(&run))
    }

    /// Moves a run to another route.
    fn relay(&mut self, run: usize, way: Way) {
        let Some(held) = self.ways.get_mut(run) else { return };
        for raceway in held.iter().flat_map(|way| &way.raceways) {
            if let Some(lying) = self.lying.get_mut(*raceway) {
                lying.remove(&run);
            }
        }
        for raceway in &held.insert(way).raceways {
            if let Some(lying) = self.lying.get_mut(*raceway) {
                lying.insert(run);
            }
        }
    }
}

/// The result of the rounds.
#[derive(Debug, Clone, PartialEq)]
pub struct SettledRoutes {
    /// The route of each run.
    pub routing: Routing,
    /// The route that each run would take if it were alone.
    pub alone: Vec<Option<Way>>,
    /// The girth that each run was counted with.
    pub girths: Vec<Girth>,
    /// Runs counted thicker than their last size: their size and their route kept changing each other.
    pub held: Vec<usize>,
    /// How many times the sizes were calculated.
    pub rounds: usize,
    /// Whether the rounds were stopped before they agreed.
    pub cut_off: bool,
}

/// A run that is kept out of a raceway from the start.
type Ban = (usize, usize);

/// Brings routes, fill and sizes into agreement. `size` calculates the girth of every run for a routing.
pub fn settle(map: &Map, runs: &[RunToRoute], mut size: impl FnMut(&Routing) -> Vec<Girth>) -> SettledRoutes {
    let alone = first_ways(map, runs);
    let (first, mut over_full) = settle_with(map, runs, &alone, &[], &mut size);
    let mut tries: VecDeque<Vec<Ban>> = VecDeque::new();
    let mut bans = Vec::new();
    for _ in 0..MOST_TRIES.min(MOST_SETTLED / runs.len().max(1)) {
        if over_full.is_empty() {
            break;
        }
        tries.extend(over_full.into_iter().map(|ban| [bans.as_slice(), &[ban]].concat()));
        let Some(next) = tries.pop_front() else { break };
        bans = next;
        let (other, left) = settle_with(map, runs, &alone, &bans, &mut size);
        if left.is_empty() && !other.cut_off {
            return other;
        }
        over_full = left;
    }
    first
}

/// Routes, fill and sizes in agreement with some runs kept out of some raceways; and each run that could be kept out
/// of a raceway that is left over-full.
fn settle_with(
    map: &Map,
    runs: &[RunToRoute],
    alone: &[Option<Way>],
    bans: &[Ban],
    mut size: impl FnMut(&Routing) -> Vec<Girth>,
) -> (SettledRoutes, Vec<Ban>) {
    let mut yard = Yard::new(map, runs, alone.to_vec());
    bans.iter().for_each(|ban| yard.keep_out(*ban));
    let (mut rounds, mut agreed) = (0, false);
    let mut sized = Vec::new();
    let most_rounds = (MOST_SIZED / runs.len().max(1)).clamp(LEAST_ROUNDS, MOST_ROUNDS);
    while !agreed && rounds < most_rounds {
        rounds += 1;
        sized = size(&yard.routing);
        agreed = !(yard.thicken(&sized) && yard.spread());
    }
    let over_full = yard.over_full();
    let thinner = |run: &usize| sized.get(*run).is_some_and(|last| yard.girths.get(*run) != Some(last));
    let held = (0..runs.len()).filter(thinner).collect();
    let settled = SettledRoutes {
        routing: yard.routing,
        alone: alone.to_vec(),
        girths: yard.girths,
        held,
        rounds,
        cut_off: !agreed || yard.is_spent,
    };
    (settled, over_full)
}

/// The first route of each run. Runs between the same locations share one search.
fn first_ways(map: &Map, runs: &[RunToRoute]) -> Vec<Option<Way>> {
    let mut found: HashMap<([usize; 2], Option<u64>), Option<Way>> = HashMap::default();
    let first = |run: &RunToRoute| match run.given {
        Some(_) => first_way(map, run),
        None => {
            let key = (run.between, run.widest.map(|widest| widest.value.to_bits()));
            found.entry(key).or_insert_with(|| first_way(map, run)).clone()
        }
    };
    runs.iter().map(first).collect()
}

/// The route set by hand. Without one, the shortest route that the run's widest part passes. If there is
/// none, the shortest.
fn first_way(map: &Map, run: &RunToRoute) -> Option<Way> {
    if let Some(given) = &run.given {
        return Some(map.way(given.clone()));
    }
    map.shortest(run.between, |raceway| passes(map, run, raceway))
        .or_else(|| map.shortest(run.between, |_| true))
}

/// Whether a run's widest part goes through a raceway.
fn passes(map: &Map, run: &RunToRoute, raceway: usize) -> bool {
    match (run.widest, map.raceways().get(raceway).map(|raceway| raceway.room)) {
        (Some(widest), Some(RacewayRoom::Bore(bore))) => widest <= bore,
        _ => true,
    }
}

/// The runs and their present routes.
struct Yard<'a> {
    map: &'a Map,
    runs: &'a [RunToRoute],
    routing: Routing,
    girths: Vec<Girth>,
    /// The known contents of each raceway.
    bulks: Vec<Bulk>,
    /// The raceways that may still be looked at, and whether there were too few.
    looks_left: usize,
    is_spent: bool,
}

/// The number and total area of conductors and cables in one raceway.
#[derive(Debug, Clone, Copy, Default)]
struct Bulk {
    count: usize,
    room: Area,
}

impl Bulk {
    fn of(girth: &[Length]) -> Self {
        Self { count: girth.len(), room: fill::area(girth) }
    }
}

impl Add for Bulk {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { count: self.count + other.count, room: self.room + other.room }
    }
}

/// A run that could leave a full raceway.
struct Move {
    run: usize,
    way: Way,
    fits_alone: bool,
    detour_m: f64,
}

impl<'a> Yard<'a> {
    /// Every run on its first route, without any thickness yet.
    fn new(map: &'a Map, runs: &'a [RunToRoute], ways: Vec<Option<Way>>) -> Self {
        let routing = Routing::new(map, ways);
        let bulks = vec![Bulk::default(); map.raceways().len()];
        let girths = vec![None; runs.len()];
        Self { map, runs, routing, girths, bulks, looks_left: MOST_LOOKS, is_spent: false }
    }

    /// Records the runs that got thicker; returns whether there were any.
    fn thicken(&mut self, sized: &[Girth]) -> bool {
        let mut any = false;
        for (held, sized) in self.girths.iter_mut().zip(sized) {
            let Some(sized) = sized else { continue };
            let joined = match held.as_ref() {
                None => sized.clone(),
                Some(held) => thicker_of(held, sized),
            };
            any |= held.as_ref() != Some(&joined);
            *held = Some(joined);
        }
        self.weigh();
        any
    }

    /// Moves runs out of full raceways until no more can move; returns whether any moved.
    fn spread(&mut self) -> bool {
        let mut any = false;
        while let Some((from, moved)) = self.next_move() {
            if let Some(closed) = self.routing.closed.get_mut(moved.run) {
                closed.insert(from);
            }
            self.routing.relay(moved.run, moved.way);
            self.weigh();
            any = true;
        }
        any
    }

    /// Closes a raceway to a run that has another route, whatever lies there.
    fn keep_out(&mut self, (run, raceway): Ban) {
        if let Some(closed) = self.routing.closed.get_mut(run) {
            closed.insert(raceway);
        }
        if let Some(way) = self.way_around(run, raceway) {
            self.routing.relay(run, way);
        }
    }

    /// The shortest route around a raceway through those that are open to a run, whatever lies there. None for a
    /// route set by hand.
    fn way_around(&self, run: usize, raceway: usize) -> Option<Way> {
        let (wanted, closed) = (self.runs.get(run)?, self.routing.closed.get(run)?);
        let may =
            |other: usize| other != raceway && !closed.contains(&other) && passes(self.map, wanted, other);
        if wanted.given.is_some() { None } else { self.map.shortest(wanted.between, may) }
    }

    /// Each run that has a route around a raceway that is over its limit, and each that takes the room on such a
    /// route.
    fn over_full(&self) -> Vec<Ban> {
        let most = MOST_AROUND / self.map.raceways().len().max(1);
        let over = (0..self.map.raceways().len()).filter(|raceway| self.is_over(*raceway));
        let inside = over.flat_map(|raceway| self.lying_in(raceway)).take(most);
        let mut bans: Vec<Ban> = Vec::new();
        let mut add = |(run, raceway): Ban| {
            let way = self.way_around(run, raceway).filter(|_| !bans.contains(&(run, raceway)))?;
            bans.push((run, raceway));
            Some(way)
        };
        let around: Vec<usize> = inside.filter_map(&mut add).flat_map(|way| way.raceways).collect();
        around.into_iter().flat_map(|raceway| self.lying_in(raceway)).take(most).for_each(|ban| {
            add(ban);
        });
        bans
    }

    fn lying_in(&self, raceway: usize) -> impl Iterator<Item = Ban> {
        self.routing.sharing(raceway).map(move |run| (run, raceway))
    }

    /// Adds up the known contents of each raceway.
    fn weigh(&mut self) {
        for (raceway, bulk) in self.bulks.iter_mut().enumerate() {
            let known = self.routing.sharing(raceway).filter_map(|run| self.girths.get(run)?.as_deref());
            *bulk = known.map(Bulk::of).fold(Bulk::default(), Bulk::add);
        }
    }

    /// The smallest detour out of the first full raceway that a run can leave.
    fn next_move(&mut self) -> Option<(usize, Move)> {
        let raceways = 0..self.map.raceways().len();
        let over: Vec<usize> = raceways.filter(|raceway| self.is_over(*raceway)).collect();
        over.into_iter().find_map(|raceway| {
            let sharing: Vec<usize> = self.routing.sharing(raceway).collect();
            let looks = sharing.len() * self.map.raceways().len();
            if looks > self.looks_left {
                self.is_spent = true;
                return None;
            }
            self.looks_left -= looks;
            let moves = sharing.into_iter().filter_map(|run| self.way_out(run, raceway));
            let least = moves.min_by(|one, other| {
                one.fits_alone.cmp(&other.fits_alone).then(one.detour_m.total_cmp(&other.detour_m))
            });
            least.map(|moved| (raceway, moved))
        })
    }

    /// Another route for a run that avoids a raceway and has room everywhere.
    fn way_out(&self, run: usize, full: usize) -> Option<Move> {
        let (wanted, bulk) = (self.runs.get(run)?, Bulk::of(self.girths.get(run)?.as_ref()?));
        let (now, closed) = (self.routing.ways.get(run)?.as_ref()?, self.routing.closed.get(run)?);
        if wanted.given.is_some() {
            return None;
        }
        let may = |raceway: usize| {
            raceway != full
                && !closed.contains(&raceway)
                && passes(self.map, wanted, raceway)
                && self.has_room(raceway, run, bulk)
        };
        let way = self.map.shortest(wanted.between, may)?;
        let meters = |way: &Way| way.length.map_or(f64::INFINITY, |length| length.get::<meter>());
        let (before, after) = (meters(now), meters(&way));
        // Between two routes of unknown length, no detour is known.
        let detour_m = if before.is_finite() { after - before } else { after };
        Some(Move { run, fits_alone: self.would_fit(full, bulk), detour_m, way })
    }

    fn bore(&self, raceway: usize) -> Option<Length> {
        match self.map.raceways().get(raceway)?.room {
            RacewayRoom::Bore(bore) => Some(bore),
            RacewayRoom::Open | RacewayRoom::Unknown | RacewayRoom::Shut => None,
        }
    }

    fn would_fit(&self, raceway: usize, bulk: Bulk) -> bool {
        self.bore(raceway).is_none_or(|bore| fill::takes(bore, bulk.count, bulk.room))
    }

    fn is_over(&self, raceway: usize) -> bool {
        self.bulks.get(raceway).is_some_and(|bulk| !self.would_fit(raceway, *bulk))
    }

    /// Whether a run fits a raceway together with its other contents. A run already in it is counted once.
    fn has_room(&self, raceway: usize, run: usize, bulk: Bulk) -> bool {
        let more = if self.routing.lies_in(run, raceway) { Bulk::default() } else { bulk };
        self.bulks.get(raceway).is_some_and(|lying| self.would_fit(raceway, *lying + more))
    }
}

/// The thicker of two girths, conductor by conductor. If they differ in kind, the one with the larger area.
fn thicker_of(one: &[Length], other: &[Length]) -> Vec<Length> {
    if one.len() == other.len() {
        return one.iter().zip(other).map(|(one, other)| one.max(*other)).collect();
    }
    let area = |girth: &[Length]| girth.iter().map(|diameter| *diameter * *diameter).sum::<Area>();
    if area(other) > area(one) { other.to_vec() } else { one.to_vec() }
}
