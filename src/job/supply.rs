//! How current flows from the sources to a distribution point, and back: the feeders on its path.

use std::collections::{HashMap, HashSet, VecDeque};

use super::plan::{Circuit, Feeder, Plan, Polarity};
use super::point::{Point, PointKind};
use super::value::PointId;

/// The feeders of a plan, indexed for searches.
#[derive(Debug)]
pub struct Supply<'a> {
    points: HashMap<&'a PointId, &'a Point>,
    /// Positive feeders by the point they go to.
    into: HashMap<&'a PointId, Vec<&'a Feeder>>,
    /// Negative feeders by the point they come from.
    out_of: HashMap<&'a PointId, Vec<&'a Feeder>>,
    /// The feeders from each battery or battery switch to another, with the other end; on the negative side, from
    /// each source. Current can flow along these in both directions, regardless of the direction in the plan.
    jumpers: HashMap<(&'a PointId, Polarity), Vec<(&'a Feeder, &'a PointId)>>,
}

/// The paths between a distribution point and the sources.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SupplyWays<'a> {
    /// The path with the fewest feeders, in the direction of the current; `None` if there is no path.
    pub shortest: Option<Vec<&'a Feeder>>,
    /// The source at the end of the shortest path.
    pub source: Option<&'a PointId>,
    /// Every feeder on any path.
    pub feeders: Vec<&'a Feeder>,
    /// Every distribution point on any path, including this one and the sources.
    pub points: Vec<&'a PointId>,
}

impl<'a> Supply<'a> {
    /// The feeders of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let mut supply = Self {
            points: plan.points.iter().map(|point| (&point.id, point)).collect(),
            into: HashMap::new(),
            out_of: HashMap::new(),
            jumpers: HashMap::new(),
        };
        for feeder in plan.feeders.iter() {
            let is_jumper = match feeder.polarity {
                // Between two battery switches the current flows to the weaker battery.
                Polarity::Positive => runs_both_ways([&feeder.from, &feeder.to].map(|end| supply.kind(end))),
                // An engine's block and a charger's negative post act as bars of the negative side.
                Polarity::Negative => supply.is_source(&feeder.from) && supply.is_source(&feeder.to),
            };
            if is_jumper {
                for (here, there) in [(&feeder.from, &feeder.to), (&feeder.to, &feeder.from)] {
                    supply.jumpers.entry((here, feeder.polarity)).or_default().push((feeder, there));
                }
                continue;
            }
            match feeder.polarity {
                Polarity::Positive => supply.into.entry(&feeder.to).or_default().push(feeder),
                Polarity::Negative => supply.out_of.entry(&feeder.from).or_default().push(feeder),
            }
        }
        supply
    }

    /// The paths from the sources to a point of the positive side.
    pub fn to(&self, point: &'a PointId) -> SupplyWays<'a> {
        self.follow(point, Polarity::Positive, &|_| true, true)
    }

    /// The paths from a point of the negative side back to the sources.
    pub fn back(&self, point: &'a PointId) -> SupplyWays<'a> {
        self.back_to(point, &|_| true, false)
    }

    /// The paths of a circuit's current out and back. It returns only to the sources that it came from, and not to
    /// others on the same negative bar. If nothing feeds the circuit, it returns to any source.
    pub fn ways_of(&self, circuit: &'a Circuit) -> [SupplyWays<'a>; 2] {
        let out = self.to(&circuit.from);
        let sources: HashSet<&PointId> =
            out.points.iter().copied().filter(|point| self.is_source(point)).collect();
        let is_goal = |point: &PointId| sources.is_empty() || sources.contains(point);
        let back = self.back_to(&circuit.r#return, &is_goal, sources.len() > 1);
        [out, back]
    }

    /// The feeders that a circuit's current passes, out and back.
    pub fn of_circuit(&self, circuit: &'a Circuit) -> impl Iterator<Item = &'a Feeder> + use<'a> {
        self.ways_of(circuit).into_iter().flat_map(|ways| ways.feeders)
    }

    fn back_to(
        &self,
        point: &'a PointId,
        is_goal: &dyn Fn(&PointId) -> bool,
        has_more_goals: bool,
    ) -> SupplyWays<'a> {
        let mut ways = self.follow(point, Polarity::Negative, is_goal, has_more_goals);
        if let Some(way) = &mut ways.shortest {
            way.reverse();
        }
        ways
    }

    /// The feeders from a distribution point towards the sources, each with its far end.
    fn leading_on(&self, point: &'a PointId, polarity: Polarity) -> Vec<(&'a Feeder, &'a PointId)> {
        let written = match polarity {
            Polarity::Positive => self.into.get(point),
            Polarity::Negative => self.out_of.get(point),
        };
        let beyond = |feeder: &'a Feeder| match polarity {
            Polarity::Positive => &feeder.from,
            Polarity::Negative => &feeder.to,
        };
        written.into_iter().flatten().map(|feeder| (*feeder, beyond(feeder))).collect()
    }

    /// The search is breadth first, so the path to the first battery found has the fewest feeders.
    ///
    /// A source that is a goal ends the search, because the feeders that charge it do not supply the loads. Only
    /// jumpers to other sources are followed if there are more goals. The negative post of a source that is not a
    /// goal acts as a bar.
    ///
    /// A charger counts as the source only if there is no battery; otherwise its feeders are on no path. Feeders
    /// that lead to no goal are on no path.
    fn follow(
        &self,
        start: &'a PointId,
        polarity: Polarity,
        is_goal: &dyn Fn(&PointId) -> bool,
        has_more_goals: bool,
    ) -> SupplyWays<'a> {
        let mut ways = SupplyWays::default();
        let mut reached_by = HashMap::from([(start, None)]);
        let mut steps: Vec<Step<'_>> = Vec::new();
        let mut queue = VecDeque::from([start]);
        while let Some(point) = queue.pop_front() {
            ways.points.push(point);
            let ends_here = self.is_source(point) && is_goal(point);
            if ends_here {
                let battery_for_charger =
                    self.supplies(point) && !ways.source.is_some_and(|id| self.supplies(id));
                if ways.source.is_none() || battery_for_charger {
                    ways.source = Some(point);
                    ways.shortest = Some(from_source(point, &reached_by));
                }
            }
            let jumpers = self.jumpers.get(&(point, polarity)).into_iter().flatten().copied();
            let next: Vec<(&Feeder, &PointId)> = match (ends_here, has_more_goals) {
                (true, true) => jumpers.filter(|(_, there)| is_goal(there)).collect(),
                (true, false) => Vec::new(),
                (false, _) => self.leading_on(point, polarity).into_iter().chain(jumpers).collect(),
            };
            for (feeder, there) in next {
                steps.push(Step { feeder, near: point, far: there });
                if !reached_by.contains_key(there) {
                    reached_by.insert(there, Some((feeder, point)));
                    queue.push_back(there);
                }
            }
        }
        let has_supply = ways.points.iter().any(|point| self.supplies(point) && is_goal(point));
        let counts = |point: &PointId| is_goal(point) && (!has_supply || self.supplies(point));
        let barred = ways.points.iter().copied().filter(|point| self.is_source(point) && !counts(point));
        ways.keep_from(barred.collect(), start, steps);
        ways
    }

    fn kind(&self, point: &PointId) -> Option<PointKind> {
        self.points.get(point).map(|point| point.body.kind())
    }

    fn is_source(&self, point: &PointId) -> bool {
        self.kind(point).is_some_and(PointKind::is_source)
    }

    fn supplies(&self, point: &PointId) -> bool {
        self.kind(point).is_some_and(PointKind::supplies)
    }
}

/// Whether a positive feeder between these kinds of distribution points can carry current in both directions.
pub fn runs_both_ways(ends: [Option<PointKind>; 2]) -> bool {
    ends == [Some(PointKind::Battery); 2] || ends == [Some(PointKind::BatterySwitch); 2]
}

/// A feeder in the direction in which a search followed it.
#[derive(Clone, Copy)]
struct Step<'a> {
    feeder: &'a Feeder,
    near: &'a PointId,
    far: &'a PointId,
}

impl<'a> SupplyWays<'a> {
    /// Adds the feeders of the steps, without those that lead only to barred points, and removes the points
    /// between. A barred point that leads further is not barred.
    fn keep_from(&mut self, mut barred: HashSet<&'a PointId>, start: &PointId, mut steps: Vec<Step<'a>>) {
        loop {
            let lead_on: HashSet<&PointId> = steps.iter().map(|step| step.near).collect();
            barred.retain(|point| *point != start && !lead_on.contains(point));
            let (gone, kept): (Vec<_>, Vec<_>) =
                steps.into_iter().partition(|step| barred.contains(step.far));
            steps = kept;
            self.points.retain(|point| !barred.contains(point));
            if gone.is_empty() {
                break;
            }
            barred = gone.into_iter().map(|step| step.near).collect();
        }
        let mut kept = HashSet::new();
        self.feeders = steps.iter().map(|step| step.feeder).filter(|one| kept.insert(&one.id)).collect();
    }
}

/// The feeders between a source that the search reached and the start of the search.
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
