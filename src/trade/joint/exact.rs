//! The sizes of a tree with the least total cost, and the proof.

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use super::front::Sieve;
use super::stretch::{NoSizing, TreeStretch};
use super::tree::Tree;
use super::{bound, front};

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
