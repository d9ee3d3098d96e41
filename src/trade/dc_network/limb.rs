//! Limbs: wiring that one part alone connects to the rest.
//!
//! Examples are a circuit that is off, a wire with a free end, and nearly everything once all loads are off.
//! Kirchhoff's law alone gives the currents of such parts, from the tips inward. Ohm's law then gives their
//! volts, from the rest outward. Neither needs elimination, so limbs are not part of the equations.

/// A node that only one conducting part joins to the rest, and that is not a reference.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tip {
    pub(super) node: usize,
    pub(super) part: usize,
    /// The node at the part's other end.
    pub(super) towards: usize,
    /// Whether the part's current counts from the tip towards the rest.
    pub(super) inward: bool,
}

/// The tips of a network, each listed before the node it is connected to. Parts are given by their two end
/// nodes. `conducts` is true for the parts that conduct whatever the voltage.
pub(super) fn tips(is_reference: &[bool], ends: &[(usize, usize)], conducts: &[bool]) -> Vec<Tip> {
    let mut meeting = vec![Meeting::default(); is_reference.len()];
    for (part, &(from, to)) in ends.iter().enumerate() {
        meeting[from].toggle(part, 1);
        meeting[to].toggle(part, 1);
    }
    let mut tips = Vec::new();
    let mut hanging: Vec<usize> = (0..is_reference.len()).collect();
    while let Some(node) = hanging.pop() {
        let Meeting { count: 1, parts: part } = meeting[node] else { continue };
        if is_reference[node] || !conducts[part] {
            continue;
        }
        let (from, to) = ends[part];
        let inward = from == node;
        let towards = if inward { to } else { from };
        tips.push(Tip { node, part, towards, inward });
        meeting[node].toggle(part, -1);
        meeting[towards].toggle(part, -1);
        hanging.push(towards);
    }
    tips
}

/// The way from each node along its limb to the joint where the limb begins.
#[derive(Debug)]
pub(super) struct Limbs {
    /// The next node towards the joint, and the resistance to it; `None` at a joint.
    towards: Vec<Option<(usize, f64)>>,
    /// How many parts lie between each node and its joint.
    depth: Vec<usize>,
}

impl Limbs {
    /// The limbs of a network with so many nodes; `ohms` gives the resistance of a part.
    pub(super) fn new(nodes: usize, tips: &[Tip], ohms: impl Fn(usize) -> f64) -> Self {
        let (mut towards, mut depth) = (vec![None; nodes], vec![0; nodes]);
        for tip in tips.iter().rev() {
            towards[tip.node] = Some((tip.towards, ohms(tip.part)));
            depth[tip.node] = depth[tip.towards] + 1;
        }
        Self { towards, depth }
    }

    /// The resistance from two nodes along their limbs, and where these ways end: at their joints, or where
    /// they meet.
    pub(super) fn to_joints(&self, mut from: usize, mut to: usize) -> (f64, [usize; 2]) {
        let mut along = 0.0;
        while from != to {
            let farther = if self.depth[from] >= self.depth[to] { &mut from } else { &mut to };
            let Some((next, ohms)) = self.towards[*farther] else { break };
            *farther = next;
            along += ohms;
        }
        (along, [from, to])
    }
}

/// The parts that meet at a node: how many, and the exclusive-or of their numbers. If only one part is left,
/// the exclusive-or is its number.
#[derive(Debug, Clone, Copy, Default)]
struct Meeting {
    count: i32,
    parts: usize,
}

impl Meeting {
    fn toggle(&mut self, part: usize, count: i32) {
        self.count += count;
        self.parts ^= part;
    }
}
