//! The lights that the rules require of a boat.

use super::pattern;
use super::vessel::{Doing, Vessel};
use crate::trade::quantity::Quantity;
use crate::trade::source::RULE_30;
use crate::trade::working::{self, Numbers, Working, figure};
use uom::si::length::meter;
use uom::si::velocity::knot;

/// The lights that the rules require of this boat, for each activity it can have.
pub fn asked(vessel: &Vessel) -> Vec<Working> {
    vessel.drive.doings().iter().map(|doing| asked_for(vessel, *doing)).collect()
}

pub(super) fn asked_for(vessel: &Vessel, doing: Doing) -> Working {
    let length = Numbers::filled("L = {}", [working::length(vessel.length.get::<meter>())]);
    match doing {
        Doing::UnderPower => {
            let speed = vessel.top_speed.map_or_else(
                || "top speed not given".to_owned(),
                |speed| format!("top speed {} kn", figure(speed.get::<knot>())),
            );
            let asked = pattern::asked_under_power(vessel);
            Working {
                what: Quantity::LightsUnderPower,
                formula: asked.rule,
                numbers: Numbers::filled("{}, {}", [length, speed.into()]),
                result: asked.lights.to_owned().into(),
                source: asked.source,
            }
        }
        Doing::UnderSail | Doing::UnderOars => {
            let asked = pattern::asked_under_sail(vessel, doing);
            Working {
                what: if doing == Doing::UnderSail {
                    Quantity::LightsUnderSail
                } else {
                    Quantity::LightsUnderOars
                },
                formula: asked.rule,
                numbers: length,
                result: asked.lights.to_owned().into(),
                source: asked.source,
            }
        }
        Doing::AtAnchor => Working {
            what: Quantity::LightsAtAnchor,
            formula: "L < 50 m: one all-round white light; L >= 50 m: two",
            numbers: length,
            result: pattern::asked_at_anchor(vessel).to_owned().into(),
            source: &RULE_30,
        },
    }
}
