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
