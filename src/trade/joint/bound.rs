//! A lower bound on the cost of any choice.
//!
//! Each limit gets a price per volt. A leg then costs its wire plus its drop times the prices of all limits
//! downstream. Each leg can therefore be chosen by itself. The sum of these costs, less the limits times
//! their prices, is at most the cost of any choice that keeps the limits. This is true for any prices
//! (Lagrangian relaxation; weak duality). A price goes up where the separate choices exceed a limit, and down
//! where they leave room (subgradient steps in Polyak's length).

use super::tree::{SizedLeg, Tree, WireOption};

/// How often the prices are adjusted.
const ROUNDS: usize = 300;
/// The step is halved after this many rounds without improvement.
const PATIENCE: usize = 12;

/// Prices of the limits, and the bound that results from them.
#[derive(Debug, Clone)]
pub(super) struct Bound {
    /// The lower bound on the cost of any choice.
    pub(super) cost: f64,
    /// The sum of the prices of all limits downstream of each leg.
    per_volt: Vec<f64>,
    /// The part of the bound that comes from each leg and everything downstream of it.
    within: Vec<f64>,
}

impl Bound {
    /// A lower bound on the total cost if a leg and everything downstream of it have this cost and this
    /// tolerance.
    pub(super) fn of(&self, place: usize, tolerates: f64, cost: f64) -> f64 {
        cost - self.per_volt[place] * tolerates + (self.cost - self.within[place])
    }
}

/// The best bound found, for a tree with a known answer that costs `known`.
pub(super) fn tightest(tree: &Tree, known: f64) -> Bound {
    let mut prices = vec![0.0; tree.legs.len()];
    let (mut best, mut overrun) = at(tree, &prices);
    let (mut reach, mut idle) = (1.0, 0);
    for _ in 0..ROUNDS {
        let steep: f64 = overrun.iter().zip(&tree.legs).map(|(over, leg)| slope(*over, leg).powi(2)).sum();
        let stride = reach * (known - best.cost).max(0.0) / steep;
        if !stride.is_normal() {
            break;
        }
        for ((price, over), leg) in prices.iter_mut().zip(&overrun).zip(&tree.legs) {
            *price = f64::max(0.0, *price + stride * slope(*over, leg) / leg.limit.max(f64::MIN_POSITIVE));
        }
        let (bound, over) = at(tree, &prices);
        overrun = over;
        idle += 1;
        if bound.cost > best.cost {
            (best, idle) = (bound, 0);
        } else if idle == PATIENCE {
            (reach, idle) = (reach / 2.0, 0);
        }
    }
    best
}

/// How far a limit is exceeded, as a share of the limit.
fn slope(overrun: f64, leg: &SizedLeg) -> f64 {
    if leg.limit.is_finite() && leg.limit > 0.0 { overrun / leg.limit } else { 0.0 }
}

/// The bound at these prices, and the volts by which the cheapest choice at these prices exceeds each limit.
fn at(tree: &Tree, prices: &[f64]) -> (Bound, Vec<f64>) {
    let mut per_volt = prices.to_vec();
    let mut within = vec![0.0; tree.legs.len()];
    let mut taken: Vec<Option<&WireOption>> = vec![None; tree.legs.len()];
    for (place, leg) in tree.legs.iter().enumerate().rev() {
        let price = per_volt[place];
        let priced = |wire: &WireOption| wire.cost + price * wire.lost;
        taken[place] = leg.options.iter().min_by(|a, b| priced(a).total_cmp(&priced(b)));
        within[place] += taken[place].map_or(0.0, priced);
        if prices[place] > 0.0 {
            within[place] -= prices[place] * leg.roomy_limit();
        }
        if let Some(above) = leg.above {
            per_volt[above] += price;
            within[above] += within[place];
        }
    }
    let mut lost: Vec<f64> = Vec::with_capacity(tree.legs.len());
    for (leg, wire) in tree.legs.iter().zip(&taken) {
        lost.push(leg.above.map_or(0.0, |above| lost[above]) + wire.map_or(0.0, |wire| wire.lost));
    }
    let overrun = lost.iter().zip(&tree.legs).map(|(lost, leg)| lost - leg.limit).collect();
    let cost = tree.roots().map(|root| within[root]).sum();
    (Bound { cost, per_volt, within }, overrun)
}
