//! Connected parts of the network: islands, their references, and nodes tied at 0 Ω.

use super::network::{Network, NetworkBranch, NetworkPart, Node, PartRole};

/// The network with its switches set: which parts conduct, and which nodes they connect.
#[derive(Debug)]
pub(super) struct IslandWiring {
    /// Parts in use whose current is an unknown of its own: first all that conduct except `loops`, then loads
    /// that draw.
    pub(super) live: Vec<usize>,
    /// Parts of 0 Ω that close a loop of 0 Ω: Ohm's law does not determine their current.
    pub(super) loops: Vec<usize>,
    /// For each node, its island.
    pub(super) island: Vec<usize>,
    /// The islands, in the order of their lowest node.
    pub(super) islands: Vec<Island>,
    ties: Ties,
}

/// Nodes joined by parts that conduct whatever the voltage.
#[derive(Debug, Clone, Copy)]
pub(super) struct Island {
    /// The node that counts as 0 V: the negative post of the first source, or the lowest node if there is no
    /// source.
    pub(super) reference: usize,
    pub(super) first_source: Option<usize>,
}

/// Sources of different voltage without any resistance between them, and the difference in volts.
#[derive(Debug)]
pub(super) struct Clash {
    pub(super) sources: Vec<usize>,
    pub(super) difference: f64,
}

impl IslandWiring {
    pub(super) fn new(network: &Network, in_use: &[bool]) -> Result<Self, Clash> {
        let used = |&part: &usize| in_use[part];
        let branch = |part: usize| &network.branches[part];
        let parts = || (0..network.branches.len()).filter(used);
        let conducting: Vec<usize> = parts().filter(|&p| branch(p).conducts()).collect();

        let mut ties = Ties::new(network.nodes);
        let mut loops = Vec::new();
        for &part in &conducting {
            let Some(emf) = branch(part).tie() else { continue };
            match ties.join(branch(part), emf) {
                Join::New => {}
                Join::Loop => loops.push(part),
                Join::Clash(difference) => {
                    return Err(Clash { sources: ties.sources_with(network, &conducting, part), difference });
                }
            }
        }
        let mut live = conducting.clone();
        live.retain(|part| loops.binary_search(part).is_err());
        live.extend(parts().filter(|&p| branch(p).draws()));

        let (island, islands) = islands(network, &conducting);
        Ok(Self { live, loops, island, islands, ties })
    }

    /// Whether both nodes are connected.
    pub(super) fn joined(&self, one: usize, other: usize) -> bool {
        self.island[one] == self.island[other]
    }

    /// The volts of `one` above `other` if 0 Ω ties them together.
    pub(super) fn tied(&self, one: usize, other: usize) -> Option<f64> {
        let ((root, volts), (other_root, other_volts)) = (self.ties.find(one), self.ties.find(other));
        (root == other_root).then_some(volts - other_volts)
    }

    /// One node that represents all nodes tied to this one at 0 Ω.
    pub(super) fn tie_of(&self, node: usize) -> usize {
        self.ties.find(node).0
    }

    pub(super) fn first_source(&self, node: usize) -> Option<NetworkPart> {
        self.islands[self.island[node]].first_source.map(NetworkPart)
    }
}

/// The network divided where no part joins it, whichever parts are in use.
#[derive(Debug, Clone, Default)]
pub struct Pieces {
    of_node: Vec<usize>,
    of_part: Vec<usize>,
    count: usize,
}

impl Pieces {
    /// How many pieces there are. They are numbered from 0.
    pub fn count(&self) -> usize {
        self.count
    }

    /// The piece that a node is in.
    pub fn of_node(&self, node: Node) -> usize {
        self.of_node[node.0]
    }

    /// The piece that a part is in.
    pub fn of_part(&self, part: NetworkPart) -> usize {
        self.of_part[part.0]
    }
}

impl Network {
    /// The pieces that no part joins. No current in one piece changes anything in another.
    pub fn pieces(&self) -> Pieces {
        let all: Vec<usize> = (0..self.branches.len()).collect();
        let (of_node, islands) = islands(self, &all);
        let of_part = self.branches.iter().map(|branch| of_node[branch.from]).collect();
        Pieces { of_part, of_node, count: islands.len() }
    }
}

/// The island of each node, and the islands.
fn islands(network: &Network, conducting: &[usize]) -> (Vec<usize>, Vec<Island>) {
    let mut joints = Ties::new(network.nodes);
    for &part in conducting {
        joints.join(&network.branches[part], 0.0);
    }
    let mut number = vec![None; network.nodes];
    let mut islands = Vec::new();
    let island: Vec<usize> = (0..network.nodes)
        .map(|node| {
            *number[joints.find(node).0].get_or_insert_with(|| {
                islands.push(Island { reference: node, first_source: None });
                islands.len() - 1
            })
        })
        .collect();
    for &part in conducting {
        let branch = &network.branches[part];
        let home = &mut islands[island[branch.from]];
        if branch.role == PartRole::Source && home.first_source.is_none() {
            *home = Island { reference: branch.from, first_source: Some(part) };
        }
    }
    (island, islands)
}

/// Union-find over nodes that also keeps how many volts each node is above its root.
#[derive(Debug)]
struct Ties {
    parent: Vec<usize>,
    over_parent: Vec<f64>,
    size: Vec<usize>,
}

enum Join {
    New,
    Loop,
    Clash(f64),
}

impl Ties {
    fn new(nodes: usize) -> Self {
        Self { parent: (0..nodes).collect(), over_parent: vec![0.0; nodes], size: vec![1; nodes] }
    }

    /// The root and the volts above it. Joining by size keeps the search short.
    fn find(&self, mut node: usize) -> (usize, f64) {
        let mut volts = 0.0;
        while self.parent[node] != node {
            volts += self.over_parent[node];
            node = self.parent[node];
        }
        (node, volts)
    }

    /// Ties the two ends of a part, with `to` at `emf` above `from`.
    fn join(&mut self, branch: &NetworkBranch, emf: f64) -> Join {
        let (from, from_volts) = self.find(branch.from);
        let (to, to_volts) = self.find(branch.to);
        let to_over_from = from_volts + emf - to_volts;
        if from == to {
            let rounding = 1e-12 * (from_volts.abs() + emf.abs() + to_volts.abs());
            return if to_over_from.abs() <= rounding { Join::Loop } else { Join::Clash(to_over_from) };
        }
        let (root, under, volts) = if self.size[from] >= self.size[to] {
            (from, to, to_over_from)
        } else {
            (to, from, -to_over_from)
        };
        self.parent[under] = root;
        self.over_parent[under] = volts;
        self.size[root] += self.size[under];
        Join::New
    }

    /// The sources in the tied group of this part, including the part itself if it is a source.
    fn sources_with(&self, network: &Network, conducting: &[usize], part: usize) -> Vec<usize> {
        let root = self.find(network.branches[part].from).0;
        let mut sources = conducting.to_vec();
        sources.retain(|&other| {
            let branch = &network.branches[other];
            branch.role == PartRole::Source
                && branch.tie().is_some()
                && self.find(branch.from).0 == root
                && self.find(branch.to).0 == root
        });
        sources
    }
}
