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
mod tree;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};

use front::Sieve;
use tree::Tree;

/// A size that a stretch could have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Resistance of one meter of it; by the handbook formula, K over its circular mils, for one meter.
    pub per_meter: ElectricalResistance,
    /// What it may carry where it lies.
    pub ampacity: ElectricCurrent,
    /// What a meter costs, in copper or in money: any unit, the same throughout the tree.
    pub cost_per_meter: f64,
}

/// A pair of conductors of one size between two points of the tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The stretch it hangs from, by its place in the list, which is before its own; none at the source.
    pub above: Option<usize>,
    /// Its conductor, there and back.
    pub length: Length,
    /// What it carries: the sum of all behind it, or less by use.
    pub current: ElectricCurrent,
    /// The sizes it could have.
    pub choices: Vec<Choice>,
    /// The one it has already, by its place among the choices. Not held against its ampacity.
    pub fixed: Option<usize>,
    /// The volts that may be lost from the source to its far end. Needed where nothing hangs from it.
    pub limit: Option<ElectricPotential>,
}

/// The sizes of a tree that cost least together.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizing {
    /// For each stretch its choice, by place.
    pub chosen: Vec<usize>,
    /// The volts lost from the source to the far end of each stretch.
    pub lost: Vec<ElectricPotential>,
    /// What it all costs.
    pub cost: f64,
    /// Why nothing cheaper exists.
    pub proof: Proof,
    /// Each stretch sized by itself, for comparison; none where that way finds no size.
    pub alone: Option<Alone>,
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

/// Sizes chosen one stretch at a time, the limit shared out by length beforehand: what is left of a device's
/// limit after the stretches already fixed, in proportion to the length of each stretch on its path; a shared
/// stretch keeps to the smallest share that any device behind it gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// For each stretch its choice, by place.
    pub chosen: Vec<usize>,
    /// For each stretch what it may lose at most; none where its size is fixed or no limit asks after it.
    pub shares: Vec<Option<ElectricPotential>>,
    /// What it all costs.
    pub cost: f64,
}

/// Why a tree has no sizes.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoSizing {
    /// A value that cannot be reckoned with.
    #[error("stretch {stretch}: {field} is {value}; expected {expected}")]
    Value {
        /// The stretch, by place.
        stretch: usize,
        /// What was given.
        field: &'static str,
        /// Its value.
        value: String,
        /// What would have been accepted.
        expected: &'static str,
    },
    /// None of the sizes carries the current.
    #[error("stretch {stretch}: none of its {choices} sizes carries {:.1} A", current.get::<ampere>())]
    NoAmpacity {
        /// The stretch, by place.
        stretch: usize,
        /// How many sizes it could have.
        choices: usize,
        /// The current.
        current: ElectricCurrent,
    },
    /// Stretches whose limits cannot be met by any choice.
    #[error("no sizes keep the limits at {} stretches", unmet.len())]
    Limits {
        /// Those stretches.
        unmet: Vec<Unmet>,
    },
}

/// A limit that the thickest sizes do not keep either.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unmet {
    /// The stretch with the limit at its far end, by place.
    pub stretch: usize,
    /// What may be lost.
    pub limit: ElectricPotential,
    /// What is lost at the least.
    pub least: ElectricPotential,
}

/// Drops that add up to a limit to within this share of it keep it.
const ROUNDING: f64 = 1e-12;

/// Chooses the sizes that cost least together, keep every limit and carry every current.
///
/// # Errors
/// [`NoSizing`] naming the stretch when a value is unusable, a current is more than any size carries, or a
/// limit cannot be kept.
pub fn size(stretches: &[Stretch]) -> Result<Sizing, NoSizing> {
    let tree = Tree::new(stretches)?;
    tree.check_limits()?;
    let Some(known) = front::cheapest(&tree, &Sieve::Thin) else {
        return Err(NoSizing::Limits { unmet: Vec::new() });
    };
    let bound = bound::tightest(&tree, known.cost);
    let lower_bound = bound.cost;
    // Where the bound leaves no point standing, nothing beats what is known.
    let best = front::cheapest(&tree, &Sieve::Exact { bound, known: known.cost }).unwrap_or(known);
    Ok(Sizing {
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
