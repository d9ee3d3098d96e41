//! The solution of a network.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Power};
use uom::si::power::watt;

use super::island::IslandWiring;
use super::network::{Law, NetworkBranch, NetworkPart, Node, PartRole};
use super::system::NO_VOLTAGE;
use super::tableau::NetworkState;
use super::ties;
use super::trouble::Trouble;

/// The largest relative error in Kirchhoff's law. A solution with a larger error is not returned.
pub(super) const KIRCHHOFF: f64 = 1e-9;
/// A current below this counts as zero, in amperes. It is rounding where no current flows.
const NO_CURRENT: f64 = 1e-12;

/// Volts, amperes and watts everywhere in a network.
///
/// Nodes and parts passed to its methods must be those of the network that was solved.
#[derive(Debug, Clone)]
pub struct Solution {
    volts: Vec<f64>,
    across: Vec<f64>,
    amperes: Vec<f64>,
    lost: Vec<f64>,
    given: f64,
    unfed: Vec<NetworkPart>,
    reversed: Vec<NetworkPart>,
    first_source: Vec<Option<NetworkPart>>,
    circulating: Vec<Circulating>,
    residual: f64,
}

/// Sources of one island, some of which feed the others. Examples are a charger at work, or joined batteries
/// with different states of charge.
#[derive(Debug, Clone, PartialEq)]
pub struct Circulating {
    /// The sources that supply current.
    pub giving: Vec<NetworkPart>,
    /// The sources that are being charged.
    pub taking: Vec<NetworkPart>,
    /// The sum of the currents into the sources being charged.
    pub current: ElectricCurrent,
}

impl Solution {
    /// Completes a state of the live parts. `drawing` are the loads that draw their full demand, in order.
    pub(super) fn new(
        branches: &[NetworkBranch],
        wiring: &IslandWiring,
        state: NetworkState,
        drawing: &[usize],
    ) -> Result<Self, Trouble> {
        let amperes = ties::currents(branches, wiring, &state.amperes, |_| 0.0)?;
        let residual = residual(branches, wiring, &amperes, |_| 0.0);
        if residual.is_nan() || residual > KIRCHHOFF {
            return Err(Trouble::Unsettled { residual });
        }
        let across: Vec<f64> = branches.iter().map(|branch| across(branch, wiring, &state.volts)).collect();
        let (unfed, reversed) = without_voltage(branches, wiring, &across, drawing);
        let each = || branches.iter().zip(&amperes);
        Ok(Self {
            given: each().map(|(branch, i)| emf(branch) * i).sum(),
            lost: each().map(|(branch, i)| heat(branch, *i)).collect(),
            circulating: circulating(branches, wiring, &amperes),
            first_source: (0..state.volts.len()).map(|node| wiring.first_source(node)).collect(),
            volts: state.volts,
            across,
            amperes,
            unfed,
            reversed,
            residual,
        })
    }

    /// The node's voltage above the reference of its island, which is the negative post of the island's first
    /// source. 0 V on a node that no source reaches.
    pub fn volts(&self, node: Node) -> ElectricPotential {
        ElectricPotential::new::<volt>(self.volts[node.0])
    }

    /// The voltage across a part: from its first node to its second, from positive to negative for sources
    /// and loads. 0 V between islands that nothing joins, where a meter has nothing to read.
    pub fn across(&self, part: NetworkPart) -> ElectricPotential {
        ElectricPotential::new::<volt>(self.across[part.0])
    }

    /// The current in a part: from its first node to its second, into a load's positive side, out of a
    /// source's positive post (negative while the source is being charged).
    pub fn current(&self, part: NetworkPart) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(self.amperes[part.0])
    }

    /// The heat in a conductor, a contact or a fuse, and inside a source. Zero for a load: see
    /// [`taken`](Self::taken).
    pub fn lost(&self, part: NetworkPart) -> Power {
        Power::new::<watt>(self.lost[part.0])
    }

    /// The power that the part takes from its two nodes; negative for a source that supplies power.
    pub fn taken(&self, part: NetworkPart) -> Power {
        let (volts, amperes) = (self.across(part), self.current(part));
        Power::new::<watt>(volts.get::<volt>() * amperes.get::<ampere>())
    }

    /// The power of all sources' EMFs. It equals the loads' power plus all losses, including those inside the
    /// sources.
    pub fn given(&self) -> Power {
        Power::new::<watt>(self.given)
    }

    /// Loads in use without voltage: no path to a source, a missing negative, or nothing to draw from.
    pub fn unfed(&self) -> &[NetworkPart] {
        &self.unfed
    }

    /// Electronic loads in use with reversed polarity; assumed to carry no current.
    pub fn reversed(&self) -> &[NetworkPart] {
        &self.reversed
    }

    /// The first source of the node's island. Its negative post counts as 0 V. `None` for a node without a
    /// source.
    pub fn reference(&self, node: Node) -> Option<NetworkPart> {
        self.first_source[node.0]
    }

    /// For each island in which sources charge others: which sources supply, which are charged, and how much
    /// flows.
    pub fn circulating(&self) -> &[Circulating] {
        &self.circulating
    }

    /// The error in Kirchhoff's current law at the worst node, as a share of the largest current of its
    /// island. The share is of a picoampere where less than that flows. It is never above 1e-9: a solution
    /// with a larger error is returned as [`Trouble::Unsettled`].
    pub fn residual(&self) -> f64 {
        self.residual
    }
}

/// The EMF of a source; zero for other parts.
fn emf(branch: &NetworkBranch) -> f64 {
    match branch.law {
        Law::Ohmic { emf, .. } => emf,
        Law::Open | Law::Amperes(_) | Law::Watts(_) => 0.0,
    }
}

/// The heat in watts in a part that is not a load.
fn heat(branch: &NetworkBranch, amperes: f64) -> f64 {
    match branch.law {
        Law::Ohmic { ohms, .. } if branch.role != PartRole::Load => ohms * amperes * amperes,
        _ => 0.0,
    }
}

/// The voltage across a part, for a source measured from its positive post.
fn across(branch: &NetworkBranch, wiring: &IslandWiring, volts: &[f64]) -> f64 {
    if !wiring.joined(branch.from, branch.to) {
        return 0.0;
    }
    let over = volts[branch.from] - volts[branch.to];
    if branch.role == PartRole::Source { -over } else { over }
}

/// The loads in use that have no voltage, and those with reversed polarity.
fn without_voltage(
    branches: &[NetworkBranch],
    wiring: &IslandWiring,
    across: &[f64],
    drawing: &[usize],
) -> (Vec<NetworkPart>, Vec<NetworkPart>) {
    let (mut unfed, mut reversed) = (Vec::new(), Vec::new());
    for &part in &wiring.live {
        let branch = &branches[part];
        if branch.role != PartRole::Load || drawing.binary_search(&part).is_ok() {
            continue;
        }
        let content = !branch.draws() || branch.wants_nothing();
        if !content && across[part] < -NO_VOLTAGE {
            reversed.push(NetworkPart(part));
        } else if !content || across[part].abs() <= NO_VOLTAGE {
            unfed.push(NetworkPart(part));
        }
    }
    unfed.sort_unstable();
    (unfed, reversed)
}

/// The error in the current law at the worst node, as a share of the largest current of its island.
/// `drawn(node)` is the amperes that leave the network at each node.
pub(super) fn residual(
    branches: &[NetworkBranch],
    wiring: &IslandWiring,
    amperes: &[f64],
    drawn: impl Fn(usize) -> f64,
) -> f64 {
    let mut missing: Vec<f64> = (0..wiring.island.len()).map(|node| -drawn(node)).collect();
    for (branch, i) in branches.iter().zip(amperes) {
        missing[branch.from] -= i;
        missing[branch.to] += i;
    }
    let largest = largest_currents(branches, wiring, amperes);
    let relative =
        missing.iter().zip(&wiring.island).map(|(missing, &island)| missing.abs() / largest[island]);
    relative.fold(0.0, |worst, x| if x > worst || x.is_nan() { x } else { worst })
}

/// The largest current of each island, at least [`NO_CURRENT`].
fn largest_currents(branches: &[NetworkBranch], wiring: &IslandWiring, amperes: &[f64]) -> Vec<f64> {
    let mut largest = vec![NO_CURRENT; wiring.islands.len()];
    for (branch, i) in branches.iter().zip(amperes) {
        let home = &mut largest[wiring.island[branch.from]];
        *home = home.max(i.abs());
    }
    largest
}

/// The islands in which some sources charge others.
fn circulating(branches: &[NetworkBranch], wiring: &IslandWiring, amperes: &[f64]) -> Vec<Circulating> {
    let mut found = vec![(Vec::new(), Vec::new(), 0.0); wiring.islands.len()];
    let largest = largest_currents(branches, wiring, amperes);
    for (part, (branch, i)) in branches.iter().zip(amperes).enumerate() {
        let island = wiring.island[branch.from];
        let power = emf(branch) * i;
        if branch.role != PartRole::Source || i.abs() <= KIRCHHOFF * largest[island] {
            continue;
        }
        let (giving, taking, current) = &mut found[island];
        if power < 0.0 {
            taking.push(NetworkPart(part));
            *current += i.abs();
        } else if power > 0.0 {
            giving.push(NetworkPart(part));
        }
    }
    found.retain(|(giving, taking, _)| !giving.is_empty() && !taking.is_empty());
    let told = |(giving, taking, current)| Circulating {
        giving,
        taking,
        current: ElectricCurrent::new::<ampere>(current),
    };
    found.into_iter().map(told).collect()
}
