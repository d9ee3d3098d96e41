//! Whether a connector passes through a bore beside the cables already in it.
//!
//! Cables in a bore gather into a round bundle. Its width is [`GATHERED`] times the square root of the sum of
//! the squares of their diameters. A single conductor has its own width. The connector has the remaining
//! width of the bore. This is the practice of harness making, from memory. It is on the safe side for wires
//! that lie flat.

use uom::si::f64::Length;
use uom::si::length::millimeter;

use crate::trade::quantity::Quantity;
use crate::trade::source::BUNDLE_ACROSS;
use crate::trade::working::{Working, figure, keeps_to};

/// Ratio of the diameter of a real round bundle to that of its wires packed without gaps.
pub const GATHERED: f64 = 1.2;

/// The width that remains in a bore.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// The remaining width.
    pub left: Length,
    /// The working.
    pub working: Working,
}

impl Beside {
    /// The width that remains beside conductors and cables with these outside diameters.
    pub fn of(bore: Length, diameters: &[Length]) -> Self {
        let bundle = across(diameters);
        let left = bore - bundle;
        let mm = |length: Length| figure((length.get::<millimeter>() * 10.0).round() / 10.0);
        let working = Working {
            what: Quantity::RoomInBore,
            formula: "bore - 1.2 x square root of the sum of d^2, or - d where one lies alone",
            numbers: format!("{} mm - {} mm of {} in it", mm(bore), mm(bundle), diameters.len()).into(),
            result: format!("{} mm", mm(left)).into(),
            source: &BUNDLE_ACROSS,
        };
        Self { left, working }
    }

    /// Whether a connector of this width passes.
    pub fn passes(&self, connector: Length) -> bool {
        keeps_to(connector.get::<millimeter>(), self.left.get::<millimeter>())
    }
}

/// The width of a bundle of conductors and cables.
fn across(diameters: &[Length]) -> Length {
    match diameters {
        [] => Length::default(),
        [only] => *only,
        several => {
            let squares: f64 = several.iter().map(|d| d.get::<millimeter>().powi(2)).sum();
            Length::new::<millimeter>(GATHERED * squares.sqrt())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn the_room_left_by_hand() {
        // An empty bore; one cable of 6; three of 3, 4 and 12: 1.2 x sqrt(9 + 16 + 144) = 1.2 x 13 = 15.6.
        let left = |diameters: &[f64]| {
            let diameters: Vec<Length> = diameters.iter().copied().map(mm).collect();
            Beside::of(mm(38.0), &diameters).left.get::<millimeter>()
        };
        for (diameters, expected) in [(&[][..], 38.0), (&[6.0], 32.0), (&[3.0, 4.0, 12.0], 22.4)] {
            assert!((left(diameters) - expected).abs() < 1e-9, "{diameters:?}");
        }
    }

    #[test]
    fn a_connector_that_just_fits_passes() {
        let beside = Beside::of(mm(38.0), &[mm(6.0)]);
        assert!(beside.passes(mm(32.0)) && !beside.passes(mm(32.1)));
        assert_eq!(beside.working.numbers, "38 mm - 6 mm of 1 in it");
    }
}
