//! Sizes raised until limits of a network hold that they break.
//!
//! Every wire begins at the smallest size that its own rules allow, so every choice that keeps them costs at
//! least as much. A broken limit states by how much it is exceeded, and how much each wire adds to it. The
//! raised sizes with the least extra cost are found exactly where the limits form a tree and a wire adds the
//! same to each of them. Elsewhere the step with the most effect for its cost is made, again and again, and
//! raises that turn out to be needless are taken back.
//!
//! What a wire adds is taken from one solution of the network. After a raise the network is solved again.
//!
//! ```
//! use driploop::trade::joint::{BrokenLimit, RaisableWire, RaisedSize, raise};
//!
//! // The drop is 0.2 V over its limit. A feeder loses 0.4 V and its circuit 0.6 V.
//! let sizes = |cost: f64| [1.0, 0.63, 0.4].map(|share| RaisedSize { share, cost: cost / share }).to_vec();
//! let wires = [RaisableWire { sizes: sizes(0.9) }, RaisableWire { sizes: sizes(0.2) }];
//! let limit = BrokenLimit { excess: 0.2, adds: vec![(0, 0.4), (1, 0.6)] };
//! assert_eq!(raise(&wires, &[limit]), [0, 1]);
//! ```

use std::collections::BTreeSet;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};
use uom::si::length::meter;

use super::stretch::{SizeChoice, TreeStretch};

/// A wire whose size may be raised.
#[derive(Debug, Clone, PartialEq)]
pub struct RaisableWire {
    /// Its sizes, the present one first, each thicker than the one before.
    pub sizes: Vec<RaisedSize>,
}

/// A size of such a wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RaisedSize {
    /// Its resistance as a share of that of the present size.
    pub share: f64,
    /// The cost of the wire in this size.
    pub cost: f64,
}

/// A limit that the present sizes break.
#[derive(Debug, Clone, PartialEq)]
pub struct BrokenLimit {
    /// By how much.
    pub excess: f64,
    /// What each wire adds, by its position among the wires.
    pub adds: Vec<(usize, f64)>,
}

impl BrokenLimit {
    /// The excess that is left with these sizes.
    fn left(&self, wires: &[RaisableWire], chosen: &[usize]) -> f64 {
        let saved = |(wire, adds): &(usize, f64)| adds * (1.0 - wires[*wire].sizes[chosen[*wire]].share);
        self.excess - self.adds.iter().map(saved).sum::<f64>()
    }
}

/// For each wire the position of its new size. A limit that no sizes keep raises its wires to their thickest.
pub fn raise(wires: &[RaisableWire], limits: &[BrokenLimit]) -> Vec<usize> {
    exact(wires, limits).unwrap_or_else(|| stepwise(wires, limits))
}

/// The raise with the most effect for its cost, until every limit holds or nothing is left to raise.
fn stepwise(wires: &[RaisableWire], limits: &[BrokenLimit]) -> Vec<usize> {
    let mut chosen = vec![0; wires.len()];
    let mut left: Vec<f64> = limits.iter().map(|limit| limit.excess).collect();
    while let Some(wire) = most_effective(wires, limits, &chosen, &left) {
        chosen[wire] += 1;
        for (left, limit) in left.iter_mut().zip(limits) {
            *left = limit.left(wires, &chosen);
        }
    }
    take_back(wires, limits, &mut chosen);
    chosen
}

fn most_effective(
    wires: &[RaisableWire],
    limits: &[BrokenLimit],
    chosen: &[usize],
    left: &[f64],
) -> Option<usize> {
    let mut effects = vec![0.0; wires.len()];
    for (limit, left) in limits.iter().zip(left).filter(|(_, left)| **left > 0.0) {
        for (wire, adds) in &limit.adds {
            let sizes = &wires[*wire].sizes;
            let Some(next) = sizes.get(chosen[*wire] + 1) else { continue };
            effects[*wire] += (adds * (sizes[chosen[*wire]].share - next.share)).min(*left);
        }
    }
    let per_cost = |(wire, effect): (usize, f64)| {
        let sizes = &wires[wire].sizes;
        let next = sizes.get(chosen[wire] + 1)?;
        let cost = (next.cost - sizes[chosen[wire]].cost).max(f64::MIN_POSITIVE);
        (effect > 0.0).then(|| (wire, effect / cost))
    };
    let steps = effects.into_iter().enumerate().filter_map(per_cost);
    // Of equals the first, so that the answer is always the same.
    steps.reduce(|best, next| if next.1 > best.1 { next } else { best }).map(|(wire, _)| wire)
}

/// Lowers wires again, the dearest steps first, where the limits hold all the same.
fn take_back(wires: &[RaisableWire], limits: &[BrokenLimit], chosen: &mut [usize]) {
    let keeps = |chosen: &[usize]| limits.iter().all(|limit| limit.left(wires, chosen) <= 0.0);
    if !keeps(chosen) {
        return;
    }
    let saved = |wire: usize, at: usize| wires[wire].sizes[at].cost - wires[wire].sizes[at - 1].cost;
    let mut tried = BTreeSet::new();
    loop {
        let raised = (0..wires.len()).filter(|wire| chosen[*wire] > 0 && !tried.contains(wire));
        let dearest =
            raised.reduce(
                |best, next| {
                    if saved(next, chosen[next]) > saved(best, chosen[best]) { next } else { best }
                },
            );
        let Some(wire) = dearest else { break };
        chosen[wire] -= 1;
        if !keeps(chosen) {
            chosen[wire] += 1;
            tried.insert(wire);
        }
    }
}

/// The least cost, if the wires of the limits form a tree: `None` otherwise, and where no sizes keep the limits.
fn exact(wires: &[RaisableWire], limits: &[BrokenLimit]) -> Option<Vec<usize>> {
    let of_wire = limits_of_wires(wires.len(), limits)?;
    let mut places: Vec<usize> = (0..wires.len()).filter(|wire| !of_wire[*wire].is_empty()).collect();
    // A wire that more limits share is nearer to the source.
    places.sort_by_key(|wire| (std::cmp::Reverse(of_wire[*wire].len()), *wire));
    let mut stretches: Vec<TreeStretch> = Vec::with_capacity(places.len());
    let mut last: Vec<Option<usize>> = vec![None; limits.len()];
    for (at, &wire) in places.iter().enumerate() {
        let mut above = of_wire[wire].iter().map(|limit| last[*limit]);
        let first = above.next()?;
        if above.any(|other| other != first) {
            return None;
        }
        of_wire[wire].iter().for_each(|limit| last[*limit] = Some(at));
        let adds = limits[*of_wire[wire].first()?].adds.iter().find(|(one, _)| *one == wire)?.1;
        stretches.push(stretch(&wires[wire], adds, first));
    }
    for (limit, at) in limits.iter().zip(last) {
        let may = limit.adds.iter().map(|(_, adds)| adds).sum::<f64>() - limit.excess;
        let end = &mut stretches.get_mut(at?)?.limit;
        let may = ElectricPotential::new::<volt>(may.max(0.0));
        *end = Some(end.map_or(may, |other| other.min(may)));
    }
    let sizing = super::size(&stretches).ok()?;
    let mut chosen = vec![0; wires.len()];
    for (&wire, at) in places.iter().zip(sizing.chosen) {
        chosen[wire] = at;
    }
    Some(chosen)
}

/// The limits that each wire adds to; `None` if a wire does not add the same to all of them.
fn limits_of_wires(wires: usize, limits: &[BrokenLimit]) -> Option<Vec<BTreeSet<usize>>> {
    let mut of_wire = vec![BTreeSet::new(); wires];
    let mut adds_of: Vec<Option<f64>> = vec![None; wires];
    for (at, limit) in limits.iter().enumerate() {
        for (wire, adds) in &limit.adds {
            let known = *adds_of[*wire].get_or_insert(*adds);
            if (known - adds).abs() > 1e-6 * known.abs() || !of_wire[*wire].insert(at) {
                return None;
            }
        }
    }
    Some(of_wire)
}

/// The wire as a stretch that carries one ampere over one meter.
fn stretch(wire: &RaisableWire, adds: f64, above: Option<usize>) -> TreeStretch {
    let one = ElectricCurrent::new::<ampere>(1.0);
    let choice = |size: &RaisedSize| SizeChoice {
        per_meter: ElectricalResistance::new::<ohm>(adds * size.share),
        ampacity: one,
        cost_per_meter: size.cost,
    };
    TreeStretch {
        above,
        length: Length::new::<meter>(1.0),
        current: one,
        choices: wire.sizes.iter().map(choice).collect(),
        fixed: None,
        limit: None,
    }
}
