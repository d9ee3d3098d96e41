//! The boat as a place: how long a passage is, and where that is known from.

use super::plan::{Passage, Plan, Spot};

/// How a length came to be known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Somebody measured it.
    Measured,
    /// From where its two ends are on the drawing.
    Drawn,
}

impl Known {
    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Drawn => "from the drawing",
        }
    }
}

/// The length of a passage in metres, measured or from the drawing; `None` where neither is known.
pub fn passage_length(plan: &Plan, passage: &Passage) -> Option<(f64, Known)> {
    if let Some(length) = passage.length_m {
        return Some((length.number(), Known::Measured));
    }
    let [one, other] = passage.between.each_ref().map(|id| plan.place(id).and_then(|place| place.at));
    Some((along_the_hull(&one?, &other?), Known::Drawn))
}

/// How far wire goes between two spots, in metres: along, across and up, one after the other.
///
/// Wire follows stringers, frames and bulkheads, so the straight line would cut it short; this is the
/// longest way that makes no detour. A height that is not known counts as no rise.
pub fn along_the_hull(one: &Spot, other: &Spot) -> f64 {
    let along = (one.ahead_m.number() - other.ahead_m.number()).abs();
    let across = (one.starboard_m.number() - other.starboard_m.number()).abs();
    let up = one.up_m.zip(other.up_m).map_or(0.0, |(one, other)| (one.number() - other.number()).abs());
    along + across + up
}

/// How far two spots are apart in a straight line, in metres. A height that is not known counts as none.
pub fn straight(one: &Spot, other: &Spot) -> f64 {
    let along = one.ahead_m.number() - other.ahead_m.number();
    let across = one.starboard_m.number() - other.starboard_m.number();
    let up = one.up_m.zip(other.up_m).map_or(0.0, |(one, other)| one.number() - other.number());
    along.hypot(across).hypot(up)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(ahead: f64, starboard: f64, up: Option<f64>) -> Spot {
        Spot {
            ahead_m: ahead.try_into().unwrap(),
            starboard_m: starboard.try_into().unwrap(),
            up_m: up.map(|up| up.try_into().unwrap()),
        }
    }

    #[test]
    fn wire_goes_along_across_and_up() {
        let (helm, bow) = (spot(3.0, 0.2, Some(0.9)), spot(6.5, -0.4, Some(1.1)));
        assert!((along_the_hull(&helm, &bow) - (3.5 + 0.6 + 0.2)).abs() < 1e-12);
        assert!(
            (along_the_hull(&helm, &spot(3.0, 0.2, None))).abs() < 1e-12,
            "an unknown height adds nothing"
        );
    }
}
