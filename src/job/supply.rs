//! How current gets from the sources to a point, and back: the feeders it passes.

use std::collections::{HashMap, HashSet, VecDeque};

use super::plan::{Circuit, Feeder, Plan, Polarity};
use super::point::{Kind, Point};
use super::value::PointId;

/// The feeders of a plan, ready to be followed.
#[derive(Debug)]
pub struct Supply<'a> {
    points: HashMap<&'a PointId, &'a Point>,
    /// Positive feeders by the point they go to.
    into: HashMap<&'a PointId, Vec<&'a Feeder>>,
    /// Negative feeders by the point they come from.
    out_of: HashMap<&'a PointId, Vec<&'a Feeder>>,
}

/// What lies between a point and the sources.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ways<'a> {
    /// The way with the fewest feeders, in the order the current takes; `None`: no way at all.
    pub shortest: Option<Vec<&'a Feeder>>,
    /// The source at the end of the shortest way.
    pub source: Option<&'a PointId>,
    /// Every feeder on any way.
    pub feeders: Vec<&'a Feeder>,
    /// Every point on any way, this one and the sources among them.
    pub points: Vec<&'a PointId>,
}

impl<'a> Supply<'a> {
    /// The feeders of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let mut supply = Self {
            points: plan.points.iter().map(|point| (&point.id, point)).collect(),
            into: HashMap::new(),
            out_of: HashMap::new(),
        };
        for feeder in plan.feeders.iter() {
            match feeder.polarity {
                Polarity::Positive => supply.into.entry(&feeder.to).or_default().push(feeder),
                Polarity::Negative => supply.out_of.entry(&feeder.from).or_default().push(feeder),
            }
        }
        supply
    }

    /// From the sources to a point of the positive side.
    pub fn to(&self, point: &'a PointId) -> Ways<'a> {
        self.follow(point, &self.into, |feeder| [&feeder.to, &feeder.from], |_| true)
    }

    /// From a point of the negative side back to the sources.
    pub fn back(&self, point: &'a PointId) -> Ways<'a> {
        self.back_to(point, |_| true)
    }

    /// The ways of a circuit's current out and back. It goes back to the sources that it came from, and to no
    /// other that shares a negative bar with them; where nothing feeds the circuit, to any.
    pub fn ways_of(&self, circuit: &'a Circuit) -> [Ways<'a>; 2] {
        let out = self.to(&circuit.from);
        let sources: HashSet<&PointId> =
            out.points.iter().copied().filter(|point| self.is_source(point)).collect();
        let back = self.back_to(&circuit.r#return, |point| sources.is_empty() || sources.contains(point));
        [out, back]
    }

    /// The feeders that a circuit's current passes on its way out and on its way back.
    pub fn of_circuit(&self, circuit: &'a Circuit) -> impl Iterator<Item = &'a Feeder> + use<'a> {
        self.ways_of(circuit).into_iter().flat_map(|ways| ways.feeders)
    }

    fn back_to(&self, point: &'a PointId, is_goal: impl Fn(&PointId) -> bool) -> Ways<'a> {
        let mut ways = self.follow(point, &self.out_of, |feeder| [&feeder.from, &feeder.to], is_goal);
        if let Some(way) = &mut ways.shortest {
            way.reverse();
        }
        ways
    }

    /// Breadth first, so that the way to the first battery met is the one with the fewest feeders. A
    /// source ends the search: what charges it is no way to the loads. A charger counts as the source
    /// only where there is no battery, and where there is one its feeders are on no way. What leads to sources alone that are no goal is on no way. `ends`: the end
    /// of a feeder nearer to the start of the search, and the one beyond.
    fn follow(
        &self,
        start: &'a PointId,
        next: &HashMap<&'a PointId, Vec<&'a Feeder>>,
        ends: fn(&'a Feeder) -> [&'a PointId; 2],
        is_goal: impl Fn(&PointId) -> bool,
    ) -> Ways<'a> {
        let mut ways = Ways::default();
        let mut reached_by = HashMap::from([(start, None)]);
        let mut used = HashSet::new();
        let mut barred = HashSet::new();
        let mut queue = VecDeque::from([start]);
        while let Some(point) = queue.pop_front() {
            if self.is_source(point) && !is_goal(point) {
                barred.insert(point);
                continue;
            }
            ways.points.push(point);
            if self.is_source(point) {
                let battery_for_charger =
                    self.is_battery(point) && !ways.source.is_some_and(|id| self.is_battery(id));
                if ways.source.is_none() || battery_for_charger {
                    ways.source = Some(point);
                    ways.shortest = Some(from_source(point, &reached_by));
                }
                continue;
            }
            let feeders = next.get(point).map(Vec::as_slice).unwrap_or_default();
            for feeder in feeders {
                if used.insert(&feeder.id) {
                    ways.feeders.push(feeder);
                }
                let [_, there] = ends(feeder);
                if !reached_by.contains_key(there) {
                    reached_by.insert(there, Some((*feeder, point)));
                    queue.push_back(there);
                }
            }
        }
        if ways.points.iter().any(|point| self.is_battery(point)) {
            barred.extend(
                ways.points.iter().copied().filter(|point| self.is_source(point) && !self.is_battery(point)),
            );
            ways.points.retain(|point| !barred.contains(point));
        }
        ways.keep_from(barred, start, ends);
        ways
    }

    fn kind(&self, point: &PointId) -> Option<Kind> {
        self.points.get(point).map(|point| point.body.kind())
    }

    fn is_source(&self, point: &PointId) -> bool {
        matches!(self.kind(point), Some(Kind::Battery | Kind::Charger))
    }

    fn is_battery(&self, point: &PointId) -> bool {
        self.kind(point) == Some(Kind::Battery)
    }
}

impl<'a> Ways<'a> {
    /// Leaves out the feeders that lead to barred points alone, and the points between.
    fn keep_from(
        &mut self,
        mut barred: HashSet<&'a PointId>,
        start: &PointId,
        ends: impl Fn(&'a Feeder) -> [&'a PointId; 2],
    ) {
        while !barred.is_empty() {
            let (gone, kept): (Vec<&Feeder>, Vec<&Feeder>) =
                self.feeders.iter().partition(|feeder| barred.contains(ends(feeder)[1]));
            let leads_on: HashSet<&PointId> = kept.iter().map(|feeder| ends(feeder)[0]).collect();
            let left = gone.into_iter().map(|feeder| ends(feeder)[0]);
            barred = left.filter(|point| *point != start && !leads_on.contains(point)).collect();
            self.points.retain(|point| !barred.contains(point));
            self.feeders = kept;
        }
    }
}

/// The feeders from a source that a search reached to where it started.
fn from_source<'a>(
    source: &'a PointId,
    reached_by: &HashMap<&'a PointId, Option<(&'a Feeder, &'a PointId)>>,
) -> Vec<&'a Feeder> {
    let mut way = Vec::new();
    let mut here = source;
    while let Some(Some((feeder, nearer))) = reached_by.get(here) {
        way.push(*feeder);
        here = nearer;
    }
    way
}
