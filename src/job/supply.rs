//! How current flows from the sources to a distribution point, and back: the feeders on its path.

use std::collections::VecDeque;

use foldhash::{HashMap, HashSet};

use super::plan::{Circuit, Feeder, Plan, Polarity};
use super::point::PointKind;
use super::value::PointId;

/// The feeders of a plan, indexed for searches. Inside, distribution points are numbers: their positions in the
/// plan.
#[derive(Debug)]
pub struct Supply<'a> {
    plan: &'a Plan,
    kinds: Vec<PointKind>,
    /// The feeders of each polarity that a search follows.
    positive: Leads<'a>,
    negative: Leads<'a>,
}

/// For each point, the feeders that lead from it towards the sources, each with its far end.
#[derive(Debug, Clone)]
struct Leads<'a> {
    on: Vec<Vec<(&'a Feeder, usize)>>,
    /// The feeders from each battery or battery switch to another, with the other end; on the negative side, from
    /// each source. Current can flow along these in both directions, regardless of the direction in the plan.
    jumpers: Vec<Vec<(&'a Feeder, usize)>>,
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
    /// The feeders on any path that end at this point, each with its other end.
    pub nearest: Vec<(&'a Feeder, &'a PointId)>,
    /// Every distribution point on any path, including this one and the sources.
    pub points: Vec<&'a PointId>,
}

impl<'a> Supply<'a> {
    /// The feeders of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let none = || vec![Vec::new(); plan.points.len()];
        let leads = || Leads { on: none(), jumpers: none() };
        let kinds = plan.points.iter().map(|point| point.body.kind()).collect();
        let mut supply = Self { plan, kinds, positive: leads(), negative: leads() };
        for feeder in &plan.feeders {
            supply.add(feeder);
        }
        supply
    }

    fn add(&mut self, feeder: &'a Feeder) {
        let ends = [&feeder.from, &feeder.to].map(|end| self.plan.points.position(end.as_str()));
        let [Some(from), Some(to)] = ends else { return };
        let is_jumper = match feeder.polarity {
            // Between two battery switches the current flows to the weaker battery.
            Polarity::Positive => runs_both_ways([from, to].map(|end| self.kinds.get(end).copied())),
            // An engine's block and a charger's negative post act as bars of the negative side.
            Polarity::Negative => self.is_source(from) && self.is_source(to),
        };
        let (leads, [here, there]) = match feeder.polarity {
            Polarity::Positive => (&mut self.positive, [to, from]),
            Polarity::Negative => (&mut self.negative, [from, to]),
        };
        let lists = if is_jumper { &mut leads.jumpers } else { &mut leads.on };
        let ways = [(here, there), (there, here)];
        for (near, far) in ways.into_iter().take(if is_jumper { 2 } else { 1 }) {
            lists.get_mut(near).into_iter().for_each(|list| list.push((feeder, far)));
        }
    }

    /// The paths from the sources to a point of the positive side.
    pub fn to(&self, point: &PointId) -> SupplyWays<'a> {
        self.follow(point, Polarity::Positive, &|_| true, true)
    }

    /// The paths from a point of the negative side back to the sources.
    pub fn back(&self, point: &PointId) -> SupplyWays<'a> {
        self.back_to(point, &|_| true, false)
    }

    /// The paths of a circuit's current out and back. It returns only to the sources that it came from, and not to
    /// others on the same negative bar. If nothing feeds the circuit, it returns to any source.
    pub fn ways_of(&self, circuit: &Circuit) -> [SupplyWays<'a>; 2] {
        let out = self.to(&circuit.from);
        let mut sources = vec![false; self.kinds.len()];
        let points = out.points.iter().filter_map(|point| self.plan.points.position(point.as_str()));
        points.filter(|point| self.is_source(*point)).for_each(|point| sources[point] = true);
        let many = sources.iter().filter(|is_one| **is_one).count();
        let back = self.back_to(&circuit.r#return, &|point| many == 0 || sources[point], many > 1);
        [out, back]
    }

    /// The feeders that a circuit's current passes, out and back.
    pub fn of_circuit(&self, circuit: &Circuit) -> impl Iterator<Item = &'a Feeder> + use<'a> {
        self.ways_of(circuit).into_iter().flat_map(|ways| ways.feeders)
    }

    fn back_to(
        &self,
        point: &PointId,
        is_goal: &dyn Fn(usize) -> bool,
        has_more_goals: bool,
    ) -> SupplyWays<'a> {
        let mut ways = self.follow(point, Polarity::Negative, is_goal, has_more_goals);
        if let Some(way) = &mut ways.shortest {
            way.reverse();
        }
        ways
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
        start: &PointId,
        polarity: Polarity,
        is_goal: &dyn Fn(usize) -> bool,
        has_more_goals: bool,
    ) -> SupplyWays<'a> {
        let Some(start) = self.plan.points.position(start.as_str()) else { return SupplyWays::default() };
        let leads = match polarity {
            Polarity::Positive => &self.positive,
            Polarity::Negative => &self.negative,
        };
        let mut search = Search::from(start, self.kinds.len());
        while let Some(point) = search.queue.pop_front() {
            search.points.push(point);
            let ends_here = self.is_source(point) && is_goal(point);
            if ends_here && search.source.is_none_or(|found| self.supplies(point) && !self.supplies(found)) {
                search.source = Some(point);
            }
            for &(feeder, far) in leads.on.get(point).into_iter().flatten().filter(|_| !ends_here) {
                search.step(Step { feeder, near: point, far });
            }
            for &(feeder, far) in leads.jumpers.get(point).into_iter().flatten() {
                if !ends_here || (has_more_goals && is_goal(far)) {
                    search.step(Step { feeder, near: point, far });
                }
            }
        }
        let has_supply = search.points.iter().any(|point| self.supplies(*point) && is_goal(*point));
        let counts = |point: usize| is_goal(point) && (!has_supply || self.supplies(point));
        let barred: Vec<usize> =
            search.points.iter().copied().filter(|at| self.is_source(*at) && !counts(*at)).collect();
        search.bar(start, barred);
        self.ways(start, search)
    }

    /// What a search found, with ids.
    fn ways(&self, start: usize, search: Search<'a>) -> SupplyWays<'a> {
        let id = |point: usize| self.plan.points.get(point).map(|point| &point.id);
        let kept = || search.steps.iter().zip(&search.kept).filter(|(_, kept)| **kept).map(|(step, _)| step);
        let mut known = HashSet::default();
        SupplyWays {
            shortest: search.source.map(|source| search.way_to(source)),
            source: search.source.and_then(id),
            feeders: kept()
                .map(|step| step.feeder)
                .filter(|one| known.insert(std::ptr::from_ref(*one)))
                .collect(),
            nearest: kept()
                .filter(|step| step.near == start)
                .filter_map(|step| Some((step.feeder, id(step.far)?)))
                .collect(),
            points: search
                .points
                .iter()
                .filter(|point| !search.barred[**point])
                .filter_map(|at| id(*at))
                .collect(),
        }
    }

    fn is_source(&self, point: usize) -> bool {
        self.kinds.get(point).is_some_and(|kind| kind.is_source())
    }

    fn supplies(&self, point: usize) -> bool {
        self.kinds.get(point).is_some_and(|kind| kind.supplies())
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
    near: usize,
    far: usize,
}

/// A search from a point towards the sources.
struct Search<'a> {
    points: Vec<usize>,
    steps: Vec<Step<'a>>,
    /// The step that first reached each point.
    reached_by: Vec<Option<Step<'a>>>,
    reached: Vec<bool>,
    queue: VecDeque<usize>,
    source: Option<usize>,
    /// Which steps are on a path, and which points are not.
    kept: Vec<bool>,
    barred: Vec<bool>,
}

impl<'a> Search<'a> {
    fn from(start: usize, points: usize) -> Self {
        let mut reached = vec![false; points];
        reached[start] = true;
        Self {
            points: Vec::new(),
            steps: Vec::new(),
            reached_by: vec![None; points],
            reached,
            queue: VecDeque::from([start]),
            source: None,
            kept: Vec::new(),
            barred: vec![false; points],
        }
    }

    fn step(&mut self, step: Step<'a>) {
        self.steps.push(step);
        if !std::mem::replace(&mut self.reached[step.far], true) {
            self.reached_by[step.far] = Some(step);
            self.queue.push_back(step.far);
        }
    }

    /// The feeders between a source and the start of the search.
    fn way_to(&self, source: usize) -> Vec<&'a Feeder> {
        let nearer = |step: &Step<'a>| self.reached_by[step.near];
        std::iter::successors(self.reached_by[source], nearer).map(|step| step.feeder).collect()
    }

    /// Leaves out points and the steps that lead only to them. A barred point that leads further stays.
    fn bar(&mut self, start: usize, mut next: Vec<usize>) {
        self.kept = vec![true; self.steps.len()];
        let mut leading_on = vec![0_usize; self.barred.len()];
        let mut coming: HashMap<usize, Vec<usize>> = HashMap::default();
        if next.is_empty() {
            return;
        }
        for (at, step) in self.steps.iter().enumerate() {
            leading_on[step.near] += 1;
            coming.entry(step.far).or_default().push(at);
        }
        while let Some(point) = next.pop() {
            if point == start || leading_on[point] > 0 || std::mem::replace(&mut self.barred[point], true) {
                continue;
            }
            for at in coming.remove(&point).unwrap_or_default() {
                self.kept[at] = false;
                leading_on[self.steps[at].near] -= 1;
                next.push(self.steps[at].near);
            }
        }
    }
}
