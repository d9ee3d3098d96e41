//! The charging paths: the feeders and points that carry the current of a charger or alternator to the
//! batteries and back.
//!
//! The path of a charger is every feeder of one polarity that can lead its current to a battery. It
//! continues past battery posts where a combiner or a jumper joins them. A feeder that ends only in a load
//! is not part of it. Current returns only to a battery that the charger reaches. Each of several parallel
//! paths is assumed to carry the whole current, as with loads.

use foldhash::{HashMap, HashSet};

use crate::job::plan::{Feeder, Plan, Polarity};
use crate::job::point::{Body, Point, PointKind};
use crate::job::value::{FeederId, PointId};

/// The feeders that end at each point.
pub(super) type FeedersAt<'a> = HashMap<&'a PointId, Vec<&'a Feeder>>;

/// Total charging current in amperes; `None` if one of the chargers states no rating.
pub(super) type Charge = Option<f64>;

/// The charging current of each feeder and point; those without any are left out.
#[derive(Debug, Default)]
pub(super) struct Charging<'a> {
    feeders: HashMap<&'a FeederId, Charge>,
    points: HashMap<&'a PointId, Charge>,
    /// The chargers whose current returns through each feeder.
    back: HashMap<&'a FeederId, Vec<&'a PointId>>,
    /// The chargers whose current passes each point, with what they give.
    passing: HashMap<&'a PointId, Vec<(&'a PointId, Charge)>>,
}

impl<'a> Charging<'a> {
    /// `meeting`: the feeders that end at each point, of either polarity.
    pub(super) fn of(plan: &'a Plan, meeting: &FeedersAt<'a>) -> Self {
        let mut charging = Self::default();
        let kinds: HashMap<&PointId, PointKind> =
            plan.points.iter().map(|point| (&point.id, point.body.kind())).collect();
        for charger in &plan.points {
            let Body::Charger(body) = &charger.body else { continue };
            let gives = body.rating_a.map(|rating| rating.number());
            let is_battery = |point: &PointId| kinds.get(point) == Some(&PointKind::Battery);
            // Another charger between two batteries limits the current through it, and has its own path.
            let out = way(meeting, charger, Polarity::Positive, is_battery, |point| {
                kinds.get(point) != Some(&PointKind::Charger)
            });
            let ends = out.iter().flat_map(|feeder| [&feeder.from, &feeder.to]);
            let charged: HashSet<&PointId> = ends.filter(|point| is_battery(point)).collect();
            let back = way(meeting, charger, Polarity::Negative, |point| charged.contains(point), |_| true);
            for point in passed(&out, &kinds) {
                charging.passing.entry(point).or_default().push((&charger.id, gives));
            }
            charging.add(gives, &out, &kinds);
            charging.add(gives, &back, &kinds);
            for feeder in back {
                charging.back.entry(&feeder.id).or_default().push(&charger.id);
            }
        }
        charging
    }

    /// The charging current through a feeder; `None` if no charger uses it.
    pub(super) fn through_feeder(&self, feeder: &FeederId) -> Option<Charge> {
        self.feeders.get(feeder).copied()
    }

    /// The chargers whose current returns through this feeder.
    pub(super) fn back_through(&self, feeder: &FeederId) -> &[&'a PointId] {
        self.back.get(feeder).map(Vec::as_slice).unwrap_or_default()
    }

    /// The charging current through a point; `None` if no charger uses it.
    pub(super) fn through_point(&self, point: &PointId) -> Option<Charge> {
        self.points.get(point).copied()
    }

    /// The sum of all chargers whose current passes any of these points; `None` if one states no rating.
    pub(super) fn of_chargers_at(&self, points: &[&PointId]) -> Charge {
        if self.passing.is_empty() {
            return Some(0.0);
        }
        let passing = points.iter().filter_map(|point| self.passing.get(point)).flatten().copied();
        passing.collect::<HashMap<_, _>>().into_values().sum()
    }

    fn add(&mut self, gives: Charge, way: &[&'a Feeder], kinds: &HashMap<&PointId, PointKind>) {
        let plus = |held: &mut Charge| *held = held.zip(gives).map(|(held, gives)| held + gives);
        for feeder in way {
            plus(self.feeders.entry(&feeder.id).or_insert(Some(0.0)));
        }
        for point in passed(way, kinds) {
            plus(self.points.entry(point).or_insert(Some(0.0)));
        }
    }
}

/// The points on a path, without the sources.
fn passed<'a>(way: &[&'a Feeder], kinds: &HashMap<&PointId, PointKind>) -> HashSet<&'a PointId> {
    let is_source = |point: &PointId| kinds.get(point).is_some_and(|kind| kind.is_source());
    way.iter().flat_map(|feeder| [&feeder.from, &feeder.to]).filter(|point| !is_source(point)).collect()
}

/// The feeders of one polarity that lead from a charger to batteries. `is_goal` selects the end points that
/// count; `leads_on` selects the points that the path may continue through.
fn way<'a>(
    meeting: &FeedersAt<'a>,
    charger: &'a Point,
    polarity: Polarity,
    is_goal: impl Fn(&PointId) -> bool,
    leads_on: impl Fn(&PointId) -> bool,
) -> Vec<&'a Feeder> {
    let (mut reached, mut next) = (HashSet::from_iter([&charger.id]), vec![&charger.id]);
    let mut way: HashMap<&FeederId, &Feeder> = HashMap::default();
    while let Some(here) = next.pop() {
        if *here != charger.id && !leads_on(here) {
            continue;
        }
        let met = meeting.get(here).into_iter().flatten();
        for feeder in met.copied().filter(|feeder| feeder.polarity == polarity) {
            way.insert(&feeder.id, feeder);
            next.extend([&feeder.from, &feeder.to].into_iter().filter(|end| reached.insert(end)));
        }
    }
    // Branches that end at neither the charger nor a battery carry no charging current.
    let mut meets: HashMap<&PointId, usize> = HashMap::default();
    for end in way.values().flat_map(|feeder| [&feeder.from, &feeder.to]) {
        *meets.entry(end).or_default() += 1;
    }
    let ends_a_way = |end: &PointId| *end == charger.id || is_goal(end);
    let mut dead: Vec<&PointId> =
        meets.iter().filter(|(end, many)| **many < 2 && !ends_a_way(end)).map(|(end, _)| *end).collect();
    while let Some(end) = dead.pop() {
        for feeder in meeting.get(end).into_iter().flatten().filter(|feeder| way.remove(&feeder.id).is_some())
        {
            let beyond = if feeder.from == *end { &feeder.to } else { &feeder.from };
            let left = meets.entry(beyond).or_default();
            *left = left.saturating_sub(1);
            if *left == 1 && !ends_a_way(beyond) {
                dead.push(beyond);
            }
        }
    }
    let ends = way.values().any(|feeder| is_goal(&feeder.from) || is_goal(&feeder.to));
    if ends { way.into_values().collect() } else { Vec::new() }
}
