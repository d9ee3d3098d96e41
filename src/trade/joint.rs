//! Feeder and branch sizes chosen together.
//!
//! A feeder's drop is part of every device's drop behind it, so a size too thin there is paid for in every
//! branch. Sized one at a time, each conductor is given a share of the limit beforehand; sized together, the
//! shares are part of the choice, and the same limits cost the least copper (or money) that they can.
//!
//! The choice is exact. Every stretch of the tree has a *front*: what its whole subtree costs against the volts
//! that may already be lost where it begins. Fronts are built from the devices inward; what is dearer and
//! tolerates no more is dropped, and so is what cannot be part of any answer as cheap as one already known,
//! which a lower bound from Lagrange multipliers tells. Nothing is rounded. The bound is handed back as well:
//! it depends on none of the fronts, and the answer lies on or above it.
//!
//! Knows nothing of rules, minimum sizes or protection: whoever asks lists the sizes that may be taken.

mod alone;
mod bound;
mod front;
mod stretch;
mod tree;

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

pub use alone::SizedAlone;
pub use stretch::{Choice, NoSizing, TreeStretch, UnmetStretch};

use front::Sieve;
use tree::Tree;

/// The sizes of a tree that cost least together.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeSizing {
    /// For each stretch its choice, by place.
    pub chosen: Vec<usize>,
    /// The volts lost from the source to the far end of each stretch.
    pub lost: Vec<ElectricPotential>,
    /// What it all costs.
    pub cost: f64,
    /// Why nothing cheaper exists.
    pub proof: Proof,
    /// Each stretch sized by itself, for comparison; none where that way finds no size.
    pub alone: Option<SizedAlone>,
}

/// What stands behind the claim that nothing costs less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// No choice costs less than this, whatever it is: a bound by Lagrange multipliers, apart from the search.
    pub lower_bound: f64,
    /// Points in all fronts: partial answers that nothing kept beats.
    pub points: usize,
    /// Points in the largest front.
    pub largest_front: usize,
}

/// Chooses the sizes that cost least together, keep every limit and carry every current.
///
/// # Errors
/// [`NoSizing`] naming the stretch when a value is unusable, a current is more than any size carries, or a
/// limit cannot be kept.
pub fn size(stretches: &[TreeStretch]) -> Result<TreeSizing, NoSizing> {
    let tree = Tree::new(stretches)?;
    tree.check_limits()?;
    let Some(known) = front::cheapest(&tree, &Sieve::Thin) else {
        return Err(NoSizing::Limits { unmet: Vec::new() });
    };
    let bound = bound::tightest(&tree, known.cost);
    let lower_bound = bound.cost;
    // Where the bound leaves no point standing, nothing beats what is known.
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
        alone: alone::sizes(&tree),
    })
}
