//! The data that all checks of one plan share.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Ratio, ThermodynamicTemperature};
use uom::si::length::meter;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::charging::{Charging, FeedersAt};
use super::needed::Needed;
use super::short_time::ShortTime;
use crate::job::finding::Finding;
use crate::job::plan::{Circuit, Device, Feeder, Plan, Polarity};
use crate::job::point::{Point, PointKind};
use crate::job::side::Sides;
use crate::job::subject::Subject;
use crate::job::supply::{Supply, SupplyWays, runs_both_ways};
use crate::job::value::{CircuitId, DeviceId, InsulationC, PointId};
use crate::job::wiring::Conductors;
use crate::trade;
use crate::trade::drop;
use crate::trade::insulation::Insulation;
use crate::trade::minimum::Laying;

/// The plan with its indexes, and the findings so far.
pub(super) struct CheckContext<'a> {
    pub(super) plan: &'a Plan,
    pub(super) conductors: &'a Conductors,
    /// What the network needs of the sizes and ratings that the program chooses.
    pub(super) needed: &'a Needed,
    pub(super) findings: Vec<Finding>,
    index: Rc<Index<'a>>,
}

/// The parts of a plan that do not depend on conductor lengths or sizes: locations, and the paths that
/// currents take.
pub(super) struct Index<'a> {
    charging: Charging<'a>,
    short_time: ShortTime<'a>,
    points: HashMap<&'a PointId, &'a Point>,
    devices: HashMap<&'a DeviceId, &'a Device>,
    /// The feeders that end at a point, of either polarity.
    meeting: FeedersAt<'a>,
    ways_to: HashMap<&'a PointId, SupplyWays<'a>>,
    ways_back: HashMap<&'a PointId, SupplyWays<'a>>,
    /// The supply paths of each circuit, out and back.
    ways_of: HashMap<&'a CircuitId, [SupplyWays<'a>; 2]>,
    sides: Sides<'a>,
}

impl<'a> Index<'a> {
    pub(super) fn of(plan: &'a Plan) -> Rc<Self> {
        let supply = Supply::of(plan);
        let ids = || plan.points.iter().map(|point| &point.id);
        let mut meeting: FeedersAt<'_> = HashMap::new();
        for feeder in &plan.feeders {
            meeting.entry(&feeder.from).or_default().push(feeder);
            meeting.entry(&feeder.to).or_default().push(feeder);
        }
        let ways_of: HashMap<_, _> =
            plan.circuits.iter().map(|circuit| (&circuit.id, supply.ways_of(circuit))).collect();
        let ways_to: HashMap<_, _> = ids().map(|id| (id, supply.to(id))).collect();
        let known = plan.circuits.iter().filter_map(|circuit| Some((circuit, ways_of.get(&circuit.id)?)));
        let sides = Sides::along(plan, known, |point| ways_to.get(point).and_then(|ways| ways.source));
        Rc::new(Self {
            sides,
            charging: Charging::of(plan, &meeting),
            short_time: ShortTime::of(plan),
            points: plan.points.iter().map(|point| (&point.id, point)).collect(),
            devices: plan.devices.iter().map(|device| (&device.id, device)).collect(),
            meeting,
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
        Self { plan, conductors, needed, findings: Vec::new(), index }
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
        self.index.ways_of.get(&circuit.id).map(<[_; 2]>::as_slice).unwrap_or_default()
    }

    /// The points that feeders join to this one, itself included. `along` selects the feeders that count.
    pub(super) fn joined<'p>(
        &self,
        start: &'p PointId,
        along: impl Fn(&Feeder) -> bool,
    ) -> HashSet<&'p PointId>
    where
        'a: 'p,
    {
        let mut known = HashSet::from([start]);
        let mut next = vec![start];
        while let Some(here) = next.pop() {
            let met = self.index.meeting.get(here).map(Vec::as_slice).unwrap_or_default();
            for feeder in met.iter().filter(|feeder| along(feeder)) {
                let ends = [&feeder.from, &feeder.to];
                next.extend(ends.into_iter().filter(|end| known.insert(end)));
            }
        }
        known
    }

    /// A property, such as protection, of the nearest feeder that has one. It looks on each path from a
    /// battery to a point. The entry is `None` for a path without such a feeder.
    pub(super) fn nearest_before<T>(
        &self,
        point: &PointId,
        has: impl Fn(&'a Feeder) -> Option<T>,
    ) -> Vec<Option<T>> {
        let (mut found, mut seen, mut next) = (Vec::new(), HashSet::new(), vec![point]);
        while let Some(here) = next.pop() {
            let feeders = self.ways_to(here).map(|ways| ways.feeders.as_slice()).unwrap_or_default();
            // A battery feeds its outgoing conductors through nothing else, even if other sources also
            // reach its posts.
            let is_battery = self.kind(here) == Some(PointKind::Battery);
            let into: Vec<(&'a Feeder, &'a PointId)> = feeders
                .iter()
                .filter(|_| !is_battery)
                .filter_map(|feeder| Some((*feeder, self.end_before(feeder, here)?)))
                .collect();
            if into.is_empty() {
                found.push(None);
            }
            for (feeder, before) in into {
                match has(feeder) {
                    Some(own) => found.push(Some(own)),
                    None if seen.insert(&feeder.id) => next.push(before),
                    None => {}
                }
            }
        }
        found
    }

    /// The end of a feeder from which it brings current to a point; `None` if it brings none.
    fn end_before(&self, feeder: &'a Feeder, to: &PointId) -> Option<&'a PointId> {
        if feeder.to == *to {
            return Some(&feeder.from);
        }
        let both_ways = runs_both_ways([&feeder.from, &feeder.to].map(|end| self.kind(end)));
        (both_ways && feeder.from == *to).then_some(&feeder.to)
    }

    /// Whether only batteries are upstream of a switch.
    pub(super) fn disconnects_batteries(&self, switch: &PointId) -> bool {
        let met = self.index.meeting.get(switch).map(Vec::as_slice).unwrap_or_default();
        let mut into = met.iter().filter(|feeder| feeder.to == *switch).peekable();
        into.peek().is_some() && into.all(|feeder| self.kind(&feeder.from) == Some(PointKind::Battery))
    }

    /// The batteries among points.
    pub(super) fn batteries<'p>(&self, points: HashSet<&'p PointId>) -> Vec<&'p PointId> {
        points.into_iter().filter(|point| self.kind(point) == Some(PointKind::Battery)).collect()
    }

    /// The batteries that are joined to another battery on the positive side.
    pub(super) fn joined_batteries(&self) -> Vec<&'a PointId> {
        let is_positive = |feeder: &Feeder| feeder.polarity == Polarity::Positive;
        let points = self.plan.points.iter().map(|point| &point.id);
        let batteries = points.filter(|point| self.kind(point) == Some(PointKind::Battery));
        batteries.filter(|battery| self.batteries(self.joined(battery, is_positive)).len() > 1).collect()
    }

    /// The batteries that reach one end of a feeder on its side, by a path that does not use the feeder.
    pub(super) fn batteries_at(&self, feeder: &'a Feeder, end: &'a PointId) -> Vec<&'a PointId> {
        let other = |other: &Feeder| other.polarity == feeder.polarity && other.id != feeder.id;
        self.batteries(self.joined(end, other))
    }

    /// The end of a positive feeder where its source of power is. The distance of its protection is
    /// measured from there. For a feeder from a charger it is the far end, at the battery, because a
    /// charger limits its own current.
    pub(super) fn power_end(&self, feeder: &'a Feeder) -> &'a PointId {
        let from_charger = self.kind(&feeder.from) == Some(PointKind::Charger);
        if from_charger && !self.batteries_at(feeder, &feeder.to).is_empty() {
            &feeder.to
        } else {
            &feeder.from
        }
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
        self.device(device).map_or_else(drop::critical_limit, Device::drop_limit)
    }

    /// Whether a device is critical: its limit is the strict one or less.
    pub(super) fn is_critical(&self, device: &DeviceId) -> bool {
        drop::is_critical(self.drop_limit(device))
    }
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
