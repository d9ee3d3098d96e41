//! The data that all checks of one plan share.

use std::cell::Cell;
use std::rc::Rc;

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Ratio, ThermodynamicTemperature};
use uom::si::length::meter;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::charging::{Charging, FeedersAt};
use super::needed::Needed;
use super::reach::{Meeting, Reach};
use super::short_time::ShortTime;
use crate::job::finding::Finding;
use crate::job::plan::{Circuit, Device, Feeder, Plan, Polarity};
use crate::job::point::{Point, PointKind};
use crate::job::side::Sides;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::supply::{Supply, SupplyWays};
use crate::job::value::{DeviceId, InsulationC, LocationId, PointId};
use crate::job::wiring::Conductors;
use crate::trade;
use crate::trade::drop;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::insulation::Insulation;
use crate::trade::minimum::Laying;
use crate::trade::say::say;

/// The plan with its indexes, and the findings so far.
pub(super) struct CheckContext<'a> {
    pub(super) plan: &'a Plan,
    pub(super) conductors: &'a Conductors,
    /// What the network needs of the sizes and ratings that the program chooses.
    pub(super) needed: &'a Needed,
    pub(super) findings: Vec<Finding>,
    index: Rc<Index<'a>>,
    /// How many steps of routes may still be listed, and whether there were too few.
    steps_left: Cell<usize>,
    is_spent: Cell<bool>,
    /// The same for the points of searches along feeders.
    points_left: Cell<usize>,
    is_search_spent: Cell<bool>,
}

/// The work budget of the routes in the report: their steps together.
const MOST_STEPS: usize = 1_000_000;
/// The work budget of the searches along feeders: points reached, over all searches.
const MOST_POINTS: usize = 10_000_000;

/// The parts of a plan that do not depend on conductor lengths or sizes: locations, and the paths that
/// currents take.
pub(super) struct Index<'a> {
    charging: Charging<'a>,
    short_time: ShortTime<'a>,
    points: HashMap<&'a PointId, &'a Point>,
    devices: HashMap<&'a DeviceId, &'a Device>,
    /// The feeders that end at a point, of either polarity.
    meeting: FeedersAt<'a>,
    /// The same by their positions in the plan: for each point its feeders, each with its other end.
    meeting_at: Meeting,
    /// The posts and bars of each side at a location. A source has a post of each, and counts as negative.
    negatives_at: PointsAt<'a>,
    positives_at: PointsAt<'a>,
    /// What feeders join, on each side.
    positive: Reach,
    negative: Reach,
    ways_to: HashMap<&'a PointId, SupplyWays<'a>>,
    ways_back: HashMap<&'a PointId, SupplyWays<'a>>,
    /// The supply paths of the circuits between two points, out and back.
    ways_of: HashMap<[Option<usize>; 2], [SupplyWays<'a>; 2]>,
    sides: Sides<'a>,
}

/// Points by location, in the order of the plan.
type PointsAt<'a> = HashMap<&'a LocationId, Vec<&'a PointId>>;

/// Points that feeders join to each other.
pub(super) struct JoinedPoints<'a> {
    plan: &'a Plan,
    is_in: Vec<bool>,
    /// Their positions in the plan, the nearest first.
    list: Vec<usize>,
}

impl<'a> JoinedPoints<'a> {
    /// Whether a point is one of them.
    pub(super) fn contains(&self, point: &PointId) -> bool {
        let at = self.plan.points.position(point.as_str());
        at.and_then(|at| self.is_in.get(at)).is_some_and(|is_in| *is_in)
    }

    /// The points themselves.
    pub(super) fn points(&self) -> impl Iterator<Item = &'a Point> + use<'_, 'a> {
        let plan = self.plan;
        self.list.iter().filter_map(move |at| plan.points.get(*at))
    }

    /// Their ids.
    pub(super) fn ids(&self) -> impl Iterator<Item = &'a PointId> + use<'_, 'a> {
        self.points().map(|point| &point.id)
    }
}

impl<'a> Index<'a> {
    pub(super) fn of(plan: &'a Plan) -> Rc<Self> {
        let supply = Supply::of(plan);
        let ids = || plan.points.iter().map(|point| &point.id);
        let mut meeting: FeedersAt<'_> = HashMap::default();
        for feeder in &plan.feeders {
            meeting.entry(&feeder.from).or_default().push(feeder);
            meeting.entry(&feeder.to).or_default().push(feeder);
        }
        let mut meeting_at = vec![Vec::new(); plan.points.len()];
        for (number, feeder) in plan.feeders.iter().enumerate() {
            let ends = [&feeder.from, &feeder.to].map(|end| plan.points.position(end.as_str()));
            if let [Some(from), Some(to)] = ends {
                meeting_at[from].push((number, to));
                meeting_at[to].push((number, from));
            }
        }
        let [positive, negative] =
            [Polarity::Positive, Polarity::Negative].map(|side| Reach::of(plan, &meeting_at, side));
        let mut ways_of = HashMap::default();
        for circuit in &plan.circuits {
            ways_of.entry(ends_of(plan, circuit)).or_insert_with(|| supply.ways_of(circuit));
        }
        let ways_to: HashMap<_, _> = ids().map(|id| (id, supply.to(id))).collect();
        let known = plan.circuits.iter();
        let known = known.filter_map(|circuit| Some((circuit, ways_of.get(&ends_of(plan, circuit))?)));
        let sides = Sides::along(plan, known, |point| ways_to.get(point).and_then(|ways| ways.source));
        Rc::new(Self {
            sides,
            charging: Charging::of(plan, &meeting),
            short_time: ShortTime::of(plan),
            points: plan.points.iter().map(|point| (&point.id, point)).collect(),
            devices: plan.devices.iter().map(|device| (&device.id, device)).collect(),
            meeting,
            meeting_at,
            negatives_at: points_at(plan, |kind| kind.is_source() || kind == PointKind::NegativeBus),
            positives_at: points_at(plan, |kind| !kind.is_source() && kind != PointKind::NegativeBus),
            positive,
            negative,
            ways_to,
            ways_back: ids().map(|id| (id, supply.back(id))).collect(),
            ways_of,
        })
    }
}

impl<'a> CheckContext<'a> {
    pub(super) fn new(
        plan: &'a Plan,
        conductors: &'a Conductors,
        index: Rc<Index<'a>>,
        needed: &'a Needed,
    ) -> Self {
        let (steps_left, is_spent) = (Cell::new(MOST_STEPS), Cell::new(false));
        let (points_left, is_search_spent) = (Cell::new(MOST_POINTS), Cell::new(false));
        let findings = Vec::new();
        Self { plan, conductors, needed, findings, index, steps_left, is_spent, points_left, is_search_spent }
    }

    /// The charging current of feeders and points.
    pub(super) fn charging(&self) -> &Charging<'a> {
        &self.index.charging
    }

    /// The circuits that are on for a short time only.
    pub(super) fn short_time(&self) -> &ShortTime<'a> {
        &self.index.short_time
    }

    pub(super) fn say(&mut self, subject: Subject, finding: trade::finding::RuleFinding) {
        self.findings.push(Finding::about(subject, finding));
    }

    /// Reports that a calculation is left out because the plan is too large for it.
    pub(super) fn say_spent(&mut self, what: &'static str) {
        let text = say!(
            "Too much is joined in this plan for {}. Nothing that depends on it is checked. Divide the wiring.",
            what
        );
        self.say(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::WorkLimit, text));
    }

    /// The feeders of a route, to be listed; none if the routes before were too long.
    pub(super) fn listed<'r>(&self, feeders: Option<&'r [&'a Feeder]>) -> &'r [&'a Feeder] {
        let feeders = feeders.unwrap_or_default();
        match self.steps_left.get().checked_sub(feeders.len()) {
            Some(left) => {
                self.steps_left.set(left);
                feeders
            }
            None => {
                self.is_spent.set(true);
                &[]
            }
        }
    }

    /// Reports routes that are not listed, and searches that were not made.
    pub(super) fn say_left_out(&mut self) {
        if self.is_spent.get() {
            self.say_spent("the route of every feeder");
        }
        if self.is_search_spent.get() {
            self.say_spent("which batteries reach each conductor, and by which protection");
        }
    }

    /// Takes so many points from the work budget of searches; `false` if too few are left.
    pub(super) fn may_search(&self, points: usize) -> bool {
        let left = self.points_left.get().checked_sub(points);
        self.points_left.set(left.unwrap_or(0));
        self.is_search_spent.set(self.is_search_spent.get() || left.is_none());
        left.is_some()
    }

    /// The negative posts and bars at a location.
    pub(super) fn negatives_at(&self, location: &LocationId) -> &[&'a PointId] {
        self.index.negatives_at.get(location).map(Vec::as_slice).unwrap_or_default()
    }

    /// The switches, blocks, panels and bars of the positive side at a location.
    pub(super) fn positives_at(&self, location: &LocationId) -> &[&'a PointId] {
        self.index.positives_at.get(location).map(Vec::as_slice).unwrap_or_default()
    }

    pub(super) fn say_all(
        &mut self,
        subject: &Subject,
        findings: impl IntoIterator<Item = trade::finding::RuleFinding>,
    ) {
        let about = |finding| Finding::about(subject.clone(), finding);
        self.findings.extend(findings.into_iter().map(about));
    }

    /// Whether this subject already has the same finding.
    pub(super) fn has_said(&self, subject: &Subject, finding: &trade::finding::RuleFinding) -> bool {
        let is_same = |said: &&Finding| said.code == finding.code && said.text == finding.text;
        self.findings.iter().filter(is_same).any(|said| said.subject == *subject)
    }

    pub(super) fn point(&self, id: &PointId) -> Option<&'a Point> {
        self.index.points.get(id).copied()
    }

    pub(super) fn kind(&self, id: &PointId) -> Option<PointKind> {
        self.point(id).map(|point| point.body.kind())
    }

    pub(super) fn device(&self, id: &DeviceId) -> Option<&'a Device> {
        self.index.devices.get(id).copied()
    }

    /// The paths from the sources to a point.
    pub(super) fn ways_to(&self, point: &PointId) -> Option<&SupplyWays<'a>> {
        self.index.ways_to.get(point)
    }

    /// The paths from a point back to the sources.
    pub(super) fn ways_back(&self, point: &PointId) -> Option<&SupplyWays<'a>> {
        self.index.ways_back.get(point)
    }

    /// The paths of a circuit's current, out and back.
    pub(super) fn ways_of(&self, circuit: &Circuit) -> &[SupplyWays<'a>] {
        let between = ends_of(self.plan, circuit);
        self.index.ways_of.get(&between).map(<[_; 2]>::as_slice).unwrap_or_default()
    }

    /// The points that feeders join to this one, itself included. `along` selects the feeders that count.
    pub(super) fn joined(&self, start: &PointId, along: impl Fn(&Feeder) -> bool) -> JoinedPoints<'a> {
        let points = &self.plan.points;
        let mut joined = JoinedPoints { plan: self.plan, is_in: vec![false; points.len()], list: Vec::new() };
        let Some(start) = points.position(start.as_str()) else { return joined };
        joined.is_in[start] = true;
        joined.list.push(start);
        let mut at = 0;
        while let Some(here) = joined.list.get(at).copied().filter(|_| self.may_search(1)) {
            at += 1;
            let met = self.index.meeting_at.get(here).map(Vec::as_slice).unwrap_or_default();
            for &(feeder, there) in met {
                if !joined.is_in[there] && self.plan.feeders.get(feeder).is_some_and(&along) {
                    joined.is_in[there] = true;
                    joined.list.push(there);
                }
            }
        }
        joined
    }

    /// A property, such as protection, of the nearest feeder that has one. It looks on each path from a
    /// battery to a point. The entry is `None` for a path without such a feeder.
    pub(super) fn nearest_before<T>(
        &self,
        point: &PointId,
        has: impl Fn(&'a Feeder) -> Option<T>,
    ) -> Vec<Option<T>> {
        let (mut found, mut seen, mut next) = (Vec::new(), HashSet::default(), vec![point]);
        while let Some(here) = next.pop() {
            let nearest = self.ways_to(here).map(|ways| ways.nearest.as_slice()).unwrap_or_default();
            // A battery feeds its outgoing conductors through nothing else, even if other sources also
            // reach its posts.
            let is_battery = self.kind(here) == Some(PointKind::Battery);
            let into = if is_battery { &[] } else { nearest };
            // A search that its budget cuts off counts as a path without such a feeder.
            if !self.may_search(1 + into.len()) {
                found.push(None);
                break;
            }
            if into.is_empty() {
                found.push(None);
            }
            for &(feeder, before) in into {
                match has(feeder) {
                    Some(own) => found.push(Some(own)),
                    None if seen.insert(&feeder.id) => next.push(before),
                    None => {}
                }
            }
        }
        found
    }

    /// The feeders that end at a point, of either polarity.
    pub(super) fn feeders_at(&self, point: &PointId) -> &[&'a Feeder] {
        self.index.meeting.get(point).map(Vec::as_slice).unwrap_or_default()
    }

    /// Whether only batteries are upstream of a switch.
    pub(super) fn disconnects_batteries(&self, switch: &PointId) -> bool {
        let mut into = self.feeders_at(switch).iter().filter(|feeder| feeder.to == *switch).peekable();
        into.peek().is_some() && into.all(|feeder| self.kind(&feeder.from) == Some(PointKind::Battery))
    }

    /// The batteries among points.
    pub(super) fn batteries(&self, points: JoinedPoints<'a>) -> Vec<&'a PointId> {
        let batteries = points.points().filter(|point| point.body.kind() == PointKind::Battery);
        batteries.map(|point| &point.id).collect()
    }

    fn reach(&self, polarity: Polarity) -> &Reach {
        match polarity {
            Polarity::Positive => &self.index.positive,
            Polarity::Negative => &self.index.negative,
        }
    }

    /// The points that feeders of one polarity join to each other, group by group, each in the order of the plan.
    pub(super) fn groups(&self, polarity: Polarity) -> Vec<Vec<&'a Point>> {
        let plan = self.plan;
        let in_order = |points: &[usize]| {
            let mut points = points.to_vec();
            points.sort_unstable();
            points.into_iter().filter_map(|at| plan.points.get(at)).collect()
        };
        self.reach(polarity).groups().map(in_order).collect()
    }

    /// The group of points that feeders of one polarity join to a point.
    pub(super) fn group_of(&self, point: &PointId, polarity: Polarity) -> Option<usize> {
        Some(self.reach(polarity).group(self.plan.points.position(point.as_str())?))
    }

    /// The batteries that are joined to another battery on the positive side, in the order of the plan.
    pub(super) fn joined_batteries(&self) -> Vec<&'a PointId> {
        let is_battery = |point: &&&Point| point.body.kind() == PointKind::Battery;
        let groups = self.groups(Polarity::Positive).into_iter();
        let several = groups.filter(|group| group.iter().filter(is_battery).count() > 1).flatten();
        let mut joined: Vec<&Point> = several.filter(|point| is_battery(&point)).collect();
        joined.sort_by_key(|battery| self.plan.points.position(battery.id.as_str()));
        joined.into_iter().map(|battery| &battery.id).collect()
    }

    /// The batteries that reach one end of a feeder on its side, by a path that does not use the feeder.
    pub(super) fn batteries_at(&self, feeder: &Feeder, end: &PointId) -> impl Iterator<Item = &'a PointId> {
        let plan = self.plan;
        let at = (plan.feeders.position(feeder.id.as_str()), plan.points.position(end.as_str()));
        let batteries = match at {
            (Some(feeder_at), Some(end)) => Some(self.reach(feeder.polarity).batteries_at(feeder_at, end)),
            _ => None,
        };
        batteries.into_iter().flatten().filter_map(|at| plan.points.get(at)).map(|point| &point.id)
    }

    /// Whether a battery reaches one end of a feeder without it.
    pub(super) fn has_battery_at(&self, feeder: &Feeder, end: &PointId) -> bool {
        self.batteries_at(feeder, end).next().is_some()
    }

    /// The end of a positive feeder where its source of power is. The distance of its protection is
    /// measured from there. For a feeder from a charger it is the far end, at the battery, because a
    /// charger limits its own current.
    pub(super) fn power_end(&self, feeder: &'a Feeder) -> &'a PointId {
        let from_charger = self.kind(&feeder.from) == Some(PointKind::Charger);
        if from_charger && self.has_battery_at(feeder, &feeder.to) { &feeder.to } else { &feeder.from }
    }

    /// Ambient temperature of conductors outside an engine space.
    pub(super) fn ambient(&self) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(self.plan.job.ambient_c.number())
    }

    /// The nominal voltages of the sides of the boat.
    pub(super) fn sides(&self) -> &Sides<'a> {
        &self.index.sides
    }

    /// The nominal voltage of the job.
    pub(super) fn nominal(&self) -> ElectricPotential {
        self.plan.job.nominal_v.quantity()
    }

    /// The nominal voltage that a source gives to its side.
    pub(super) fn nominal_of_source(&self, source: &Point) -> ElectricPotential {
        source.body.nominal().map_or_else(|| self.nominal(), |own| own.quantity())
    }

    /// The number of current-carrying conductors bundled with a circuit's. It is given, or counted from
    /// shared raceways. `None`: it is not given, and part of the pulled wire has no route.
    pub(super) fn bundle_of(&self, circuit: &Circuit) -> Option<usize> {
        let pulled = self.conductors.of_circuit(&circuit.id).iter().filter(|conductor| conductor.pulled);
        let company = || pulled.map(|conductor| conductor.company).collect::<Option<Vec<_>>>();
        circuit.bundle.map(usize::from).or_else(|| company()?.into_iter().max())
    }

    /// The same for a feeder.
    pub(super) fn bundle_of_feeder(&self, feeder: &Feeder) -> Option<usize> {
        feeder.bundle.map(usize::from).or_else(|| self.conductors.of_feeder(&feeder.id)?.company)
    }

    /// The length of a feeder, given or from its route.
    pub(super) fn length_of(&self, feeder: &Feeder) -> Option<Length> {
        self.conductors.of_feeder(&feeder.id)?.length
    }

    /// The current of a device at nominal voltage.
    pub(super) fn current_of(&self, device: &DeviceId) -> Option<ElectricCurrent> {
        let load = self.device(device)?.load?;
        Some(load.current_at(self.sides().of_device(device)))
    }

    /// The maximum voltage drop of a device.
    pub(super) fn drop_limit(&self, device: &DeviceId) -> Ratio {
        let rules = self.plan.job.rules;
        self.device(device).map_or_else(drop::critical_limit, |device| device.drop_limit(rules))
    }

    /// Whether a device is critical: its limit is the strict one or less.
    pub(super) fn is_critical(&self, device: &DeviceId) -> bool {
        drop::is_critical(self.drop_limit(device))
    }
}

fn points_at(plan: &Plan, is_meant: impl Fn(PointKind) -> bool) -> PointsAt<'_> {
    let mut at: PointsAt<'_> = HashMap::default();
    for point in plan.points.iter().filter(|point| is_meant(point.body.kind())) {
        at.entry(&point.location).or_default().push(&point.id);
    }
    at
}

/// The points that feed a circuit and take its return, by their positions in the plan.
fn ends_of(plan: &Plan, circuit: &Circuit) -> [Option<usize>; 2] {
    [&circuit.from, &circuit.r#return].map(|end| plan.points.position(end.as_str()))
}

pub(super) fn laying(jacketed: bool) -> Laying {
    if jacketed { Laying::InSheath } else { Laying::Alone }
}

/// The insulation temperature rating in whole degrees, rounded down to the safe side.
pub(super) fn insulation(given: InsulationC) -> Option<Insulation> {
    // Its type limits it to 60 to 200.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = given.number().floor() as u16;
    Insulation::rated(whole).ok()
}

pub(super) fn meters(length: Option<Length>) -> Option<f64> {
    length.map(|length| length.get::<meter>())
}

pub(super) fn amperes(current: Option<ElectricCurrent>) -> Option<f64> {
    current.map(|current| current.get::<ampere>())
}

/// The sum of currents, if all are known.
pub(super) fn total(currents: impl IntoIterator<Item = Option<ElectricCurrent>>) -> Option<ElectricCurrent> {
    let nothing = ElectricCurrent::new::<ampere>(0.0);
    currents.into_iter().try_fold(nothing, |sum, current| Some(sum + current?))
}
