//! The plan as a direct-current network: which node a meter's probe stands on, which part a wire is.
//!
//! - A battery or charger is a source between its two posts; without an internal resistance it is
//!   ideal, which suits voltages and forbids any word on short circuits.
//! - A bar, block, switch or panel is one node. A switch panel's positions and a junction bar's are
//!   a circuit's own, unless a circuit or feeder takes its power from the panel or bar itself.
//! - A conductor is its copper at the temperature it lies in, with what both its ends are counted for.
//! - A circuit begins with its protection, at its own resistance or at nothing; that part is also where
//!   the circuit is switched.
//! - A device on two circuits is counted on each, without a path from one to the other.

use std::collections::{HashMap, HashSet};

use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, ThermodynamicTemperature};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::load::Load;
use super::plan::{Circuit, Feeder, Plan, Polarity, Protection};
use super::point::{Body, PointKind};
use super::value::{CircuitId, CurrentA, DeviceId, InternalMohm, Milliohm, PointId, SourceV};
use super::wiring::{Conductor, ConductorId, Conductors, Landing};
use crate::trade::conductor::Size;
use crate::trade::dc_network::{
    self, Network, Node, Part, ShortCircuit, Shorts, Solution, Trouble, Unusable,
};

/// What conductors in an engine space are counted to lie in, in C; a common figure, from memory.
const ENGINE_SPACE_C: f64 = 50.0;
/// The least resistance that the solver tells from none.
const LEAST_OHM: f64 = 1e-9;

/// A plan's wiring, ready to be solved with any of its circuits on.
#[derive(Debug)]
pub struct CircuitModel<'a> {
    network: Network,
    points: HashMap<&'a PointId, Posts>,
    conductors: HashMap<&'a ConductorId, Part>,
    resistances: HashMap<&'a ConductorId, ElectricalResistance>,
    circuits: HashMap<&'a CircuitId, Fed<'a>>,
    /// For each part that works only while a circuit is on, that circuit.
    switched: HashMap<Part, &'a CircuitId>,
    batteries: HashMap<&'a PointId, Part>,
    chargers: HashMap<&'a PointId, Part>,
    /// The starter on the posts of an engine, a load like any other while it cranks.
    starters: HashMap<&'a PointId, Part>,
}

/// The nodes of a point: of a source both, of anything else one.
#[derive(Debug, Clone, Copy, Default)]
struct Posts {
    positive: Option<Node>,
    negative: Option<Node>,
}

impl Posts {
    fn of(self, polarity: Polarity) -> Option<Node> {
        match polarity {
            Polarity::Positive => self.positive,
            Polarity::Negative => self.negative,
        }
    }
}

/// A circuit in the network.
#[derive(Debug)]
struct Fed<'a> {
    source: Node,
    r#return: Node,
    /// Its protection and switch.
    gate: Part,
    devices: HashMap<&'a DeviceId, [Node; 2]>,
}

impl<'a> CircuitModel<'a> {
    /// Lays out the network of a plan, with the size of each conductor as `size` has it.
    ///
    /// A conductor whose size or length is not known is left out, and so is all that hangs on it.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn new(
        plan: &'a Plan,
        conductors: &'a Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
    ) -> Result<Self, Unusable> {
        let mut bench = BenchModel::new(plan, size)?;
        for feeder in &plan.feeders {
            bench.feeder(feeder, conductors)?;
        }
        for circuit in &plan.circuits {
            bench.circuit(circuit, conductors.of_circuit(&circuit.id))?;
        }
        Ok(bench.wired)
    }

    /// What a meter reads with these circuits on. Chargers rest, unless there is no battery.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no such state.
    pub fn solve(&self, on: impl Fn(&CircuitId) -> bool) -> Result<Solved<'_>, Trouble> {
        self.solve_cranking(None, on)
    }

    /// The same while an engine is cranked: its starter draws as well.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no such state.
    pub fn solve_cranking(
        &self,
        engine: Option<&PointId>,
        on: impl Fn(&CircuitId) -> bool,
    ) -> Result<Solved<'_>, Trouble> {
        let starter = engine.and_then(|engine| self.starters.get(engine)).copied();
        let solution = self.network.solve(|part| match self.is_starter(part) {
            true => starter == Some(part),
            false => self.in_use(part, &on),
        })?;
        Ok(Solved { wired: self, solution })
    }

    /// What a meter reads with one circuit on, fed with so many volts where it begins: the sources and all
    /// that lies before it left aside.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no such state.
    pub fn solve_from(&self, circuit: &CircuitId, volts: ElectricPotential) -> Result<Solved<'_>, Trouble> {
        let mut network = self.network.clone();
        let fed = self.circuits.get(circuit);
        let bench = fed.and_then(|fed| network.source(fed.source, fed.r#return, volts, none()).ok());
        let is_source = |part| self.batteries.values().chain(self.chargers.values()).any(|one| *one == part);
        let solution = network.solve(|part| {
            Some(part) == bench
                || (!is_source(part) && !self.is_starter(part) && self.in_use(part, |on| on == circuit))
        })?;
        Ok(Solved { wired: self, solution })
    }

    /// The network with every circuit on and all loads off, ready to be shorted.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no state even without loads.
    pub fn shorts(&self) -> Result<FaultStudy<'_>, Trouble> {
        let shorts = self.network.shorts(|part| self.in_use(part, |_| true))?;
        Ok(FaultStudy { wired: self, shorts })
    }

    /// The same with one battery alone, all others disconnected.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no state even without loads.
    pub fn shorts_of(&self, battery: &PointId) -> Result<FaultStudy<'_>, Trouble> {
        let shorts =
            self.network.shorts(|part| !self.is_another(part, battery) && self.in_use(part, |_| true))?;
        Ok(FaultStudy { wired: self, shorts })
    }

    /// What a meter reads while an engine is cranked from one battery alone, with every circuit off.
    ///
    /// # Errors
    ///
    /// [`Trouble`] when the network has no such state.
    pub fn solve_cranking_from(&self, engine: &PointId, battery: &PointId) -> Result<Solved<'_>, Trouble> {
        let starter = self.starters.get(engine).copied();
        let solution = self.network.solve(|part| match self.is_starter(part) {
            true => starter == Some(part),
            false => !self.is_another(part, battery) && self.in_use(part, |_| false),
        })?;
        Ok(Solved { wired: self, solution })
    }

    /// Whether a part is a battery, and another than this.
    fn is_another(&self, part: Part, battery: &PointId) -> bool {
        self.batteries.iter().any(|(id, other)| *other == part && *id != battery)
    }

    /// The resistance of a conductor with its two ends, without any protection in it.
    pub fn resistance_of(&self, conductor: &ConductorId) -> Option<ElectricalResistance> {
        self.resistances.get(conductor).copied()
    }

    /// A trouble in words, with the circuits and sources it is about.
    pub fn explain(&self, trouble: &Trouble) -> String {
        let parts: &[Part] = match trouble {
            Trouble::Tied { sources, .. } => sources,
            Trouble::Collapse { loads, .. } => loads,
            Trouble::Unsettled { .. } => &[],
        };
        let mut names: Vec<_> = parts.iter().filter_map(|part| self.name_of(*part)).collect();
        names.sort_unstable();
        names.dedup();
        if names.is_empty() { trouble.to_string() } else { format!("{trouble}: {}", names.join(", ")) }
    }

    /// The circuit that a part belongs to, or the source or starter it is.
    fn name_of(&self, part: Part) -> Option<&str> {
        let sources = self.batteries.iter().chain(&self.chargers).chain(&self.starters);
        let source = sources.filter(|(_, source)| **source == part).map(|(id, _)| id.as_str()).next();
        source.or_else(|| self.switched.get(&part).map(|id| id.as_str()))
    }

    /// The battery or charger that a part is.
    pub fn source(&self, part: Part) -> Option<&PointId> {
        let mut sources = self.batteries.iter().chain(&self.chargers);
        sources.find(|(_, source)| **source == part).map(|(id, _)| *id)
    }

    fn is_starter(&self, part: Part) -> bool {
        self.starters.values().any(|starter| *starter == part)
    }

    fn in_use(&self, part: Part, on: impl Fn(&CircuitId) -> bool) -> bool {
        let rests = !self.batteries.is_empty() && self.chargers.values().any(|charger| *charger == part);
        !rests && self.switched.get(&part).is_none_or(|circuit| on(circuit))
    }

    fn node(&self, point: &PointId, polarity: Polarity) -> Option<Node> {
        self.points.get(point).and_then(|posts| posts.of(polarity))
    }
}

/// A plan's network with an answer.
#[derive(Debug)]
pub struct Solved<'w> {
    wired: &'w CircuitModel<'w>,
    solution: Solution,
}

impl Solved<'_> {
    /// Volts between a device's two terminals on one circuit; `None`: nothing feeds it.
    pub fn at_device(&self, circuit: &CircuitId, device: &DeviceId) -> Option<ElectricPotential> {
        let [positive, negative] = *self.wired.circuits.get(circuit)?.devices.get(device)?;
        self.between(positive, negative)
    }

    /// Volts where a circuit begins: from its source point to the point its return lands on.
    pub fn at_source(&self, circuit: &CircuitId) -> Option<ElectricPotential> {
        let fed = self.wired.circuits.get(circuit)?;
        self.between(fed.source, fed.r#return)
    }

    /// Volts of a point over the negative post of the first source it hangs on. Of a battery or
    /// charger the volts over its own posts.
    pub fn at_point(&self, point: &PointId) -> Option<ElectricPotential> {
        let posts = self.wired.points.get(point)?;
        match (posts.positive, posts.negative) {
            (Some(positive), Some(negative)) => self.between(positive, negative),
            (Some(node), None) | (None, Some(node)) => {
                self.solution.reference(node).map(|_| self.solution.volts(node))
            }
            (None, None) => None,
        }
    }

    /// Volts of a source's negative post over that of the first source it hangs together with.
    pub fn at_negative_post(&self, source: &PointId) -> Option<ElectricPotential> {
        let node = self.wired.node(source, Polarity::Negative)?;
        self.solution.reference(node).map(|_| self.solution.volts(node))
    }

    /// The current of a circuit.
    pub fn of_circuit(&self, circuit: &CircuitId) -> Option<ElectricCurrent> {
        self.wired.circuits.get(circuit).map(|fed| self.solution.current(fed.gate))
    }

    /// The current of a conductor, counted along the way it is written.
    pub fn of_conductor(&self, id: &ConductorId) -> Option<ElectricCurrent> {
        self.wired.conductors.get(id).map(|part| self.solution.current(*part))
    }

    /// Volts lost along a conductor, its protection among it.
    pub fn lost_along(&self, id: &ConductorId) -> Option<ElectricPotential> {
        self.wired.conductors.get(id).map(|part| self.solution.across(*part))
    }

    /// The current a battery or charger gives; below nothing while it is charged.
    pub fn of_source(&self, point: &PointId) -> Option<ElectricCurrent> {
        let part = self.wired.batteries.get(point).or_else(|| self.wired.chargers.get(point))?;
        Some(self.solution.current(*part))
    }

    /// The answer itself.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    fn between(&self, one: Node, other: Node) -> Option<ElectricPotential> {
        let reference = self.solution.reference(one)?;
        let same = self.solution.reference(other) == Some(reference);
        same.then(|| self.solution.volts(one) - self.solution.volts(other))
    }
}

/// A plan's network with its loads off, to be shorted at one location after another.
pub struct FaultStudy<'w> {
    wired: &'w CircuitModel<'w>,
    shorts: Shorts,
}

impl FaultStudy<'_> {
    /// What flows when the two terminals of a device touch.
    pub fn at_device(&self, circuit: &CircuitId, device: &DeviceId) -> Option<ShortCircuit> {
        let [positive, negative] = *self.wired.circuits.get(circuit)?.devices.get(device)?;
        self.fault(positive, negative)
    }

    /// What flows when a point of the positive side touches one of the negative side. What a
    /// circuit's own protection resists does not count, as in every interrupting rating.
    pub fn across(&self, positive: &PointId, negative: &PointId) -> Option<ShortCircuit> {
        let positive = self.wired.node(positive, Polarity::Positive)?;
        self.fault(positive, self.wired.node(negative, Polarity::Negative)?)
    }

    fn fault(&self, from: Node, to: Node) -> Option<ShortCircuit> {
        let touching = ElectricalResistance::new::<ohm>(0.0);
        self.shorts.between(from, to, touching).ok()
    }
}

/// The network while it is laid out.
struct BenchModel<'a, F> {
    plan: &'a Plan,
    size: F,
    wired: CircuitModel<'a>,
    /// Panels and bars that power is taken from or brought to as a whole.
    buses: HashSet<&'a PointId>,
}

impl<'a, F: Fn(&Conductor) -> Option<Size>> BenchModel<'a, F> {
    fn new(plan: &'a Plan, size: F) -> Result<Self, Unusable> {
        let mut network = Network::new();
        let points = plan.points.iter().map(|point| {
            let (positive, negative) = match point.body.kind() {
                PointKind::Battery | PointKind::Charger => (true, true),
                PointKind::NegativeBus => (false, true),
                _ => (true, false),
            };
            let mut node = |wanted: bool| wanted.then(|| network.node());
            (&point.id, Posts { positive: node(positive), negative: node(negative) })
        });
        let points = points.collect();
        let wired = CircuitModel {
            network,
            points,
            conductors: HashMap::new(),
            resistances: HashMap::new(),
            circuits: HashMap::new(),
            switched: HashMap::new(),
            batteries: HashMap::new(),
            chargers: HashMap::new(),
            starters: HashMap::new(),
        };
        let fed = plan.feeders.iter().flat_map(|feeder| [&feeder.from, &feeder.to]);
        let mut bench = Self {
            plan,
            size,
            wired,
            buses: fed.chain(plan.circuits.iter().map(|circuit| &circuit.from)).collect(),
        };
        bench.sources()?;
        Ok(bench)
    }

    fn sources(&mut self) -> Result<(), Unusable> {
        for point in &self.plan.points {
            match &point.body {
                Body::Battery(battery) => {
                    let part = self.source(&point.id, battery.open_circuit_v, battery.internal_mohm)?;
                    self.wired.batteries.extend(part.map(|part| (&point.id, part)));
                }
                Body::Charger(charger) => {
                    let part = self.source(&point.id, charger.open_circuit_v, charger.internal_mohm)?;
                    self.wired.chargers.extend(part.map(|part| (&point.id, part)));
                    self.starter(&point.id, charger.starter_a)?;
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn starter(&mut self, id: &'a PointId, draws: Option<CurrentA>) -> Result<(), Unusable> {
        let posts = self.wired.points.get(id).copied();
        if let (Some(Posts { positive: Some(positive), negative: Some(negative) }), Some(draws)) =
            (posts, draws)
        {
            let draws = dc_network::NetworkLoad::Current(draws.quantity());
            let part = self.wired.network.load(positive, negative, draws)?;
            self.wired.starters.insert(id, part);
        }
        Ok(())
    }

    fn source(
        &mut self,
        id: &PointId,
        voltage: SourceV,
        internal: Option<InternalMohm>,
    ) -> Result<Option<Part>, Unusable> {
        let Some(Posts { positive: Some(positive), negative: Some(negative) }) =
            self.wired.points.get(id).copied()
        else {
            return Ok(None);
        };
        self.wired.network.source(positive, negative, voltage.quantity(), inside(internal)).map(Some)
    }

    fn feeder(&mut self, feeder: &'a Feeder, conductors: &'a Conductors) -> Result<(), Unusable> {
        let ends = [&feeder.from, &feeder.to].map(|point| self.wired.node(point, feeder.polarity));
        let ([Some(from), Some(to)], Some(conductor)) = (ends, conductors.of_feeder(&feeder.id)) else {
            return Ok(());
        };
        self.conductor(conductor, from, to, of_protection(feeder.protection.as_ref()))
    }

    fn circuit(&mut self, circuit: &'a Circuit, conductors: &'a [Conductor]) -> Result<(), Unusable> {
        let source = self.wired.node(&circuit.from, Polarity::Positive);
        let r#return = self.wired.node(&circuit.r#return, Polarity::Negative);
        let (Some(source), Some(r#return)) = (source, r#return) else { return Ok(()) };
        let protected = self.wired.network.node();
        let protection = of_protection(circuit.protection.as_ref());
        let gate = self.wired.network.resistance(source, protected, protection)?;
        self.wired.switched.insert(gate, &circuit.id);

        let devices =
            circuit.devices.iter().map(|device| (device, [(); 2].map(|()| self.wired.network.node())));
        let devices: HashMap<_, _> = devices.collect();
        let ends = self.ends(circuit, protected, r#return, &devices);
        for conductor in conductors {
            let end = |landing: &Landing| ends.get(&(landing.id(), conductor.polarity)).copied();
            if let (Some(from), Some(to)) = (end(&conductor.from), end(&conductor.to)) {
                self.conductor(conductor, from, to, none())?;
            }
        }
        self.loads(circuit, &devices)?;
        self.wired.circuits.insert(&circuit.id, Fed { source, r#return, gate, devices });
        Ok(())
    }

    /// The node that each landing of a circuit stands for, by its side of the supply.
    fn ends(
        &mut self,
        circuit: &'a Circuit,
        protected: Node,
        r#return: Node,
        devices: &HashMap<&'a DeviceId, [Node; 2]>,
    ) -> HashMap<(&'a str, Polarity), Node> {
        let mut ends = HashMap::new();
        if let Some(switch) = &circuit.switch {
            ends.insert((switch.panel.as_str(), Polarity::Positive), self.wired.network.node());
        }
        if let Some(junction) = &circuit.junction {
            let bus = self.wired.node(junction, Polarity::Positive).filter(|_| self.buses.contains(junction));
            let node = bus.unwrap_or_else(|| self.wired.network.node());
            ends.insert((junction.as_str(), Polarity::Positive), node);
        }
        for (device, [positive, negative]) in devices {
            ends.insert((device.as_str(), Polarity::Positive), *positive);
            ends.insert((device.as_str(), Polarity::Negative), *negative);
        }
        // Last, because a switch or junction bar on the source itself begins behind the protection.
        ends.insert((circuit.from.as_str(), Polarity::Positive), protected);
        ends.insert((circuit.r#return.as_str(), Polarity::Negative), r#return);
        ends
    }

    fn loads(
        &mut self,
        circuit: &'a Circuit,
        devices: &HashMap<&'a DeviceId, [Node; 2]>,
    ) -> Result<(), Unusable> {
        for id in &circuit.devices {
            let load = self.plan.device(id).and_then(|device| device.load);
            let (Some(load), Some([positive, negative])) = (load, devices.get(id)) else { continue };
            let part = self.wired.network.load(*positive, *negative, as_network_load(load))?;
            self.wired.switched.insert(part, &circuit.id);
        }
        Ok(())
    }

    fn conductor(
        &mut self,
        conductor: &'a Conductor,
        from: Node,
        to: Node,
        in_series: ElectricalResistance,
    ) -> Result<(), Unusable> {
        let (Some(size), Some(length)) = ((self.size)(conductor), conductor.length) else { return Ok(()) };
        let copper = size.resistance(length, self.temperature(conductor));
        let ends = 2.0 * resistance(self.plan.job.contact_mohm);
        let part = self.wired.network.resistance(from, to, told_from_none(copper + ends + in_series))?;
        self.wired.conductors.insert(&conductor.id, part);
        self.wired.resistances.insert(&conductor.id, copper + ends);
        Ok(())
    }

    /// What a conductor lies in: the engine space, if any of it is in one.
    fn temperature(&self, conductor: &Conductor) -> ThermodynamicTemperature {
        let ambient = self.plan.job.ambient_c.number();
        let celsius = if conductor.engine_space { ambient.max(ENGINE_SPACE_C) } else { ambient };
        ThermodynamicTemperature::new::<degree_celsius>(celsius)
    }
}

fn as_network_load(load: Load) -> dc_network::NetworkLoad {
    match load {
        Load::ConstantCurrent(current) => dc_network::NetworkLoad::Current(current.quantity()),
        Load::ConstantPower(power) => dc_network::NetworkLoad::Power(power.quantity()),
        Load::Resistance(resistance) => dc_network::NetworkLoad::Resistance(resistance.quantity()),
    }
}

fn of_protection(protection: Option<&Protection>) -> ElectricalResistance {
    resistance(protection.and_then(|protection| protection.resistance_mohm))
}

/// What a source resists inside; without a figure it is ideal.
fn inside(given: Option<InternalMohm>) -> ElectricalResistance {
    given.map_or_else(none, InternalMohm::quantity)
}

/// A resistance that was given, or none.
fn resistance(given: Option<Milliohm>) -> ElectricalResistance {
    told_from_none(ElectricalResistance::new::<milliohm>(given.map_or(0.0, Milliohm::number)))
}

fn told_from_none(resistance: ElectricalResistance) -> ElectricalResistance {
    if resistance.get::<ohm>() < LEAST_OHM { none() } else { resistance }
}

fn none() -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(0.0)
}
