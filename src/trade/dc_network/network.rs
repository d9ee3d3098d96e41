//! The network as it is built: nodes, and the parts between them.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use uom::si::power::watt;

/// A point of the network where parts meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(pub(super) usize);

/// One part of the network: a source, a resistance, an open switch or a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NetworkPart(pub(super) usize);

impl NetworkPart {
    /// Its number, from 0 in the order added.
    pub fn number(self) -> usize {
        self.0
    }
}

/// How a load draws current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NetworkLoad {
    /// The same current at any voltage (an LED light with a linear driver).
    Current(ElectricCurrent),
    /// The same power at any voltage (electronics with a switching supply): the lower the voltage, the higher
    /// the current.
    Power(Power),
    /// A resistor (an incandescent lamp once warm, a heater).
    Resistance(ElectricalResistance),
}

/// A value or a node that cannot be used to build a network.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unusable {
    /// A value outside the range of the solver.
    #[error("{field} is {value} {unit}; expected {expected}")]
    Value {
        /// The name of the value.
        field: &'static str,
        /// The value, in the unit below.
        value: f64,
        /// The SI unit's symbol.
        unit: &'static str,
        /// The accepted range.
        expected: &'static str,
    },
    /// A node that is not of this network.
    #[error("node {0} is not of this network, which has {1} nodes")]
    Node(usize, usize),
}

/// What one part does, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Law {
    Ohmic { emf: f64, ohms: f64 },
    Open,
    Amperes(f64),
    Watts(f64),
}

/// The kind of part; decides how its watts are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PartRole {
    Source,
    Path,
    Load,
}

/// A part between two nodes. Current counts from `from` to `to`; a source's `from` is its negative post.
#[derive(Debug, Clone, Copy)]
pub(super) struct NetworkBranch {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) law: Law,
    pub(super) role: PartRole,
}

impl NetworkBranch {
    /// Whether it joins its two nodes whatever the voltage.
    pub(super) fn conducts(&self) -> bool {
        matches!(self.law, Law::Ohmic { .. })
    }

    /// Whether it sets its own current from the voltage at its ends, as electronics do.
    pub(super) fn draws(&self) -> bool {
        matches!(self.law, Law::Amperes(_) | Law::Watts(_))
    }

    /// Whether it is a load that draws, but whose demand is zero.
    pub(super) fn wants_nothing(&self) -> bool {
        matches!(self.law, Law::Amperes(0.0) | Law::Watts(0.0))
    }

    /// The EMF of a part without any resistance, which ties its two nodes together.
    pub(super) fn tie(&self) -> Option<f64> {
        match self.law {
            Law::Ohmic { emf, ohms: 0.0 } => Some(emf),
            _ => None,
        }
    }
}

/// Nodes and the parts between them. Add nodes and parts, then [`solve`](Network::solve) as often as needed.
///
/// ```
/// use driploop::trade::dc_network::{Network, NetworkLoad};
/// use uom::si::electric_current::ampere;
/// use uom::si::electric_potential::volt;
/// use uom::si::electrical_resistance::ohm;
/// use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};
///
/// let mut boat = Network::new();
/// let (positive, negative, lamp) = (boat.node(), boat.node(), boat.node());
/// let rest = ElectricalResistance::new::<ohm>(0.006);
/// boat.source(positive, negative, ElectricPotential::new::<volt>(12.7), rest)?;
/// let wire = boat.resistance(positive, lamp, ElectricalResistance::new::<ohm>(0.094))?;
/// let draw = NetworkLoad::Current(ElectricCurrent::new::<ampere>(2.0));
/// boat.load(lamp, negative, draw)?;
///
/// let solved = boat.solve(|_| true)?;
/// assert!((solved.volts(lamp).get::<volt>() - 12.5).abs() < 1e-9);
/// assert!((solved.current(wire).get::<ampere>() - 2.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Default)]
pub struct Network {
    pub(super) nodes: usize,
    pub(super) branches: Vec<NetworkBranch>,
}

impl Network {
    /// An empty network.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a node.
    pub fn node(&mut self) -> Node {
        self.nodes += 1;
        Node(self.nodes - 1)
    }

    /// Adds a battery, charger or alternator. Its EMF is at most 1 kV in either direction. Its internal
    /// resistance is 0 Ω, or 1 nΩ to 1 TΩ. Its current is positive when it flows out of the positive post.
    ///
    /// # Errors
    /// [`Unusable`] for a value out of that range or a node of another network.
    pub fn source(
        &mut self,
        positive: Node,
        negative: Node,
        emf: ElectricPotential,
        internal: ElectricalResistance,
    ) -> Result<NetworkPart, Unusable> {
        let emf = within("EMF", emf.get::<volt>(), "V", |e| e.abs() <= 1e3, "-1000 to 1000 V")?;
        let ohms = ohms("internal resistance", internal)?;
        self.add(negative, positive, Law::Ohmic { emf, ohms }, PartRole::Source)
    }

    /// Adds a conductor, contact, fuse or closed switch of 0 Ω, or of 1 nΩ to 1 TΩ. Its current counts from
    /// `from` to `to`.
    ///
    /// # Errors
    /// [`Unusable`] for a value out of that range or a node of another network.
    pub fn resistance(
        &mut self,
        from: Node,
        to: Node,
        resistance: ElectricalResistance,
    ) -> Result<NetworkPart, Unusable> {
        let ohms = ohms("resistance", resistance)?;
        self.add(from, to, Law::Ohmic { emf: 0.0, ohms }, PartRole::Path)
    }

    /// Adds a permanently open switch or a blown fuse: a part that carries no current.
    ///
    /// # Errors
    /// [`Unusable`] for a node of another network.
    pub fn open(&mut self, from: Node, to: Node) -> Result<NetworkPart, Unusable> {
        self.add(from, to, Law::Open, PartRole::Path)
    }

    /// Adds a load: up to 1 MA, up to 1 GW, or 1 nΩ to 1 TΩ. Its current counts from `positive` to `negative`.
    ///
    /// # Errors
    /// [`Unusable`] for a value out of that range or a node of another network.
    pub fn load(
        &mut self,
        positive: Node,
        negative: Node,
        load: NetworkLoad,
    ) -> Result<NetworkPart, Unusable> {
        let law = match load {
            NetworkLoad::Current(current) => Law::Amperes(within(
                "load current",
                current.get::<ampere>(),
                "A",
                |a| (0.0..=1e6).contains(&a),
                "0 to 1000000 A",
            )?),
            NetworkLoad::Power(power) => Law::Watts(within(
                "load power",
                power.get::<watt>(),
                "W",
                |w| (0.0..=1e9).contains(&w),
                "0 to 1000000000 W",
            )?),
            NetworkLoad::Resistance(resistance) => {
                let field = "load resistance";
                let ohms = ohms(field, resistance)?;
                within(field, ohms, "Ω", |r| r > 0.0, "1 nΩ to 1 TΩ")?;
                Law::Ohmic { emf: 0.0, ohms }
            }
        };
        self.add(positive, negative, law, PartRole::Load)
    }

    /// Every node, in the order added.
    pub fn nodes(&self) -> impl ExactSizeIterator<Item = Node> + use<> {
        (0..self.nodes).map(Node)
    }

    /// Every part, in the order added.
    pub fn parts(&self) -> impl ExactSizeIterator<Item = NetworkPart> + use<> {
        (0..self.branches.len()).map(NetworkPart)
    }

    fn add(&mut self, from: Node, to: Node, law: Law, role: PartRole) -> Result<NetworkPart, Unusable> {
        for node in [from, to] {
            if node.0 >= self.nodes {
                return Err(Unusable::Node(node.0, self.nodes));
            }
        }
        self.branches.push(NetworkBranch { from: from.0, to: to.0, law, role });
        Ok(NetworkPart(self.branches.len() - 1))
    }
}

/// The resistance in ohms, if it is in the solver's range.
fn ohms(field: &'static str, resistance: ElectricalResistance) -> Result<f64, Unusable> {
    let possible = |r: f64| r == 0.0 || (1e-9..=1e12).contains(&r);
    within(field, resistance.get::<ohm>(), "Ω", possible, "0 Ω, or 1 nΩ to 1 TΩ")
}

fn within(
    field: &'static str,
    value: f64,
    unit: &'static str,
    fits: impl Fn(f64) -> bool,
    expected: &'static str,
) -> Result<f64, Unusable> {
    if fits(value) { Ok(value) } else { Err(Unusable::Value { field, value, unit, expected }) }
}
