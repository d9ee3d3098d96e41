//! Parts in the boat as flat boxes along its axes. They give the distance between parts on different boards.
//!
//! A part counts only by its area on the board, because how far it extends from the board is not known.
//! Boards are assumed to be square to the boat's axes, or nearly so.

/// The start and end of something along one axis, in millimeters.
pub type Extent = (f64, f64);

/// A box with its sides parallel to the boat's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solid {
    /// Distance ahead of the transom.
    pub ahead: Extent,
    /// Distance to starboard of the centerline.
    pub starboard: Extent,
    /// Height above the keel.
    pub up: Extent,
}

impl Solid {
    /// The shortest distance between the two; 0 where they touch.
    pub fn distance_mm(&self, other: &Self) -> f64 {
        let [ahead, starboard, up] = self.gaps(other);
        ahead.hypot(starboard).hypot(up)
    }

    /// Whether another part is above it, so that warm air rises to it.
    pub fn is_under(&self, other: &Self) -> bool {
        let [ahead, starboard, _] = self.gaps(other);
        ahead <= 0.0 && starboard <= 0.0 && other.up.0 >= self.up.1
    }

    fn gaps(&self, other: &Self) -> [f64; 3] {
        let gap = |one: Extent, other: Extent| (other.0 - one.1).max(one.0 - other.1).max(0.0);
        [gap(self.ahead, other.ahead), gap(self.starboard, other.starboard), gap(self.up, other.up)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_are_apart_by_their_nearest_corners() {
        let one = Solid { ahead: (0.0, 100.0), starboard: (0.0, 100.0), up: (0.0, 100.0) };
        // By hand: gaps of 3, 4 and 12 give a distance of 13. Above it, the gap is 40.
        let off = Solid { ahead: (103.0, 110.0), starboard: (-50.0, -4.0), up: (112.0, 120.0) };
        assert!((one.distance_mm(&off) - 13.0).abs() < 1e-12 && !one.is_under(&off));
        let over = Solid { up: (140.0, 160.0), ..one };
        assert!((one.distance_mm(&over) - 40.0).abs() < 1e-12 && one.is_under(&over) && !over.is_under(&one));
        assert_eq!(one.distance_mm(&one), 0.0);
    }
}
