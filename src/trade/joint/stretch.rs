//! The tree that is asked about: stretches with the sizes they could have, and why there may be no answer.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};

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
pub struct TreeStretch {
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
        unmet: Vec<UnmetStretch>,
    },
}

/// A limit that the thickest sizes do not keep either.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnmetStretch {
    /// The stretch with the limit at its far end, by place.
    pub stretch: usize,
    /// What may be lost.
    pub limit: ElectricPotential,
    /// What is lost at the least.
    pub least: ElectricPotential,
}

/// Drops that add up to a limit to within this share of it keep it.
pub(super) const ROUNDING: f64 = 1e-12;
