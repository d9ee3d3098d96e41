//! Which batteries reach each end of a feeder by paths that do not use the feeder.
//!
//! A feeder on a loop parts nothing: all batteries joined to it reach both its ends. Only a *bridge* parts them,
//! a feeder that is the sole path between its two ends. One depth-first search finds all bridges (R. E. Tarjan, A
//! note on finding the bridges of a graph, 1974; from memory). It also puts the batteries in an order in which
//! those beyond a bridge are next to each other. So each answer is one range of that order, or all but one.

use std::ops::Range;

use crate::job::plan::{Plan, Polarity};
use crate::job::point::PointKind;

/// For each point the feeders that end there, each with its other end. Points and feeders are numbers: their positions
/// in the plan.
pub(super) type Meeting = Vec<Vec<(usize, usize)>>;

/// The points that feeders of one polarity join, with the batteries beyond each feeder.
#[derive(Debug)]
pub(super) struct Reach {
    /// Every battery, in the order of the search.
    batteries: Vec<usize>,
    /// For each point, the group of joined points that it belongs to.
    group: Vec<usize>,
    groups: Vec<Group>,
    /// For each point, the batteries that the search reached through it.
    below: Vec<Range<usize>>,
    /// For each bridge, the point that the search reached by it.
    beyond: Vec<Option<usize>>,
}

/// Points that feeders of one polarity join to each other.
#[derive(Debug, Default)]
struct Group {
    points: Vec<usize>,
    batteries: Range<usize>,
}

impl Reach {
    pub(super) fn of(plan: &Plan, meeting: &Meeting, polarity: Polarity) -> Self {
        let is_on_it = |(feeder, _): &&(usize, usize)| {
            plan.feeders.get(*feeder).is_some_and(|one| one.polarity == polarity)
        };
        let met: Meeting = meeting.iter().map(|met| met.iter().filter(is_on_it).copied().collect()).collect();
        let is_battery = |point: usize| {
            plan.points.get(point).is_some_and(|point| point.body.kind() == PointKind::Battery)
        };
        Search::new(&met, plan.feeders.len()).all(is_battery)
    }

    /// The batteries that reach one end of a feeder without it.
    pub(super) fn batteries_at(&self, feeder: usize, end: usize) -> impl Iterator<Item = usize> + '_ {
        let all = self.groups[self.group[end]].batteries.clone();
        let [first, second] = match self.beyond[feeder] {
            None => [all, 0..0],
            Some(beyond) => {
                let below = self.below[beyond].clone();
                if beyond == end { [below, 0..0] } else { [all.start..below.start, below.end..all.end] }
            }
        };
        self.batteries[first].iter().chain(&self.batteries[second]).copied()
    }

    /// The group of points that a point is joined to.
    pub(super) fn group(&self, point: usize) -> usize {
        self.group[point]
    }

    /// The points of each group.
    pub(super) fn groups(&self) -> impl Iterator<Item = &[usize]> {
        self.groups.iter().map(|group| group.points.as_slice())
    }
}

/// The depth-first search, with its own stack: a row of feeders may be as long as the plan allows.
struct Search<'m> {
    met: &'m [Vec<(usize, usize)>],
    /// When each point was reached, and the earliest point that a path around its bridge leads back to.
    reached: Vec<Option<usize>>,
    earliest: Vec<usize>,
    reach: Reach,
}

/// A point on the path from where the search began.
struct Visit {
    point: usize,
    /// The feeder and the point that the search came from.
    came_by: Option<(usize, usize)>,
    /// How many of its feeders were followed.
    followed: usize,
}

impl<'m> Search<'m> {
    fn new(met: &'m [Vec<(usize, usize)>], feeders: usize) -> Self {
        let points = met.len();
        let reach = Reach {
            batteries: Vec::new(),
            group: vec![0; points],
            groups: Vec::new(),
            below: vec![0..0; points],
            beyond: vec![None; feeders],
        };
        Self { met, reached: vec![None; points], earliest: vec![0; points], reach }
    }

    fn all(mut self, is_battery: impl Fn(usize) -> bool) -> Reach {
        let mut clock = 0;
        for start in 0..self.met.len() {
            if self.reached[start].is_none() {
                let first = self.reach.batteries.len();
                self.reach.groups.push(Group::default());
                self.from(start, &mut clock, &is_battery);
                if let Some(group) = self.reach.groups.last_mut() {
                    group.batteries = first..self.reach.batteries.len();
                }
            }
        }
        self.reach
    }

    fn from(&mut self, start: usize, clock: &mut usize, is_battery: &impl Fn(usize) -> bool) {
        let mut path = vec![self.enter(start, None, clock, is_battery)];
        while let Some(here) = path.last_mut() {
            let point = here.point;
            if let Some(&(feeder, far)) = self.met[point].get(here.followed) {
                here.followed += 1;
                let is_back = here.came_by.is_some_and(|(by, _)| by == feeder);
                match self.reached[far] {
                    None => path.push(self.enter(far, Some((feeder, point)), clock, is_battery)),
                    Some(when) if !is_back => self.earliest[point] = self.earliest[point].min(when),
                    Some(_) => {}
                }
            } else {
                let came_by = here.came_by;
                path.pop();
                self.leave(point, came_by);
            }
        }
    }

    fn enter(
        &mut self,
        point: usize,
        came_by: Option<(usize, usize)>,
        clock: &mut usize,
        is_battery: &impl Fn(usize) -> bool,
    ) -> Visit {
        (self.reached[point], self.earliest[point]) = (Some(*clock), *clock);
        *clock += 1;
        self.reach.group[point] = self.reach.groups.len() - 1;
        if let Some(group) = self.reach.groups.last_mut() {
            group.points.push(point);
        }
        self.reach.below[point].start = self.reach.batteries.len();
        if is_battery(point) {
            self.reach.batteries.push(point);
        }
        Visit { point, came_by, followed: 0 }
    }

    fn leave(&mut self, point: usize, came_by: Option<(usize, usize)>) {
        self.reach.below[point].end = self.reach.batteries.len();
        let Some((feeder, before)) = came_by else { return };
        self.earliest[before] = self.earliest[before].min(self.earliest[point]);
        if self.reached[before].is_some_and(|when| self.earliest[point] > when) {
            self.reach.beyond[feeder] = Some(point);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::collection::vec;
    use proptest::prelude::*;

    use super::*;

    const POINTS: usize = 9;

    /// The batteries that a plain search finds from a point without one of the feeders.
    fn searched(
        feeders: &[(usize, usize)],
        batteries: &[bool],
        start: usize,
        without: usize,
    ) -> BTreeSet<usize> {
        let mut reached = BTreeSet::from([start]);
        for _ in 0..POINTS {
            for (_, &(one, other)) in feeders.iter().enumerate().filter(|(number, _)| *number != without) {
                if reached.contains(&one) || reached.contains(&other) {
                    reached.extend([one, other]);
                }
            }
        }
        reached.into_iter().filter(|point| batteries[*point]).collect()
    }

    proptest! {
        #[test]
        fn the_batteries_at_an_end_are_those_of_a_plain_search(
            feeders in vec((0..POINTS, 0..POINTS), 0..14),
            batteries in vec(any::<bool>(), POINTS),
        ) {
            let mut met = vec![Vec::new(); POINTS];
            for (number, &(from, to)) in feeders.iter().enumerate() {
                met[from].push((number, to));
                met[to].push((number, from));
            }
            let reach = Search::new(&met, feeders.len()).all(|point| batteries[point]);
            for (number, &(from, to)) in feeders.iter().enumerate() {
                for end in [from, to] {
                    let found: Vec<usize> = reach.batteries_at(number, end).collect();
                    let each: BTreeSet<usize> = found.iter().copied().collect();
                    prop_assert_eq!(found.len(), each.len(), "one twice");
                    prop_assert_eq!(each, searched(&feeders, &batteries, end, number));
                }
            }
            for (one, other) in (0..POINTS).flat_map(|one| (0..POINTS).map(move |other| (one, other))) {
                let everywhere = vec![true; POINTS];
                let is_joined = searched(&feeders, &everywhere, one, usize::MAX).contains(&other);
                prop_assert_eq!(reach.group(one) == reach.group(other), is_joined);
            }
        }
    }
}
