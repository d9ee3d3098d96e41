//! Derives the conductors from circuits and feeders.
//!
//! A circuit's positive side runs from its source through its switch and junction bar, if it has them, to its
//! devices. Its negative runs back. Labels stay the same: `-1` is the jumper to the switch and `-2` that to the
//! junction bar, even if the circuit does not have them. `-0` leads past the switch to a float switch. From `-3` on come the pairs of the legs, by the number
//! that each leg was given once. So a switch, a bar or a device that is added or removed does not change the other
//! labels. [`moved`](super::moved) finds the labels that a change does move.
//!
//! Unknown lengths are estimated on the safe side.
//!
//! - An entered length of a conductor is used as it is.
//! - A jumper without a length counts as zero.
//! - The first leg without a length takes all that is left of the circuit's length. So the whole current flows
//!   over the whole length. Legs between devices then count as zero.
//! - A negative without a length is as long as the positive.
//! - If the circuit has no length either, each conductor with a route along the raceways is as long as its route.

use std::ops::Range;

use foldhash::HashMap;
use uom::si::f64::Length;
use uom::si::length::meter;

use super::conductor::{Conductor, ConductorId, ConductorRole, End, Landing, Of};
use super::plan::{self, Circuit, Feeder, Leg, Location, Plan, Polarity};
use super::value::{CircuitId, FeederId, LocationId};

/// What a conductor gets from its route along the raceways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConductorRoute {
    /// The length to cut; `None` if a raceway on the route is of unknown length.
    pub length: Option<Length>,
    /// Whether the route passes an engine space.
    pub engine_space: bool,
    /// How many current-carrying conductors are in its fullest raceway, including itself.
    pub company: usize,
}

/// The routes of the conductors that have one.
pub type ConductorRoutes = HashMap<ConductorId, ConductorRoute>;

/// The conductors between a circuit's source and one of its devices.
#[derive(Debug, Clone, PartialEq)]
pub struct Path<'a> {
    /// Out to the device, in the order of the current.
    pub out: Vec<&'a Conductor>,
    /// Back from the device, the one nearest the return point first.
    pub back: Vec<&'a Conductor>,
}

impl<'a> Path<'a> {
    /// Its length in one direction; `None` if a length on it is not known.
    pub fn one_way(&self) -> Option<Length> {
        all(self.out.iter().map(|conductor| conductor.length))
    }

    /// Its length out and back.
    pub fn round_trip(&self) -> Option<Length> {
        all(self.conductors().map(|conductor| conductor.length))
    }

    /// Its conductors, out and back.
    pub fn conductors(&self) -> impl Iterator<Item = &'a Conductor> {
        self.out.iter().chain(&self.back).copied()
    }
}

/// Every conductor of a plan: circuit by circuit, then the feeders, each in the plan's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Conductors {
    all: Vec<Conductor>,
    of_circuits: HashMap<CircuitId, Range<usize>>,
    by_id: HashMap<ConductorId, usize>,
}

impl Conductors {
    /// The conductors of a plan with the entered lengths. A checked plan also has the lengths of their routes:
    /// [`Report::conductors`](super::check::Report::conductors).
    pub fn of(plan: &Plan) -> Self {
        Self::along(plan, &ConductorRoutes::default())
    }

    /// The conductors of a plan along their routes.
    pub fn along(plan: &Plan, ways: &ConductorRoutes) -> Self {
        let mut conductors = Self::default();
        for circuit in &plan.circuits {
            let first = conductors.all.len();
            conductors.all.extend(lay_along(circuit, ways).conductors);
            conductors.of_circuits.insert(circuit.id.clone(), first..conductors.all.len());
        }
        conductors.all.extend(plan.feeders.iter().map(|given| feeder(given, ways)));
        let locations = locations(plan);
        for (index, conductor) in conductors.all.iter_mut().enumerate() {
            let location = |landing: &Landing| locations.get(landing.id()).copied();
            let ends = [location(&conductor.from), location(&conductor.to)];
            let along = ways.get(&conductor.id);
            let id = |location: Option<&Location>| location.map(|location| location.id.clone());
            conductor.pulled = !conductor.role.is_jumper() || id(ends[0]) != id(ends[1]);
            conductor.engine_space = along.is_some_and(|along| along.engine_space)
                || ends.into_iter().flatten().any(|location| location.engine_space);
            conductor.company = along.map(|along| along.company);
            conductors.by_id.insert(conductor.id.clone(), index);
        }
        conductors
    }

    /// All conductors.
    pub fn all(&self) -> &[Conductor] {
        &self.all
    }

    /// The conductors of one circuit: jumpers first, then a pair for each device.
    pub fn of_circuit(&self, id: &CircuitId) -> &[Conductor] {
        self.of_circuits.get(id).and_then(|range| self.all.get(range.clone())).unwrap_or_default()
    }

    /// The indexes of a circuit's conductors in the list of all conductors.
    pub fn locations_of_circuit(&self, id: &CircuitId) -> Range<usize> {
        self.of_circuits.get(id).cloned().unwrap_or_default()
    }

    /// The index of a feeder's conductor in the list of all conductors.
    pub fn location_of_feeder(&self, id: &FeederId) -> Option<usize> {
        let at = self.by_id.get(id.as_str()).copied()?;
        self.all.get(at).filter(|wire| wire.role == ConductorRole::Feeder).map(|_| at)
    }

    /// The conductors from a circuit's source to one of its devices and back. Devices are counted from 0 in the
    /// circuit's order. To a pump with a float switch the path is the one by the hand switch, which is the longer.
    pub fn path(&self, circuit: &Circuit, device: usize) -> Path<'_> {
        let all = self.of_circuit(&circuit.id);
        let first_leg = all.len().saturating_sub(2 * circuit.legs.len());
        let (ahead, legs) = all.split_at(first_leg);
        let jumpers = ahead.iter().filter(|conductor| conductor.role != ConductorRole::ToFloat);
        let first_pair = match circuit.wiring {
            plan::Wiring::Chain => 0,
            plan::Wiring::HomeRuns => device,
        };
        let pairs = legs.get(2 * first_pair..2 * (device + 1)).unwrap_or_default();
        let (out, back): (Vec<_>, Vec<_>) =
            pairs.iter().partition(|conductor| conductor.polarity == Polarity::Positive);
        Path { out: jumpers.chain(out).collect(), back }
    }

    /// The conductor of a feeder.
    pub fn of_feeder(&self, id: &FeederId) -> Option<&Conductor> {
        self.location_of_feeder(id).and_then(|at| self.all.get(at))
    }

    /// The conductor with this id.
    pub fn get(&self, id: &str) -> Option<&Conductor> {
        self.by_id.get(id).and_then(|index| self.all.get(*index))
    }

    /// The end with this id, and its conductor.
    pub fn end(&self, id: &str) -> Option<(&Conductor, End)> {
        let conductor = self.get(id.strip_suffix(['a', 'b'])?)?;
        conductor.ends().into_iter().find(|end| end.id == id).map(|end| (conductor, end))
    }
}

/// The location of each distribution point and device by its id.
fn locations(plan: &Plan) -> HashMap<&str, &Location> {
    let locations: HashMap<&LocationId, &Location> =
        plan.locations.iter().map(|location| (&location.id, location)).collect();
    let points = plan.points.iter().map(|point| (point.id.as_str(), &point.location));
    let ends = points.chain(plan.devices.iter().map(|device| (device.id.as_str(), &device.location)));
    ends.filter_map(|(id, location)| Some((id, *locations.get(location)?))).collect()
}

fn feeder(feeder: &Feeder, ways: &ConductorRoutes) -> Conductor {
    let id = ConductorId::new(feeder.id.shared());
    let along = ways.get(&id).and_then(|along| along.length);
    Conductor {
        id,
        label: feeder.label_text().to_owned(),
        of: Of::Feeder(feeder.id.clone()),
        polarity: feeder.polarity,
        role: ConductorRole::Feeder,
        from: Landing::point(&feeder.from),
        to: Landing::point(&feeder.to),
        size: feeder.size,
        length: feeder.length_m.map(super::value::LengthM::quantity).or(along),
        measured: feeder.length_m.is_some(),
        pulled: true,
        engine_space: false,
        company: None,
    }
}

/// A circuit's conductors, and by how much their entered lengths exceed the circuit's.
pub(super) struct Laid {
    pub(super) conductors: Vec<Conductor>,
    pub(super) overdrawn: Option<Length>,
}

/// The conductors of one circuit with the entered lengths.
pub(super) fn lay(circuit: &Circuit) -> Laid {
    lay_along(circuit, &ConductorRoutes::default())
}

fn lay_along(circuit: &Circuit, ways: &ConductorRoutes) -> Laid {
    let (mut jumpers, hub) = jumpers(circuit);
    let (mut float, mut legs) = (float(circuit), legs(circuit, hub));
    let own = circuit.conductors.iter().rev().map(|own| ((own.from.as_str(), own.to.as_str()), own));
    let own: HashMap<_, _> = own.collect();
    for conductor in jumpers.iter_mut().chain(&mut float).chain(&mut legs) {
        if let Some(given) = own.get(&(conductor.from.id(), conductor.to.id())) {
            conductor.apply(given);
        }
        if circuit.length_m.is_none() && conductor.length.is_none() {
            conductor.length = ways.get(&conductor.id).and_then(|along| along.length);
        }
    }
    for jumper in &mut jumpers {
        jumper.length.get_or_insert_with(nothing);
    }
    let reach = total(&jumpers).unwrap_or_else(nothing);
    let whole = circuit.length_m.map(super::value::LengthM::quantity);
    let overdrawn = match circuit.wiring {
        plan::Wiring::Chain => measure_chain(&mut legs, whole, reach),
        plan::Wiring::HomeRuns => measure_home_runs(&mut legs, whole, reach),
    };
    if let Some(float) = &mut float {
        float.length = float.length.or(whole);
    }
    jumpers.extend(float);
    jumpers.append(&mut legs);
    Laid { conductors: jumpers, overdrawn }
}

/// A circuit's conductor before its length is known.
fn piece(
    circuit: &Circuit,
    number: u32,
    role: ConductorRole,
    polarity: Polarity,
    way: [&Landing; 2],
) -> Conductor {
    let [from, to] = way.map(Landing::clone);
    Conductor {
        id: ConductorId::new(format!("{}-{number}", circuit.id)),
        label: format!("{}-{number}", circuit.label_text()),
        of: Of::Circuit(circuit.id.clone()),
        polarity,
        role,
        from,
        to,
        size: circuit.size,
        length: None,
        measured: false,
        pulled: true,
        engine_space: false,
        company: None,
    }
}

/// The number of the conductor to a float switch.
const TO_FLOAT: u32 = 0;
/// The number of the jumper to the switch.
const TO_SWITCH: u32 = 1;
/// The number of the jumper to the junction bar.
const TO_JUNCTION: u32 = 2;

/// The numbers of a leg's positive and negative: `-3` and `-4` for the first, two more for each leg after it.
fn of_leg(leg: &Leg) -> [u32; 2] {
    let out = 1 + 2 * u32::from(leg.number);
    [out, out + 1]
}

/// The jumpers from the source to the point where the devices' wires begin, and that point.
///
/// A switch on the panel that feeds the circuit needs no jumper, nor does a junction bar that is itself the
/// source.
fn jumpers(circuit: &Circuit) -> (Vec<Conductor>, Landing) {
    let switch = circuit.switch.as_ref().map(|at| (&at.panel, Some(at.position)));
    let junction = circuit.junction.as_ref().map(|id| (id, None));
    let mut jumpers = Vec::new();
    let mut here = Landing::point(&circuit.from);
    for (id, position) in [switch, junction].into_iter().flatten() {
        let next = Landing::Point { id: id.clone(), position };
        if here.id() != next.id() {
            let role = match (&here, position) {
                (_, Some(_)) => ConductorRole::FuseToSwitch,
                (Landing::Point { position: Some(_), .. }, None) => ConductorRole::SwitchToJunction,
                _ => ConductorRole::FuseToJunction,
            };
            let number = if position.is_some() { TO_SWITCH } else { TO_JUNCTION };
            jumpers.push(piece(circuit, number, role, Polarity::Positive, [&here, &next]));
        }
        here = next;
    }
    (jumpers, here)
}

/// The conductor to the float switch at the device, from the same fuse as the hand switch.
fn float(circuit: &Circuit) -> Option<Conductor> {
    let device = circuit.devices().next().filter(|_| circuit.float_switch)?;
    let way = [&Landing::point(&circuit.from), &Landing::Device(device.clone())];
    Some(piece(circuit, TO_FLOAT, ConductorRole::ToFloat, Polarity::Positive, way))
}

/// A pair for each device: its positive, then its negative.
fn legs(circuit: &Circuit, hub: Landing) -> Vec<Conductor> {
    let mut legs = Vec::new();
    let mut ahead = (hub, Landing::point(&circuit.r#return));
    let (mut out, mut back) = (ConductorRole::ToDevice, ConductorRole::Return);
    for leg in &circuit.legs {
        let device = Landing::Device(leg.device.clone());
        let [positive, negative] = of_leg(leg);
        legs.push(piece(circuit, positive, out, Polarity::Positive, [&ahead.0, &device]));
        legs.push(piece(circuit, negative, back, Polarity::Negative, [&device, &ahead.1]));
        if circuit.wiring == plan::Wiring::Chain {
            ahead = (device.clone(), device);
            (out, back) = (ConductorRole::BetweenDevices, ConductorRole::BetweenDevices);
        }
    }
    legs
}

/// Lengths of pairs in a chain from device to device. Pairs are in the order positive, negative, positive, …
fn measure_chain(legs: &mut [Conductor], whole: Option<Length>, reach: Length) -> Option<Length> {
    let given: Length = sum(legs.iter().step_by(2).filter_map(|leg| leg.length));
    let (mut left, out_overdrawn) = rest(whole.map(|whole| whole - reach - given));
    for leg in legs.iter_mut().step_by(2).filter(|leg| leg.length.is_none()) {
        leg.length = left;
        left = left.map(|_| nothing());
    }
    let out: Vec<Option<Length>> = legs.iter().step_by(2).map(|leg| leg.length).collect();
    for (back, out) in legs.iter_mut().skip(1).step_by(2).zip(&out).skip(1) {
        back.length = back.length.or(*out);
    }
    let way_out = whole.or_else(|| all(out.iter().copied()).map(|out| reach + out));
    let between = all(legs.iter().skip(3).step_by(2).map(|leg| leg.length));
    let (first_back, back_overdrawn) = rest(way_out.zip(between).map(|(out, between)| out - between));
    match legs.get_mut(1) {
        Some(back) if back.length.is_none() => {
            back.length = first_back;
            out_overdrawn.or(back_overdrawn)
        }
        _ => out_overdrawn,
    }
}

/// Lengths of home runs: each pair is as long as the one to the farthest device.
fn measure_home_runs(legs: &mut [Conductor], whole: Option<Length>, reach: Length) -> Option<Length> {
    let (left, overdrawn) = rest(whole.map(|whole| whole - reach));
    for pair in legs.chunks_mut(2) {
        let [out, back] = pair else { continue };
        out.length = out.length.or(left);
        back.length = back.length.or(whole).or(out.length.map(|out| reach + out));
    }
    let needs_rest = legs.iter().step_by(2).any(|leg| !leg.measured);
    overdrawn.filter(|_| needs_rest)
}

/// The rest of a length, and the excess if the rest is negative.
fn rest(left: Option<Length>) -> (Option<Length>, Option<Length>) {
    // Lengths are typed to the millimeter: a smaller difference comes from rounding.
    let tolerance = Length::new::<meter>(1e-6);
    match left {
        Some(left) if left < -tolerance => (Some(nothing()), Some(-left)),
        other => (other.map(|left| if left < nothing() { nothing() } else { left }), None),
    }
}

fn nothing() -> Length {
    Length::new::<meter>(0.0)
}

fn sum(lengths: impl Iterator<Item = Length>) -> Length {
    lengths.fold(nothing(), |sum, length| sum + length)
}

/// The sum of lengths, if all are known.
fn all(lengths: impl Iterator<Item = Option<Length>>) -> Option<Length> {
    lengths.collect::<Option<Vec<_>>>().map(|lengths| sum(lengths.into_iter()))
}

fn total(conductors: &[Conductor]) -> Option<Length> {
    all(conductors.iter().map(|conductor| conductor.length))
}
