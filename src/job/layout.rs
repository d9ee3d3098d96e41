//! The geometry of the boat: the length of a raceway, and where that length comes from.

use super::plan::{Plan, Raceway, Spot};
use crate::trade::quantity::Quantity;
use crate::trade::source::DRAWN_LENGTH;
use crate::trade::working::{self, Numbers, Working};

/// Where a length comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Somebody measured it.
    Measured,
    /// Calculated from the positions of its two ends on the drawing.
    Drawn,
}

impl Known {
    /// The text for this.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Drawn => "from the drawing",
        }
    }
}

/// The length of a raceway in meters, measured or from the drawing; `None` if neither is known.
pub fn raceway_length(plan: &Plan, raceway: &Raceway) -> Option<(f64, Known)> {
    if let Some(length) = raceway.length_m {
        return Some((length.number(), Known::Measured));
    }
    let [one, other] =
        raceway.between.each_ref().map(|id| plan.location(id).and_then(|location| location.at));
    Some((along_the_hull(&one?, &other?), Known::Drawn))
}

/// How the length of a raceway follows from the drawing; `None` if it is measured or not known.
pub fn drawn_length(plan: &Plan, raceway: &Raceway) -> Option<Working> {
    let (meters, Known::Drawn) = raceway_length(plan, raceway)? else { return None };
    let [one, other] =
        raceway.between.each_ref().map(|id| plan.location(id).and_then(|location| location.at));
    let (one, other) = (one?, other?);
    let apart = |a: f64, b: f64| Numbers::filled("|{} - {}|", [signed(a), signed(b)]);
    let up = match one.up_m.zip(other.up_m) {
        Some((one, other)) => apart(one.number(), other.number()),
        None => Numbers::filled("{} (a height is not given)", [working::length(0.0)]),
    };
    Some(Working {
        what: Quantity::DrawnLength,
        formula: "|ahead - ahead| + |to starboard - to starboard| + |up - up| of its two locations",
        numbers: Numbers::joined(
            [
                apart(one.ahead_m.number(), other.ahead_m.number()),
                apart(one.starboard_m.number(), other.starboard_m.number()),
                up,
            ],
            " + ",
        ),
        result: working::length((meters * 1000.0).round() / 1000.0),
        source: &DRAWN_LENGTH,
    })
}

/// A measurement as a term of a difference.
fn signed(meters: f64) -> Numbers {
    let length = working::length(meters);
    if meters < 0.0 { Numbers::filled("({})", [length]) } else { length }
}

/// The length of wire between two positions, in meters: the distances along, across and up, added together.
///
/// Wire follows stringers, frames and bulkheads, so a straight line would be too short. This is the longest
/// route without a detour. An unknown height counts as no rise.
pub fn along_the_hull(one: &Spot, other: &Spot) -> f64 {
    let along = (one.ahead_m.number() - other.ahead_m.number()).abs();
    let across = (one.starboard_m.number() - other.starboard_m.number()).abs();
    let up = one.up_m.zip(other.up_m).map_or(0.0, |(one, other)| (one.number() - other.number()).abs());
    along + across + up
}

/// The straight distance between two positions, in meters. An unknown height counts as no difference.
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

    /// A boat with its helm and its bow on the drawing, and a tray between them.
    fn plan(bow: serde_json::Value) -> Plan {
        let job = serde_json::json!({
            "format": 1,
            "job": {"name": "Rewire", "rules": "us", "nominal_v": 12, "ambient_c": 30},
            "boat": {"name": "Sandpiper", "length_m": 7.1},
            "locations": [
                {"id": "helm", "name": "Helm", "at": {"ahead_m": 3, "starboard_m": 0.2, "up_m": 0.9}},
                {"id": "bow", "name": "Bow", "at": bow}],
            "raceways": [{"id": "tray", "between": ["helm", "bow"], "kind": "tray"}],
            "points": [], "devices": [], "circuits": [], "feeders": []
        });
        crate::job::file::JobFile::read(job.to_string().as_bytes()).unwrap().plan
    }

    #[test]
    fn a_length_from_the_drawing_opens_to_its_sum() {
        let drawn = plan(serde_json::json!({"ahead_m": 6.5, "starboard_m": -0.4, "up_m": 1.1}));
        let working = drawn_length(&drawn, &drawn.raceways[0]).unwrap();
        // By hand: 3.5 + 0.6 + 0.2.
        assert_eq!(working.numbers, "|3 m - 6.5 m| + |0.2 m - (-0.4 m)| + |0.9 m - 1.1 m|");
        assert_eq!(working.result, "4.3 m");
        let flat = plan(serde_json::json!({"ahead_m": 6.5, "starboard_m": -0.4}));
        let working = drawn_length(&flat, &flat.raceways[0]).unwrap();
        assert!(
            working.numbers.to_string().ends_with("0 m (a height is not given)") && working.result == "4.1 m"
        );
        let mut measured = flat;
        measured.raceways[0].length_m = Some(5.0.try_into().unwrap());
        assert_eq!(drawn_length(&measured, &measured.raceways[0]), None);
    }
}
