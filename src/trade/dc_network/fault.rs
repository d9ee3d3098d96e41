//! Short-circuit currents between two points of the network.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

use super::limb::Limbs;
use super::network::{Network, NetworkBranch, NetworkPart, Node, PartRole};
use super::part_law::PartLaw;
use super::solution::{KIRCHHOFF, residual};
use super::system::{NetworkSystem, Rest};
use super::tableau::Singular;
use super::ties;
use super::trouble::Trouble;

/// A network with its loads off, prepared for a short circuit at any pair of nodes.
#[derive(Clone)]
pub struct Shorts {
    islands: Vec<Arc<Island>>,
    /// For each node, its island and its number there.
    home: Arc<[(usize, usize)]>,
}

/// The work budget of the short circuits of one island: nodes, over all solves of its equations. In wiring with many
/// loops a solve counts as more, because the elimination fills up.
const MOST_NODES: usize = 500_000;
/// So many unknowns, times themselves, count as one node.
const FILLED: usize = 1_000;

/// One connected part of the network with its own equations. A short circuit in it does not affect the rest
/// of the network.
struct Island {
    system: NetworkSystem,
    /// For each branch here, its part in the whole network.
    parts: Arc<[usize]>,
    rest: Rest,
    /// The same parts with every EMF set to zero: how the island responds to a current alone.
    dead: Vec<PartLaw>,
    limbs: Limbs,
    between_joints: Mutex<BetweenJoints>,
}

/// The resistance between two nodes outside limbs, once it was asked for.
struct BetweenJoints {
    known: HashMap<(usize, usize), f64>,
    solves_left: usize,
    is_spent: bool,
}

/// A short circuit between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShortCircuit {
    open_circuit: f64,
    behind: f64,
    current: f64,
}

/// The current in each part while two points touch.
#[derive(Debug, Clone)]
pub struct ShortCurrents {
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
    /// The work budget of the island is spent.
    #[error("too many short circuits are asked for in wiring with too many loops")]
    Spent,
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
        let islands =
            islands.into_iter().map(|(network, parts)| Island::new(&network, parts.into()).map(Arc::new));
        Ok(Shorts { islands: islands.collect::<Result<_, _>>()?, home: home.into() })
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

    /// The current in each part while `from` and `to` touch through `resistance`. It needs the whole island's
    /// equations, and the current of the short circuit alone does not.
    ///
    /// # Errors
    /// [`NoShortCircuit`] when the two points do not define a current.
    pub fn currents(
        &self,
        from: Node,
        to: Node,
        resistance: ElectricalResistance,
    ) -> Result<ShortCurrents, NoShortCircuit> {
        let (island, from, to) = self.on_one_island(from, to)?;
        let short = island.between(from, to, resistance.get::<ohm>())?;
        island.currents(from, to, short.current)
    }

    /// The Thevenin resistance of the network between two points. Sources count with their internal
    /// resistance, and loads are off. A meter would read it with every EMF set to zero.
    ///
    /// # Errors
    /// [`NoShortCircuit::Apart`] when nothing joins them, [`NoShortCircuit::Unsettled`] when the arithmetic
    /// fails.
    pub fn resistance(&self, from: Node, to: Node) -> Result<ElectricalResistance, NoShortCircuit> {
        let (island, from, to) = self.on_one_island(from, to)?;
        Ok(ElectricalResistance::new::<ohm>(island.behind(from, to)?))
    }

    /// How many parts the island of a part has; 0 if the part is not in use.
    pub fn parts_beside(&self, part: NetworkPart) -> usize {
        self.island_of(part).map_or(0, |(_, island)| island.parts.len())
    }

    /// The same network without some parts of one island, that of `part`. The other islands are shared.
    ///
    /// # Errors
    /// [`Trouble`] when that island has no solution even without loads.
    pub fn without(&self, part: NetworkPart, off: impl Fn(NetworkPart) -> bool) -> Result<Self, Trouble> {
        let Some((at, island)) = self.island_of(part) else { return Ok(self.clone()) };
        let all = island.system.branches.iter().zip(island.parts.iter());
        let (branches, parts): (Vec<_>, Vec<_>) = all.filter(|(_, part)| !off(NetworkPart(**part))).unzip();
        let network = Network { nodes: island.system.nodes(), branches };
        let mut islands = self.islands.clone();
        islands[at] = Arc::new(Island::new(&network, parts.into())?);
        Ok(Self { islands, home: Arc::clone(&self.home) })
    }

    /// Whether a short circuit was not calculated because a work budget was spent.
    pub fn is_spent(&self) -> bool {
        self.islands.iter().any(|island| island.joints().is_spent)
    }

    fn island_of(&self, part: NetworkPart) -> Option<(usize, &Island)> {
        let has = |island: &&Arc<Island>| island.parts.binary_search(&part.0).is_ok();
        let at = self.islands.iter().position(|island| has(&island))?;
        Some((at, self.islands.get(at)?))
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
        let rest = system.at_rest()?;
        let dead = system.idle_laws().iter().map(PartLaw::without_sum).collect();
        let limbs = system.limbs();
        let filled = system.unknowns().saturating_mul(system.unknowns()) / FILLED;
        let solves_left = MOST_NODES / system.nodes().max(filled).max(1);
        let joints = BetweenJoints { known: HashMap::default(), solves_left, is_spent: false };
        Ok(Self { system, parts, rest, dead, limbs, between_joints: Mutex::new(joints) })
    }

    fn joints(&self) -> MutexGuard<'_, BetweenJoints> {
        self.between_joints.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn between(&self, from: usize, to: usize, ohms: f64) -> Result<ShortCircuit, NoShortCircuit> {
        if !self.system.wiring.joined(from, to) {
            return Err(NoShortCircuit::Apart);
        }
        let open_circuit = match self.system.wiring.tied(from, to) {
            Some(volts) => volts,
            None => self.rest.state.volts[from] - self.rest.state.volts[to],
        };
        let behind = self.behind(from, to)?;
        let whole = behind + ohms;
        if whole <= 0.0 {
            return Err(if open_circuit == 0.0 {
                NoShortCircuit::SamePoint
            } else {
                NoShortCircuit::Unlimited
            });
        }
        Ok(ShortCircuit { open_circuit, behind, current: open_circuit / whole })
    }

    fn currents(&self, from: usize, to: usize, current: f64) -> Result<ShortCurrents, NoShortCircuit> {
        let answer = self.system.answer(&self.rest, &self.dead, |node| through(node, from, to))?;
        let both = self.rest.state.amperes.iter().zip(&answer.amperes);
        let live: Vec<f64> = both.map(|(rest, answer)| rest + current * answer).collect();
        let drawn = |node| current * through(node, from, to);
        let (branches, wiring) = (&self.system.branches, &self.system.wiring);
        let amperes = ties::currents(branches, wiring, &live, drawn)?;
        let residual = residual(branches, wiring, &amperes, drawn);
        if residual.is_nan() || residual > KIRCHHOFF {
            return Err(NoShortCircuit::Unsettled);
        }
        Ok(ShortCurrents { parts: Arc::clone(&self.parts), amperes })
    }

    /// The resistance between two nodes with every EMF set to zero: along the limbs that they are on, and
    /// between the joints where these limbs begin.
    fn behind(&self, from: usize, to: usize) -> Result<f64, NoShortCircuit> {
        if self.system.wiring.tied(from, to).is_some() {
            return Ok(0.0);
        }
        let (along, [from, to]) = self.limbs.to_joints(from, to);
        if from == to {
            return Ok(along);
        }
        let pair = (from.min(to), from.max(to));
        let mut joints = self.joints();
        if let Some(between) = joints.known.get(&pair) {
            return Ok(along + between);
        }
        if joints.solves_left == 0 {
            joints.is_spent = true;
            return Err(NoShortCircuit::Spent);
        }
        joints.solves_left -= 1;
        let answer = self.system.answer(&self.rest, &self.dead, |node| through(node, from, to))?;
        let between = answer.volts[to] - answer.volts[from];
        joints.known.insert(pair, between);
        Ok(along + between)
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
}

impl ShortCurrents {
    /// The current through a part during the short circuit, with its sign as in
    /// [`Solution::current`](super::Solution::current). This is the current that the part's fuse carries.
    pub fn through(&self, part: NetworkPart) -> ElectricCurrent {
        let here = self.parts.binary_search(&part.0).ok().and_then(|at| self.amperes.get(at));
        ElectricCurrent::new::<ampere>(here.copied().unwrap_or_default())
    }
}
