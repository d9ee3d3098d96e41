//! The plan as a direct-current network: the nodes that a meter can probe, and the parts between them.
//!
//! - A battery or charger is a source between its two posts. Without an internal resistance it is ideal.
//!   Voltages can then be calculated, but short-circuit currents cannot.
//! - A bar, block, switch or panel is one node. The positions of a switch panel or junction bar belong to
//!   single circuits. The exception is a panel or bar that directly supplies a circuit or feeder.
//! - A conductor is the resistance of its copper at its temperature, plus the contact resistance of both
//!   ends.
//! - A circuit begins with its protection, at its own resistance or at none. That part also switches the
//!   circuit.
//! - A device on two circuits counts on each, without a connection from one to the other.

mod build;

use foldhash::HashMap;
use uom::si::electric_potential::volt;
use uom::si::ratio::percent;

use super::subject::{Subject, SubjectKind};
use crate::trade::say::{Part as Said, Statement, say};
use crate::trade::units::{count, percent as percent_of, volts};
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, ThermodynamicTemperature};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::conductor::{Conductor, ConductorId};
use super::plan::{Plan, Polarity};
use super::value::{CircuitId, DeviceId, PointId};
use crate::trade::dc_network::{Network, NetworkPart, Node, Pieces, ShortCircuit, Shorts, Solution, Trouble};

/// Assumed temperature of conductors in an engine space, in C; a common figure, from memory.
const ENGINE_SPACE_C: f64 = 50.0;

/// The temperature around a conductor: that of the engine space if any part of it is in one.
pub fn surroundings(plan: &Plan, conductor: &Conductor) -> ThermodynamicTemperature {
    let ambient = plan.job.ambient_c.number();
    let celsius = if conductor.engine_space { ambient.max(ENGINE_SPACE_C) } else { ambient };
    ThermodynamicTemperature::new::<degree_celsius>(celsius)
}

/// A plan's wiring, ready to be solved with any set of circuits on.
#[derive(Debug)]
pub struct CircuitModel<'a> {
    network: Network,
    pieces: Pieces,
    points: HashMap<&'a PointId, Posts>,
    conductors: HashMap<&'a ConductorId, NetworkPart>,
    resistances: HashMap<&'a ConductorId, ElectricalResistance>,
    circuits: HashMap<&'a CircuitId, Fed<'a>>,
    /// The ids of the circuits in the network, and what each part is, by its number.
    switches: Vec<&'a CircuitId>,
    uses: Vec<PartUse>,
    batteries: HashMap<&'a PointId, NetworkPart>,
    chargers: HashMap<&'a PointId, NetworkPart>,
    /// Converters between two voltages, always on.
    converters: HashMap<&'a PointId, NetworkPart>,
    /// The starter on the posts of an engine, which is a load while the engine cranks.
    starters: HashMap<&'a PointId, NetworkPart>,
}

/// When a part is in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PartUse {
    /// A conductor: always.
    Always,
    /// A battery: unless another is studied alone.
    Battery,
    /// A charger: if there is no battery.
    Charger,
    /// A converter between two voltages: always.
    Converter,
    /// A starter: while it cranks.
    Starter,
    /// A part of a circuit: while that is on. The circuit is given by its number.
    Circuit(usize),
}

/// What is on.
struct InUse {
    /// For each circuit of the network, whether it is on.
    circuits: Vec<bool>,
    starter: Option<NetworkPart>,
    /// The only battery that is connected; `None`: all of them.
    battery: Option<NetworkPart>,
    /// The only piece of the network that is solved; `None`: all of it.
    piece: Option<usize>,
}

/// The nodes of a point: two for a source, one for any other point.
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
    /// Its protection, which also switches it.
    gate: NetworkPart,
    devices: HashMap<&'a DeviceId, [Node; 2]>,
}

impl<'a> CircuitModel<'a> {
    /// The network solved with these circuits on. Chargers are off, unless there is no battery.
    ///
    /// # Errors
    ///
    /// [`Trouble`] if the network has no such state.
    pub fn solve(&self, on: impl Fn(&CircuitId) -> bool) -> Result<Solved<'_>, Trouble> {
        self.solve_in(&self.with(on))
    }

    /// The same while an engine is cranked: its starter also draws current. Only what is joined with the engine is
    /// solved.
    ///
    /// # Errors
    ///
    /// [`Trouble`] if the network has no such state.
    pub fn solve_cranking(
        &self,
        engine: &PointId,
        on: impl Fn(&CircuitId) -> bool,
    ) -> Result<Solved<'_>, Trouble> {
        self.solve_in(&self.cranking(engine, on))
    }

    /// The network solved with one circuit on, fed with this voltage at its beginning. The sources and
    /// everything upstream of the circuit are left out.
    ///
    /// # Errors
    ///
    /// [`Trouble`] if the network has no such state.
    pub fn solve_from(&self, circuit: &CircuitId, volts: ElectricPotential) -> Result<Solved<'_>, Trouble> {
        let mut network = self.network.clone();
        let fed = self.circuits.get(circuit);
        let bench = fed.and_then(|fed| network.source(fed.source, fed.r#return, volts, none()).ok());
        let state = self.with(|on| on == circuit);
        let solution = network.solve(|part| match self.uses.get(part.number()) {
            None => Some(part) == bench,
            Some(PartUse::Battery | PartUse::Charger | PartUse::Starter | PartUse::Converter) => false,
            Some(_) => self.in_use(part, &state),
        })?;
        Ok(Solved { wired: self, solution })
    }

    /// The network with every circuit on and all loads off, ready for short-circuit calculations.
    ///
    /// # Errors
    ///
    /// [`Trouble`] if the network has no state even without loads.
    pub fn shorts(&self) -> Result<FaultStudy<'_>, Trouble> {
        let all_on = self.with(|_| true);
        let shorts = self.network.shorts(|part| self.in_use(part, &all_on))?;
        Ok(FaultStudy { wired: self, shorts })
    }

    /// The network solved while one battery alone cranks an engine, with every circuit off.
    ///
    /// # Errors
    ///
    /// [`Trouble`] if the network has no such state.
    pub fn solve_cranking_from(&self, engine: &PointId, battery: &PointId) -> Result<Solved<'_>, Trouble> {
        let battery = self.batteries.get(battery).copied();
        self.solve_in(&InUse { battery, ..self.cranking(engine, |_| false) })
    }

    fn solve_in(&self, state: &InUse) -> Result<Solved<'_>, Trouble> {
        let solution = self.network.solve(|part| self.in_use(part, state))?;
        Ok(Solved { wired: self, solution })
    }

    /// These circuits on, all batteries connected, no engine cranked.
    fn with(&self, on: impl Fn(&CircuitId) -> bool) -> InUse {
        let circuits = self.switches.iter().map(|circuit| on(circuit)).collect();
        InUse { circuits, starter: None, battery: None, piece: None }
    }

    /// These circuits on, and an engine cranked, in the piece of the network where it is.
    fn cranking(&self, engine: &PointId, on: impl Fn(&CircuitId) -> bool) -> InUse {
        InUse { starter: self.starters.get(engine).copied(), piece: self.piece_of(engine), ..self.with(on) }
    }

    /// The pieces of the network that nothing joins.
    pub(super) fn pieces(&self) -> &Pieces {
        &self.pieces
    }

    /// The piece of the network that a point is in.
    pub(super) fn piece_of(&self, point: &PointId) -> Option<usize> {
        let Posts { positive, negative } = *self.points.get(point)?;
        positive.or(negative).map(|node| self.pieces.of_node(node))
    }

    /// The piece of the network that a conductor is in.
    pub(super) fn piece_of_wire(&self, conductor: &ConductorId) -> Option<usize> {
        self.conductors.get(conductor).map(|part| self.pieces.of_part(*part))
    }

    /// The resistance of a conductor with its two ends, without its protection.
    pub fn resistance_of(&self, conductor: &ConductorId) -> Option<ElectricalResistance> {
        self.resistances.get(conductor).copied()
    }

    /// Why the network has no solution, with the circuits and sources concerned.
    pub fn explain(&self, trouble: &Trouble) -> Statement {
        let why = match trouble {
            Trouble::Tied { sources, difference } => {
                let (sources, apart) = (count(sources.len()), volts(difference.get::<volt>().abs()));
                say!("{} sources without resistance are joined and differ by {}.", sources, apart)
            }
            Trouble::Collapse { feedable, .. } => {
                let share = percent_of(feedable.get::<percent>());
                say!("The voltage collapses once the loads draw {} of what they need.", share)
            }
            Trouble::Unsettled { .. } => say!("The currents of the network do not balance."),
        };
        let named = self.concerned(trouble);
        if named.is_empty() { why } else { why.then(say!("Look at {}.", Said::all(named))) }
    }

    /// The circuits, sources and starters that a network without a solution names.
    pub fn concerned(&self, trouble: &Trouble) -> Vec<Subject> {
        let parts: &[NetworkPart] = match trouble {
            Trouble::Tied { sources, .. } => sources,
            Trouble::Collapse { loads, .. } => loads,
            Trouble::Unsettled { .. } => &[],
        };
        let mut named: Vec<_> = parts.iter().filter_map(|part| self.subject_of(*part)).collect();
        named.sort_unstable();
        named.dedup();
        named
    }

    /// The circuit that a part belongs to, or the source or starter that the part is.
    fn subject_of(&self, part: NetworkPart) -> Option<Subject> {
        let sources =
            self.batteries.iter().chain(&self.chargers).chain(&self.converters).chain(&self.starters);
        let source = sources.filter(|(_, source)| **source == part).map(|(id, _)| *id).next();
        let source = source.map(|id| Subject::new(SubjectKind::Point, id));
        source.or_else(|| match self.uses.get(part.number()) {
            Some(PartUse::Circuit(at)) => {
                self.switches.get(*at).map(|id| Subject::new(SubjectKind::Circuit, id))
            }
            _ => None,
        })
    }

    /// The battery or charger that a part represents.
    pub fn source(&self, part: NetworkPart) -> Option<&PointId> {
        let mut sources = self.batteries.iter().chain(&self.chargers).chain(&self.converters);
        sources.find(|(_, source)| **source == part).map(|(id, _)| *id)
    }

    fn in_use(&self, part: NetworkPart, state: &InUse) -> bool {
        if state.piece.is_some_and(|piece| self.pieces.of_part(part) != piece) {
            return false;
        }
        match self.uses.get(part.number()) {
            None | Some(PartUse::Always | PartUse::Converter) => true,
            Some(PartUse::Battery) => state.battery.is_none_or(|only| only == part),
            Some(PartUse::Charger) => self.batteries.is_empty(),
            Some(PartUse::Starter) => state.starter == Some(part),
            Some(PartUse::Circuit(at)) => state.circuits.get(*at).is_some_and(|on| *on),
        }
    }

    fn node(&self, point: &PointId, polarity: Polarity) -> Option<Node> {
        self.points.get(point).and_then(|posts| posts.of(polarity))
    }
}

/// A plan's network with its solution.
#[derive(Debug)]
pub struct Solved<'w> {
    wired: &'w CircuitModel<'w>,
    solution: Solution,
}

impl Solved<'_> {
    /// Voltage between a device's two terminals on one circuit; `None` if nothing feeds it.
    pub fn at_device(&self, circuit: &CircuitId, device: &DeviceId) -> Option<ElectricPotential> {
        let [positive, negative] = *self.wired.circuits.get(circuit)?.devices.get(device)?;
        self.between(positive, negative)
    }

    /// Voltage where a circuit begins: from its source point to the point its return lands on.
    pub fn at_source(&self, circuit: &CircuitId) -> Option<ElectricPotential> {
        let fed = self.wired.circuits.get(circuit)?;
        self.between(fed.source, fed.r#return)
    }

    /// Voltage of a point against the negative post of the first source connected to it. For a battery or
    /// charger it is the voltage between its own posts.
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

    /// Voltage of a source's negative post against that of the first source connected to it.
    pub fn at_negative_post(&self, source: &PointId) -> Option<ElectricPotential> {
        let node = self.wired.node(source, Polarity::Negative)?;
        self.solution.reference(node).map(|_| self.solution.volts(node))
    }

    /// The current of a circuit.
    pub fn of_circuit(&self, circuit: &CircuitId) -> Option<ElectricCurrent> {
        self.wired.circuits.get(circuit).map(|fed| self.solution.current(fed.gate))
    }

    /// The current of a conductor, positive in the direction in which the plan lists its ends.
    pub fn of_conductor(&self, id: &ConductorId) -> Option<ElectricCurrent> {
        self.wired.conductors.get(id).map(|part| self.solution.current(*part))
    }

    /// Voltage drop along a conductor, including its protection.
    pub fn lost_along(&self, id: &ConductorId) -> Option<ElectricPotential> {
        self.wired.conductors.get(id).map(|part| self.solution.across(*part))
    }

    /// The current that a battery or charger delivers; negative while it is charged.
    pub fn of_source(&self, point: &PointId) -> Option<ElectricCurrent> {
        let of_chargers = || self.wired.chargers.get(point).or_else(|| self.wired.converters.get(point));
        let part = self.wired.batteries.get(point).or_else(of_chargers)?;
        Some(self.solution.current(*part))
    }

    /// The solution of the solver.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    fn between(&self, one: Node, other: Node) -> Option<ElectricPotential> {
        let reference = self.solution.reference(one)?;
        let same = self.solution.reference(other) == Some(reference);
        same.then(|| self.solution.volts(one) - self.solution.volts(other))
    }
}

/// A plan's network with its loads off, for short circuits at one location after another.
pub struct FaultStudy<'w> {
    wired: &'w CircuitModel<'w>,
    shorts: Shorts,
}

impl<'w> FaultStudy<'w> {
    /// The same with only one battery of those that are joined to it; `None` if that has no solution.
    pub fn of_battery(&self, battery: &PointId) -> Option<Self> {
        let battery = *self.wired.batteries.get(battery)?;
        let is_another = |part: NetworkPart| {
            part != battery && self.wired.uses.get(part.number()) == Some(&PartUse::Battery)
        };
        let shorts = self.shorts.without(battery, is_another).ok()?;
        Some(FaultStudy { wired: self.wired, shorts })
    }

    /// How many parts are joined to a battery.
    pub fn parts_beside(&self, battery: &PointId) -> usize {
        self.wired.batteries.get(battery).map_or(0, |part| self.shorts.parts_beside(*part))
    }

    /// Whether a short circuit was not calculated because its work budget was spent.
    pub fn is_spent(&self) -> bool {
        self.shorts.is_spent()
    }

    /// The short-circuit current when the two terminals of a device touch.
    pub fn at_device(&self, circuit: &CircuitId, device: &DeviceId) -> Option<ShortCircuit> {
        let [positive, negative] = *self.wired.circuits.get(circuit)?.devices.get(device)?;
        self.fault(positive, negative)
    }

    /// The short-circuit current when a point of the positive side touches one of the negative side. As for
    /// every interrupt rating, the resistance of the circuit's own protection does not count.
    pub fn across(&self, positive: &PointId, negative: &PointId) -> Option<ShortCircuit> {
        let positive = self.wired.node(positive, Polarity::Positive)?;
        self.fault(positive, self.wired.node(negative, Polarity::Negative)?)
    }

    fn fault(&self, from: Node, to: Node) -> Option<ShortCircuit> {
        let touching = ElectricalResistance::new::<ohm>(0.0);
        self.shorts.between(from, to, touching).ok()
    }
}

fn none() -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(0.0)
}
