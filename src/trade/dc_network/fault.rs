//! Short-circuit currents between two points of the network.

use std::sync::Arc;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

use super::network::{Network, NetworkBranch, NetworkPart, Node, PartRole};
use super::solution::{KIRCHHOFF, residual};
use super::system::NetworkSystem;
use super::tableau::{Factored, NetworkState, PartLaw, Singular};
use super::ties;
use super::trouble::Trouble;

/// A network with its loads off, prepared for a short circuit at any pair of nodes.
pub struct Shorts {
    islands: Vec<Island>,
    /// For each node, its island and its number there.
    home: Vec<(usize, usize)>,
}

/// One connected part of the network with its own equations. A short circuit in it does not affect the rest
/// of the network.
struct Island {
    system: NetworkSystem,
    /// For each branch here, its part in the whole network.
    parts: Arc<[usize]>,
    ready: Factored,
    rest: NetworkState,
    /// The same parts with every EMF set to zero: how the island responds to a current alone.
    dead: Vec<PartLaw>,
}

/// A short circuit between two points.
#[derive(Debug, Clone)]
pub struct ShortCircuit {
    open_circuit: f64,
    behind: f64,
    current: f64,
    /// The parts of its island, and the current through each.
    parts: Arc<[usize]>,
    amperes: Vec<f64>,
}

/// Why a short-circuit current cannot be calculated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoShortCircuit {
    /// No path joins the two points, so no current can flow between them.
    #[error("nothing joins the two points")]
    Apart,
    /// The two points are the same point.
    #[error("the two points are joined without resistance")]
    SamePoint,
    /// The source, the path and the short circuit all have no resistance.
    #[error("there is no resistance between the source and the short")]
    Unlimited,
    /// The arithmetic did not satisfy Kirchhoff's law within one part in a thousand million.
    #[error("the currents of the short do not add up")]
    Unsettled,
}

impl From<Singular> for NoShortCircuit {
    fn from(Singular: Singular) -> Self {
        Self::Unsettled
    }
}

impl Network {
    /// Prepares the calculation of short-circuit currents, with the parts for which `in_use` is true and
    /// every load off. Each later query costs one back-substitution in its own island.
    ///
    /// # Errors
    /// [`Trouble`] when the network has no solution even without loads.
    pub fn shorts(&self, in_use: impl Fn(NetworkPart) -> bool) -> Result<Shorts, Trouble> {
        let carries = |part: NetworkPart| {
            let branch = &self.branches[part.0];
            branch.role != PartRole::Load && branch.conducts() && in_use(part)
        };
        let whole = NetworkSystem::new(self, carries)?;
        let mut islands: Vec<(Network, Vec<usize>)> = vec![Default::default(); whole.wiring.islands.len()];
        let mut home = Vec::with_capacity(self.nodes);
        for &island in &whole.wiring.island {
            home.push((island, islands[island].0.node().0));
        }
        for part in self.parts().filter(|part| carries(*part)) {
            let branch = self.branches[part.0];
            let ((island, from), (_, to)) = (home[branch.from], home[branch.to]);
            let (network, parts) = &mut islands[island];
            network.branches.push(NetworkBranch { from, to, ..branch });
            parts.push(part.0);
        }
        let islands = islands.into_iter().map(|(network, parts)| Island::new(&network, parts.into()));
        Ok(Shorts { islands: islands.collect::<Result<_, _>>()?, home })
    }
}

impl Shorts {
    /// The current from `from` to `to` when they touch through `resistance`, 0 Ω for a dead short.
    ///
    /// # Errors
    /// [`NoShortCircuit`] when the two points do not define a current.
    pub fn between(
        &self,
        from: Node,
        to: Node,
        resistance: ElectricalResistance,
    ) -> Result<ShortCircuit, NoShortCircuit> {
        let (island, from, to) = self.on_one_island(from, to)?;
        island.between(from, to, resistance.get::<ohm>())
    }

    /// The Thevenin resistance of the network between two points. Sources count with their internal
    /// resistance, and loads are off. A meter would read it with every EMF set to zero.
    ///
    /// # Errors
    /// [`NoShortCircuit::Apart`] when nothing joins them, [`NoShortCircuit::Unsettled`] when the arithmetic
    /// fails.
    pub fn resistance(&self, from: Node, to: Node) -> Result<ElectricalResistance, NoShortCircuit> {
        let (island, from, to) = self.on_one_island(from, to)?;
        let (_, behind, _) = island.behind(from, to)?;
        Ok(ElectricalResistance::new::<ohm>(behind))
    }

    /// The island of two nodes, and their numbers there.
    fn on_one_island(&self, from: Node, to: Node) -> Result<(&Island, usize, usize), NoShortCircuit> {
        let ((island, from), (other, to)) = (self.home[from.0], self.home[to.0]);
        if island == other { Ok((&self.islands[island], from, to)) } else { Err(NoShortCircuit::Apart) }
    }
}

impl Island {
    fn new(network: &Network, parts: Arc<[usize]>) -> Result<Self, Trouble> {
        let system = NetworkSystem::new(network, |_| true)?;
        let laws = system.idle_laws();
        let ready = system.factor(&laws)?;
        let rest = system.state(&ready, &laws, |_| 0.0)?;
        let dead = laws.iter().map(PartLaw::without_sum).collect();
        Ok(Self { system, parts, ready, rest, dead })
    }

    fn between(&self, from: usize, to: usize, ohms: f64) -> Result<ShortCircuit, NoShortCircuit> {
        let (open_circuit, behind, answer) = self.behind(from, to)?;
        let whole = behind + ohms;
        if whole <= 0.0 {
            return Err(if open_circuit == 0.0 {
                NoShortCircuit::SamePoint
            } else {
                NoShortCircuit::Unlimited
            });
        }
        let current = open_circuit / whole;
        let both = self.rest.amperes.iter().zip(&answer.amperes);
        let live: Vec<f64> = both.map(|(rest, answer)| rest + current * answer).collect();
        let drawn = |node| current * through(node, from, to);
        let (branches, wiring) = (&self.system.branches, &self.system.wiring);
        let amperes = ties::currents(branches, wiring, &live, drawn)?;
        let residual = residual(branches, wiring, &amperes, drawn);
        if residual.is_nan() || residual > KIRCHHOFF {
            return Err(NoShortCircuit::Unsettled);
        }
        Ok(ShortCircuit { open_circuit, behind, current, parts: Arc::clone(&self.parts), amperes })
    }

    /// Open-circuit voltage and resistance between two nodes, and the island's response to one ampere drawn.
    fn behind(&self, from: usize, to: usize) -> Result<(f64, f64, NetworkState), NoShortCircuit> {
        let drawn = |node| through(node, from, to);
        let answer = self.system.state(&self.ready, &self.dead, drawn)?;
        let (open_circuit, behind) = match self.system.wiring.tied(from, to) {
            Some(volts) => (volts, 0.0),
            None => {
                let over = |state: &NetworkState| state.volts[from] - state.volts[to];
                (over(&self.rest), -over(&answer))
            }
        };
        Ok((open_circuit, behind, answer))
    }
}

/// The amperes that leave the network at a node while one ampere flows out at one node and in at another.
fn through(node: usize, from: usize, to: usize) -> f64 {
    f64::from(u8::from(node == from)) - f64::from(u8::from(node == to))
}

impl ShortCircuit {
    /// The voltage between the two points before they touch.
    pub fn open_circuit(&self) -> ElectricPotential {
        ElectricPotential::new::<volt>(self.open_circuit)
    }

    /// The resistance upstream of the two points, without that of the short circuit itself.
    pub fn behind(&self) -> ElectricalResistance {
        ElectricalResistance::new::<ohm>(self.behind)
    }

    /// The prospective short-circuit current.
    pub fn current(&self) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(self.current)
    }

    /// The current through a part during the short circuit, with its sign as in
    /// [`Solution::current`](super::Solution::current). This is the current that the part's fuse carries.
    pub fn through(&self, part: NetworkPart) -> ElectricCurrent {
        let here = self.parts.binary_search(&part.0).ok().and_then(|at| self.amperes.get(at));
        ElectricCurrent::new::<ampere>(here.copied().unwrap_or_default())
    }
}
