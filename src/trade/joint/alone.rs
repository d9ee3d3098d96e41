//! Each stretch sized by itself, the way it is done by hand.

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use super::stretch::ROUNDING;
use super::tree::{SizedLeg, Tree};

/// Sizes chosen one stretch at a time, the limit shared out by length beforehand: what is left of a device's
/// limit after the stretches already fixed, in proportion to the length of each stretch on its path; a shared
/// stretch keeps to the smallest share that any device behind it gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedAlone {
    /// For each stretch its choice, by place.
    pub chosen: Vec<usize>,
    /// For each stretch what it may lose at most; none where its size is fixed or no limit asks after it.
    pub shares: Vec<Option<ElectricPotential>>,
    /// What it all costs.
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

/// The volts a meter that each leg may lose: the least that any limit behind it leaves for each meter of its
/// path that is still to be chosen.
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
    // A meter that no limit asks after may lose anything, and a length of nothing loses nothing.
    least.into_iter().map(|volts| volts.min(f64::MAX)).collect()
}
