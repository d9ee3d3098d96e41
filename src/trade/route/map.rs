//! Locations and the raceways between them, and the shortest route from one to another.

use std::cmp::Ordering;
use std::ops::Add;

use foldhash::HashSet;
use petgraph::algo::astar;
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::{EdgeFiltered, EdgeRef};
use uom::si::f64::Length;
use uom::si::length::meter;

/// The capacity of a raceway.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RacewayRoom {
    /// An open raceway: no limit.
    Open,
    /// A tube or hole of this inner diameter.
    Bore(Length),
    /// A tube or hole whose inner diameter is not known: no wire is refused, and its fill is not checked.
    Unknown,
    /// A blocked raceway: no further wire goes through it.
    Shut,
}

/// A raceway between two locations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapRaceway {
    /// The two locations it joins, by number.
    pub between: [usize; 2],
    /// Its length, if it is known.
    pub length: Option<Length>,
    /// Its capacity.
    pub room: RacewayRoom,
}

/// The locations and raceways of a boat.
#[derive(Debug, Clone)]
pub struct Map {
    /// Nodes are locations; an edge carries the number of its raceway.
    graph: UnGraph<(), usize, usize>,
    raceways: Vec<MapRaceway>,
}

/// A route along raceways.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The raceways in order, by number.
    pub raceways: Vec<usize>,
    /// Their total length; `None` where one of them is not known.
    pub length: Option<Length>,
}

/// The cost of a route: a raceway of unknown length is used only where there is no other.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
struct Cost {
    unknown: u32,
    meters: f64,
}

impl Add for Cost {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { unknown: self.unknown + other.unknown, meters: self.meters + other.meters }
    }
}

impl Cost {
    fn order(self, other: Self) -> Ordering {
        self.unknown.cmp(&other.unknown).then(self.meters.total_cmp(&other.meters))
    }
}

impl MapRaceway {
    fn cost(&self) -> Cost {
        match self.length {
            Some(length) => Cost { unknown: 0, meters: length.get::<meter>() },
            None => Cost { unknown: 1, meters: 0.0 },
        }
    }

    /// The other of its two locations.
    pub fn beyond(&self, location: usize) -> Option<usize> {
        match self.between {
            [one, other] if one == location => Some(other),
            [one, other] if other == location => Some(one),
            _ => None,
        }
    }
}

impl Map {
    /// A map of this many locations, numbered from 0. A raceway to a location beyond them is on no route.
    pub fn new(locations: usize, raceways: Vec<MapRaceway>) -> Self {
        let mut graph = UnGraph::with_capacity(locations, raceways.len());
        for _ in 0..locations {
            graph.add_node(());
        }
        for (number, raceway) in raceways.iter().enumerate() {
            let [one, other] = raceway.between;
            if one < locations && other < locations {
                graph.add_edge(NodeIndex::new(one), NodeIndex::new(other), number);
            }
        }
        Self { graph, raceways }
    }

    /// The raceways, by number.
    pub fn raceways(&self) -> &[MapRaceway] {
        &self.raceways
    }

    /// The shortest route between two locations by open raceways for which `may` is true (Dijkstra). `None`
    /// where there is no route at all. Between a location and itself it is empty.
    pub fn shortest(&self, [from, to]: [usize; 2], may: impl Fn(usize) -> bool) -> Option<Way> {
        let may = |raceway| !self.is_shut(raceway) && may(raceway);
        let (start, goal) = (NodeIndex::new(from), NodeIndex::new(to));
        if from >= self.graph.node_count() || to >= self.graph.node_count() {
            return None;
        }
        let allowed = EdgeFiltered::from_fn(&self.graph, |edge| may(*edge.weight()));
        let cost = |raceway: usize| self.raceways.get(raceway).map(MapRaceway::cost).unwrap_or_default();
        let (_, locations) =
            astar(&allowed, start, |location| location == goal, |e| cost(*e.weight()), |_| Cost::default())?;
        let step = |ends: &[NodeIndex<usize>]| {
            let [here, there] = ends else { return None };
            let between = self.graph.edges_connecting(*here, *there).map(|edge| *edge.weight());
            let open = between.filter(|raceway| may(*raceway));
            open.min_by(|one, other| cost(*one).order(cost(*other)).then(one.cmp(other)))
        };
        Some(self.way(locations.windows(2).filter_map(step).collect()))
    }

    /// The raceways in order as a route with its length.
    pub fn way(&self, raceways: Vec<usize>) -> Way {
        let lengths = raceways.iter().map(|raceway| self.raceways.get(*raceway)?.length);
        let length = lengths.sum::<Option<Length>>();
        Way { raceways, length }
    }

    /// The locations along these raceways in order, the start first.
    ///
    /// # Errors
    ///
    /// The position in the list of the first raceway that does not begin where the one before it ends.
    pub fn walk(&self, start: usize, raceways: &[usize]) -> Result<Vec<usize>, usize> {
        let mut locations = vec![start];
        let mut here = start;
        for (at, number) in raceways.iter().enumerate() {
            here = self.raceways.get(*number).and_then(|raceway| raceway.beyond(here)).ok_or(at)?;
            locations.push(here);
        }
        Ok(locations)
    }

    /// Whether a raceway is blocked.
    pub fn is_shut(&self, raceway: usize) -> bool {
        self.raceways.get(raceway).is_some_and(|raceway| raceway.room == RacewayRoom::Shut)
    }

    /// All locations that can be reached from one, including itself.
    pub fn reached_from(&self, location: usize) -> HashSet<usize> {
        let mut reached = HashSet::from_iter([location]);
        let mut next = vec![location];
        while let Some(here) = next.pop() {
            if here >= self.graph.node_count() {
                continue;
            }
            let open = self.graph.edges(NodeIndex::new(here)).filter(|edge| !self.is_shut(*edge.weight()));
            for edge in open {
                let there = edge.target().index();
                if reached.insert(there) {
                    next.push(there);
                }
            }
        }
        reached
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raceway(one: usize, other: usize, meters: Option<f64>) -> MapRaceway {
        MapRaceway {
            between: [one, other],
            length: meters.map(Length::new::<meter>),
            room: RacewayRoom::Open,
        }
    }

    #[test]
    fn of_two_tubes_side_by_side_the_shorter_is_taken() {
        let map =
            Map::new(3, vec![raceway(0, 1, Some(3.0)), raceway(1, 0, Some(2.0)), raceway(1, 2, Some(1.0))]);
        let way = map.shortest([0, 2], |_| true).unwrap();
        assert_eq!((way.raceways, way.length.map(|length| length.value)), (vec![1, 2], Some(3.0)));
        assert_eq!(map.shortest([2, 0], |raceway| raceway != 1).unwrap().raceways, [2, 0]);
    }

    #[test]
    fn an_unmeasured_raceway_is_the_last_resort() {
        let map = Map::new(3, vec![raceway(0, 2, None), raceway(0, 1, Some(9.0)), raceway(1, 2, Some(9.0))]);
        assert_eq!(map.shortest([0, 2], |_| true).unwrap().raceways, [1, 2]);
        let only = map.shortest([0, 2], |raceway| raceway == 0).unwrap();
        assert_eq!((only.raceways, only.length), (vec![0], None));
    }

    #[test]
    fn a_walk_goes_on_from_where_it_is() {
        let map = Map::new(3, vec![raceway(0, 1, None), raceway(2, 1, None)]);
        assert_eq!(map.walk(0, &[0, 1]), Ok(vec![0, 1, 2]));
        assert_eq!(map.walk(0, &[1]), Err(0));
        assert_eq!(map.walk(0, &[0, 0, 1]), Err(2));
        assert_eq!(map.reached_from(2).len(), 3);
        assert!(map.shortest([0, 7], |_| true).is_none());
    }
}
