//! The input tree: stretches with their possible sizes, and the reasons why there may be no answer.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};

/// A size that a stretch could have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeChoice {
    /// Resistance of one meter of it; in the handbook formula, K over its circular mils, for one meter.
    pub per_meter: ElectricalResistance,
    /// Its ampacity in the conditions where it is installed.
    pub ampacity: ElectricCurrent,
    /// The cost of a meter, in copper or in money: any unit, the same throughout the tree.
    pub cost_per_meter: f64,
}

/// A pair of conductors of one size between two points of the tree.
#[derive(Debug, Clone, PartialEq)]
pub struct TreeStretch {
    /// The stretch that feeds it, by its position in the list, which is before its own; `None` at the source.
    pub above: Option<usize>,
    /// The length of its conductor, there and back.
    pub length: Length,
    /// Its current: the sum of everything downstream, or less if not all is on together.
    pub current: ElectricCurrent,
    /// The sizes it could have.
    pub choices: Vec<SizeChoice>,
    /// The size that it already has, by position among the choices. Its ampacity is not checked.
    pub fixed: Option<usize>,
    /// The volts that may be lost from the source to its far end. Needed where nothing is connected to that
    /// end.
    pub limit: Option<ElectricPotential>,
}

/// Why no sizes exist for a tree.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoSizing {
    /// A value outside the accepted range.
    #[error("stretch {stretch}: {field} is {value}; expected {expected}")]
    Value {
        /// The stretch, by position.
        stretch: usize,
        /// The name of the value.
        field: &'static str,
        /// Its value.
        value: String,
        /// The accepted range.
        expected: &'static str,
    },
    /// None of the sizes carries the current.
    #[error("stretch {stretch}: none of its {choices} sizes carries {:.1} A", current.get::<ampere>())]
    NoAmpacity {
        /// The stretch, by position.
        stretch: usize,
        /// How many sizes it could have.
        choices: usize,
        /// The current.
        current: ElectricCurrent,
    },
    /// Stretches whose limits no choice can meet.
    #[error("no sizes keep the limits at {} stretches", unmet.len())]
    Limits {
        /// Those stretches.
        unmet: Vec<UnmetStretch>,
    },
}

/// A limit that even the thickest sizes do not meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnmetStretch {
    /// The stretch with the limit at its far end, by position.
    pub stretch: usize,
    /// The limit on the drop.
    pub limit: ElectricPotential,
    /// The smallest possible drop.
    pub least: ElectricPotential,
}

/// Rounding tolerance: a sum of drops meets a limit if it exceeds the limit by no more than this share.
pub(super) const ROUNDING: f64 = 1e-12;
