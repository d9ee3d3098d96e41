//! The minimum range of a navigation light.

use uom::si::f64::Length;
use uom::si::length::{meter, nautical_mile};

use super::vessel::LightKind;
use crate::trade::quantity::Quantity;
use crate::trade::source::RULE_22;
use crate::trade::working::{self, Numbers, Working};

/// The minimum range of a light.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastRange {
    /// The range.
    pub range: Length,
    /// The rule and figures behind it.
    pub working: Working,
}

/// The minimum range at which a light must be seen on a boat of this length.
pub fn least_range(kind: LightKind, boat_length: Length) -> LeastRange {
    let meters = boat_length.get::<meter>();
    let band = [12.0, 20.0, 50.0].iter().filter(|bound| meters >= **bound).count();
    let by_band = match kind {
        LightKind::Masthead => [2.0, 3.0, 5.0, 6.0],
        LightKind::Sides | LightKind::Port | LightKind::Starboard => [1.0, 2.0, 2.0, 3.0],
        // In a tricolor lantern, the sternlight has the longest range. Its side sectors have the range of
        // sidelights.
        LightKind::Stern | LightKind::AllRound | LightKind::RedOverGreen | LightKind::Tricolor => {
            [2.0, 2.0, 2.0, 3.0]
        }
    };
    let miles = by_band[band];
    let whole = format!("{miles} nautical mile{}", if miles == 1.0 { "" } else { "s" });
    let result = match kind {
        LightKind::Tricolor if band == 0 => format!("{whole} astern, 1 to the sides"),
        _ => whole,
    };
    LeastRange {
        range: Length::new::<nautical_mile>(miles),
        working: Working {
            what: Quantity::LightRange,
            formula: "by the boat's length: under 12 m, under 20 m, under 50 m, 50 m and more",
            numbers: Numbers::filled("L = {}", [working::length(meters)]),
            result: result.into(),
            source: &RULE_22,
        },
    }
}
