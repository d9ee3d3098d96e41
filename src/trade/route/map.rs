//! Places and the passages between them, and the shortest way from one to another.

use std::cmp::Ordering;
use std::collections::HashSet;
use std::ops::Add;

use petgraph::algo::astar;
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::{EdgeFiltered, EdgeRef};
use uom::si::f64::Length;
use uom::si::length::meter;

/// How much wire a passage takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Room {
    /// An open way: as much as is laid in it.
    Open,
    /// A tube or hole of this inner diameter.
    Bore(Length),
    /// A tube or hole whose inner diameter is not known: nothing is turned away from it, nothing is judged.
    Unknown,
    /// A blocked way: nothing more goes through it.
    Shut,
}

/// A way between two places that wire can take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// The two places it joins, by number.
    pub between: [usize; 2],
    /// Its length, if it is known.
    pub length: Option<Length>,
    /// How much it takes.
    pub room: Room,
}

/// The places and passages of a boat.
#[derive(Debug, Clone)]
pub struct Map {
    /// Nodes are places; an edge carries the number of its passage.
    graph: UnGraph<(), usize, usize>,
    passages: Vec<Passage>,
}

/// A way along passages.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The passages in order, by number.
    pub passages: Vec<usize>,
    /// Their lengths together; none where one of them is not known.
    pub length: Option<Length>,
}

/// What a way costs: a passage of unknown length is taken only where there is no other.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
struct Cost {
    unknown: u32,
    metres: f64,
}

impl Add for Cost {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { unknown: self.unknown + other.unknown, metres: self.metres + other.metres }
    }
}

impl Cost {
    fn order(self, other: Self) -> Ordering {
        self.unknown.cmp(&other.unknown).then(self.metres.total_cmp(&other.metres))
    }
}

impl Passage {
    fn cost(&self) -> Cost {
        match self.length {
            Some(length) => Cost { unknown: 0, metres: length.get::<meter>() },
            None => Cost { unknown: 1, metres: 0.0 },
        }
    }

    /// The other of its two places.
    pub fn beyond(&self, place: usize) -> Option<usize> {
        match self.between {
            [one, other] if one == place => Some(other),
            [one, other] if other == place => Some(one),
            _ => None,
        }
    }
}

impl Map {
    /// A map of so many places, numbered from 0. A passage to a place beyond them is on no way.
    pub fn new(places: usize, passages: Vec<Passage>) -> Self {
        let mut graph = UnGraph::with_capacity(places, passages.len());
        for _ in 0..places {
            graph.add_node(());
        }
        for (number, passage) in passages.iter().enumerate() {
            let [one, other] = passage.between;
            if one < places && other < places {
                graph.add_edge(NodeIndex::new(one), NodeIndex::new(other), number);
            }
        }
        Self { graph, passages }
    }

    /// The passages, by number.
    pub fn passages(&self) -> &[Passage] {
        &self.passages
    }

    /// The shortest way between two places by open passages that `may` be taken (Dijkstra); none where there
    /// is no way at all. Between a place and itself it is empty.
    pub fn shortest(&self, [from, to]: [usize; 2], may: impl Fn(usize) -> bool) -> Option<Way> {
        let may = |passage| !self.is_shut(passage) && may(passage);
        let (start, goal) = (NodeIndex::new(from), NodeIndex::new(to));
        if from >= self.graph.node_count() || to >= self.graph.node_count() {
            return None;
        }
        let allowed = EdgeFiltered::from_fn(&self.graph, |edge| may(*edge.weight()));
        let cost = |passage: usize| self.passages.get(passage).map(Passage::cost).unwrap_or_default();
        let (_, places) =
            astar(&allowed, start, |place| place == goal, |e| cost(*e.weight()), |_| Cost::default())?;
        let step = |ends: &[NodeIndex<usize>]| {
            let [here, there] = ends else { return None };
            let between = self.graph.edges_connecting(*here, *there).map(|edge| *edge.weight());
            let open = between.filter(|passage| may(*passage));
            open.min_by(|one, other| cost(*one).order(cost(*other)).then(one.cmp(other)))
        };
        Some(self.way(places.windows(2).filter_map(step).collect()))
    }

    /// Passages in order as a way with its length.
    pub fn way(&self, passages: Vec<usize>) -> Way {
        let lengths = passages.iter().map(|passage| self.passages.get(*passage)?.length);
        let length = lengths.sum::<Option<Length>>();
        Way { passages, length }
    }

    /// The places that a walk along these passages comes to, its start first; `Err`: the passage, by its
    /// place in the list, that does not go on from where the one before it ends.
    ///
    /// # Errors
    ///
    /// The place in the list.
    pub fn walk(&self, start: usize, passages: &[usize]) -> Result<Vec<usize>, usize> {
        let mut places = vec![start];
        let mut here = start;
        for (at, number) in passages.iter().enumerate() {
            here = self.passages.get(*number).and_then(|passage| passage.beyond(here)).ok_or(at)?;
            places.push(here);
        }
        Ok(places)
    }

    /// Whether nothing more goes through a passage.
    pub fn is_shut(&self, passage: usize) -> bool {
        self.passages.get(passage).is_some_and(|passage| passage.room == Room::Shut)
    }

    /// All places that can be reached from one, itself among them.
    pub fn reached_from(&self, place: usize) -> HashSet<usize> {
        let mut reached = HashSet::from([place]);
        let mut next = vec![place];
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

    fn passage(one: usize, other: usize, metres: Option<f64>) -> Passage {
        Passage { between: [one, other], length: metres.map(Length::new::<meter>), room: Room::Open }
    }

    #[test]
    fn of_two_tubes_side_by_side_the_shorter_is_taken() {
        let map =
            Map::new(3, vec![passage(0, 1, Some(3.0)), passage(1, 0, Some(2.0)), passage(1, 2, Some(1.0))]);
        let way = map.shortest([0, 2], |_| true).unwrap();
        assert_eq!((way.passages, way.length.map(|length| length.value)), (vec![1, 2], Some(3.0)));
        assert_eq!(map.shortest([2, 0], |passage| passage != 1).unwrap().passages, [2, 0]);
    }

    #[test]
    fn an_unmeasured_passage_is_the_last_resort() {
        let map = Map::new(3, vec![passage(0, 2, None), passage(0, 1, Some(9.0)), passage(1, 2, Some(9.0))]);
        assert_eq!(map.shortest([0, 2], |_| true).unwrap().passages, [1, 2]);
        let only = map.shortest([0, 2], |passage| passage == 0).unwrap();
        assert_eq!((only.passages, only.length), (vec![0], None));
    }

    #[test]
    fn a_walk_goes_on_from_where_it_is() {
        let map = Map::new(3, vec![passage(0, 1, None), passage(2, 1, None)]);
        assert_eq!(map.walk(0, &[0, 1]), Ok(vec![0, 1, 2]));
        assert_eq!(map.walk(0, &[1]), Err(0));
        assert_eq!(map.walk(0, &[0, 0, 1]), Err(2));
        assert_eq!(map.reached_from(2).len(), 3);
        assert!(map.shortest([0, 7], |_| true).is_none());
    }
}
