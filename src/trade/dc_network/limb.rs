//! Limbs: wiring that hangs on the rest by one part only.
//!
//! A circuit that is off, a wire to nowhere, nearly everything once all loads are off: what passes such parts
//! follows from Kirchhoff alone, from the tips inward, and their volts from Ohm, outward again. Neither needs
//! elimination, so limbs stay out of the equations.

/// A node that nothing but one conducting part joins to the rest, and that is no reference.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tip {
    pub(super) node: usize,
    pub(super) part: usize,
    /// The node at the part's other end.
    pub(super) towards: usize,
    /// Whether the part counts from the tip towards the rest.
    pub(super) inward: bool,
}

/// The tips of a network, each before the node it hangs on, for parts from one node to another of which some
/// conduct whatever the voltage.
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

/// The parts that meet at a node: how many, and their numbers added without carry, which of a single part is its
/// number.
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
