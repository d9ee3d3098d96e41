//! Series: conducting parts one after another, with nothing else joined between them.
//!
//! All parts of a series carry one current, apart from what is drawn at the nodes between them. So a series needs
//! one unknown and one equation, however many parts it has.

use super::part_law::PartLaw;

/// Parts from one joint to another, in their order.
#[derive(Debug)]
pub(super) struct Series {
    pub(super) from: usize,
    pub(super) links: Vec<Link>,
}

/// One part of a series.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub(super) part: usize,
    /// Whether its current counts in the direction of the series.
    pub(super) along: bool,
    /// The node at its far end.
    pub(super) to: usize,
}

impl Link {
    /// A current or a voltage in the direction of the series, as the part counts it; or the reverse.
    fn signed(self, value: f64) -> f64 {
        if self.along { value } else { -value }
    }
}

impl Series {
    /// The joint where it ends.
    pub(super) fn to(&self) -> usize {
        self.links.last().map_or(self.from, |link| link.to)
    }

    /// The nodes between its parts.
    pub(super) fn inner(&self) -> impl Iterator<Item = usize> + '_ {
        self.links.iter().rev().skip(1).map(|link| link.to)
    }

    /// Its law: that of its only part, or the sum of the voltages along its parts.
    pub(super) fn law(&self, laws: &[PartLaw]) -> PartLaw {
        match self.links.as_slice() {
            [only] => laws[only.part],
            links => PartLaw::sum(links.iter().map(|link| (laws[link.part], link.along))),
        }
    }

    /// The sum of its law while these amperes are drawn at its inner nodes.
    pub(super) fn sum(&self, laws: &[PartLaw], drawn: &[f64]) -> f64 {
        let (mut less, mut volts) = (0.0, 0.0);
        for (before, link) in self.links.iter().zip(self.links.iter().skip(1)) {
            less += drawn[before.to];
            volts += laws[link.part].ohms() * less;
        }
        self.law(laws).sum_with(-volts)
    }

    /// The amperes drawn at its inner nodes together.
    pub(super) fn drawn(&self, drawn: &[f64]) -> f64 {
        self.inner().map(|node| drawn[node]).sum()
    }

    /// The current of each part, from that of the series at its beginning.
    pub(super) fn spread(&self, mut current: f64, drawn: &[f64], amperes: &mut [f64]) {
        for link in &self.links {
            amperes[link.part] = link.signed(current);
            current -= drawn[link.to];
        }
    }

    /// The volts of its inner nodes, from the joint where it begins.
    pub(super) fn step(&self, volts: &mut [f64], across: impl Fn(usize) -> f64) {
        let mut here = volts[self.from];
        for link in self.links.iter().take(self.links.len().saturating_sub(1)) {
            here -= link.signed(across(link.part));
            volts[link.to] = here;
        }
    }
}

/// The series of a network, and each part that is in series with no other as one of its own. `parts` are those
/// considered; `ends` and `conducts` are those of all parts. A node of `is_fixed` ends a series.
pub(super) fn series(
    is_fixed: &[bool],
    parts: &[usize],
    ends: &[(usize, usize)],
    conducts: &[bool],
) -> Vec<Series> {
    let mut nodes = vec![Between::default(); is_fixed.len()];
    for &part in parts {
        let (from, to) = ends[part];
        let passes = conducts[part] && from != to;
        for node in [from, to] {
            nodes[node].count(part, passes);
        }
    }
    let beyond = |part: usize, node: usize| {
        let (from, to) = ends[part];
        if from == node { to } else { from }
    };
    let next = |part: usize, node: usize| nodes[node].other(part).filter(|_| !is_fixed[node]);
    let mut is_taken = vec![false; ends.len()];
    let mut all = Vec::new();
    for &part in parts {
        if is_taken[part] {
            continue;
        }
        // Back to where the series begins, then forward.
        let (mut part, mut from) = (part, ends[part].0);
        while let Some(before) = next(part, from) {
            (part, from) = (before, beyond(before, from));
        }
        let mut links = Vec::new();
        let (mut ahead, mut here) = (Some(part), from);
        while let Some(part) = ahead {
            is_taken[part] = true;
            let to = beyond(part, here);
            links.push(Link { part, along: ends[part].0 == here, to });
            (ahead, here) = (next(part, to), to);
        }
        all.push(Series { from, links });
    }
    all
}

/// What meets at a node: how many parts, whether one of them ends every series, and the exclusive-or of their
/// numbers. Of two parts, that and one number give the other.
#[derive(Debug, Clone, Copy, Default)]
struct Between {
    count: u32,
    is_joint: bool,
    parts: usize,
}

impl Between {
    fn count(&mut self, part: usize, passes: bool) {
        self.count += 1;
        self.is_joint |= !passes;
        self.parts ^= part;
    }

    /// The part in series with another, if there is one.
    fn other(&self, part: usize) -> Option<usize> {
        (self.count == 2 && !self.is_joint).then_some(self.parts ^ part)
    }
}
