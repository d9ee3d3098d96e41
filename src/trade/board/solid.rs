//! Parts in the boat: flat boxes along its axes, by which parts on different boards are held apart.
//!
//! A part counts from its ground on the board: how far it stands proud of it is not known. Boards stand
//! square to the boat's axes, or nearly so.

/// From where to where something goes along one axis, in millimeters.
pub type Extent = (f64, f64);

/// A box with its sides along the boat's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solid {
    /// Ahead of the transom.
    pub ahead: Extent,
    /// To starboard of the centerline.
    pub starboard: Extent,
    /// Above the keel.
    pub up: Extent,
}

impl Solid {
    /// The shortest way from one to the other; none where they touch.
    pub fn distance_mm(&self, other: &Self) -> f64 {
        let [ahead, starboard, up] = self.gaps(other);
        ahead.hypot(starboard).hypot(up)
    }

    /// Whether another is over it, so that warmth rises to it.
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
        // By hand: 3, 4 and 12 apart are 13; over it and 40 up.
        let off = Solid { ahead: (103.0, 110.0), starboard: (-50.0, -4.0), up: (112.0, 120.0) };
        assert!((one.distance_mm(&off) - 13.0).abs() < 1e-12 && !one.is_under(&off));
        let over = Solid { up: (140.0, 160.0), ..one };
        assert!((one.distance_mm(&over) - 40.0).abs() < 1e-12 && one.is_under(&over) && !over.is_under(&one));
        assert_eq!(one.distance_mm(&one), 0.0);
    }
}
