//! Feeder and branch sizes chosen together: of a tree exactly ([`size`]), of any network step by step
//! ([`raise`]).
//!
//! A feeder's drop is part of the total drop of every device that it feeds. If the feeder is too thin, every
//! branch must be thicker. When each conductor is sized alone, it gets a share of the limit beforehand. When
//! all are sized together, the shares are part of the choice. The same limits are then met with the least
//! copper (or money).
//!
//! The choice is exact. Every stretch of the tree has a *front*: the cost of its whole subtree against the
//! volts that may already be lost where it begins. Fronts are built from the devices inward. Points that cost
//! more and tolerate no more are dropped. Points that cannot be part of an answer as cheap as a known one are
//! dropped too. A lower bound from Lagrange multipliers identifies them. Nothing is rounded. The bound is
//! returned as well. It does not depend on the fronts, and the answer's cost is never below it.
//!
//! This module does not know rules, minimum sizes or protection: the caller lists the sizes that are allowed.

mod bound;
mod front;
mod raise;
mod stretch;
mod tree;

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

pub use raise::{BrokenLimit, RaisableWire, RaisedSize, raise};
pub use stretch::{NoSizing, SizeChoice, TreeStretch, UnmetStretch};

use front::Sieve;
use tree::Tree;

/// The sizes of a tree with the lowest total cost.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeSizing {
    /// For each stretch, the position of its choice in the list.
    pub chosen: Vec<usize>,
    /// The volts lost from the source to the far end of each stretch.
    pub lost: Vec<ElectricPotential>,
    /// The total cost.
    pub cost: f64,
    /// The proof that nothing cheaper exists.
    pub proof: Proof,
}

/// The evidence that nothing costs less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// No choice costs less than this: a lower bound by Lagrange multipliers, independent of the search.
    pub lower_bound: f64,
    /// Points in all fronts: partial answers that no other kept point beats.
    pub points: usize,
    /// Points in the largest front.
    pub largest_front: usize,
}

/// Chooses the sizes that cost least together, keep every limit and carry every current.
///
/// # Errors
/// [`NoSizing`] naming the stretch in one of these cases:
///
/// - A value is not usable.
/// - A current is more than any size carries.
/// - A limit cannot be met.
pub fn size(stretches: &[TreeStretch]) -> Result<TreeSizing, NoSizing> {
    let tree = Tree::new(stretches)?;
    tree.check_limits()?;
    let Some(known) = front::cheapest(&tree, &Sieve::Thin) else {
        return Err(NoSizing::Limits { unmet: Vec::new() });
    };
    let bound = bound::tightest(&tree, known.cost);
    let lower_bound = bound.cost;
    // If the bound leaves no point, nothing is cheaper than the known answer.
    let best = front::cheapest(&tree, &Sieve::Exact { bound, known: known.cost }).unwrap_or(known);
    Ok(TreeSizing {
        lost: tree.lost(&best.chosen).into_iter().map(ElectricPotential::new::<volt>).collect(),
        cost: best.cost,
        proof: Proof {
            lower_bound: lower_bound.min(best.cost),
            points: best.points,
            largest_front: best.largest_front,
        },
        chosen: best.chosen,
    })
}
