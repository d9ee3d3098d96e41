//! Each stretch sized by itself, as it is done by hand.

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use super::stretch::ROUNDING;
use super::tree::{SizedLeg, Tree};

/// Sizes chosen one stretch at a time, with the limit divided by length beforehand.
///
/// The stretches with a fixed size use part of a device's limit. The rest is divided among the other
/// stretches on its path in proportion to their length. A shared stretch uses the smallest share that any
/// device downstream gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedAlone {
    /// For each stretch, the position of its choice in the list.
    pub chosen: Vec<usize>,
    /// For each stretch, the most that it may lose; `None` where its size is fixed or no limit applies to it.
    pub shares: Vec<Option<ElectricPotential>>,
    /// The total cost.
    pub cost: f64,
}

/// The cheapest size of each leg that loses no more than its share, if each has one.
pub(super) fn sizes(tree: &Tree) -> Option<SizedAlone> {
    let mut cost = 0.0;
    let mut chosen = Vec::with_capacity(tree.legs.len());
    let mut shares = Vec::with_capacity(tree.legs.len());
    for (leg, per_meter) in tree.legs.iter().zip(per_meter(tree)) {
        let share = per_meter * leg.length;
        let within = |lost: f64| leg.is_fixed || lost <= share * (1.0 + ROUNDING);
        let wire = leg.options.iter().rfind(|wire| within(wire.lost))?;
        cost += wire.cost;
        chosen.push(wire.choice);
        let is_limited = !leg.is_fixed && per_meter < f64::MAX;
        shares.push(is_limited.then(|| ElectricPotential::new::<volt>(share)));
    }
    Some(SizedAlone { chosen, shares, cost })
}

/// The volts per meter that each leg may lose. Each limit downstream leaves some volts for each meter of its
/// path that still has no size. The smallest of these counts.
fn per_meter(tree: &Tree) -> Vec<f64> {
    let fixed = |leg: &SizedLeg| if leg.is_fixed { leg.most_lost() } else { 0.0 };
    let free = |leg: &SizedLeg| if leg.is_fixed { 0.0 } else { leg.length };
    let (fixed_before, free_before) = (tree.before(fixed), tree.before(free));
    let mut least = vec![f64::INFINITY; tree.legs.len()];
    for (place, leg) in tree.legs.iter().enumerate().rev() {
        let meters = free_before[place] + free(leg);
        if meters > 0.0 {
            let volts = leg.limit - fixed_before[place] - fixed(leg);
            least[place] = least[place].min(volts / meters);
        }
        if let Some(above) = leg.above {
            least[above] = least[above].min(least[place]);
        }
    }
    // A stretch without a limit may lose any voltage, and a length of zero loses none.
    least.into_iter().map(|volts| volts.min(f64::MAX)).collect()
}
