//! How far protection may be from its source of power, measured along the conductor.
//!
//! - 33 CFR 183.455(b): at the source. Where that is impractical, within 7 in. Where that is impractical too,
//!   within 40 in if the whole conductor is in a jacket or enclosure.
//! - 33 CFR 183.460: a battery output conductor within 72 in of the battery, or of a switch that disconnects
//!   the battery (from memory). More than 7 in of it without a jacket is a note: practice allows the 72 in only
//!   in a jacket (read second hand).
//! - ISO 10133: within 200 mm of the source, whether a battery or a bus bar (from memory). The standard allows
//!   more in a jacket or conduit, but no figure for that is at hand. So 200 mm counts there too.
//!
//! The feed of a cranking motor is exempt. A distance equal to the limit passes.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Length};
use uom::si::length::{inch, meter, millimeter};

use crate::trade::finding::{Code, RuleFinding};
use crate::trade::minimum::Laying;
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::say::say;
use crate::trade::source::{
    ALTERNATOR_PRACTICE, CFR_455_B, CFR_460, CFR_460_ALTERNATOR, CFR_460_SWITCH, ISO_10133_FUSE_PLACE,
    JACKET_TO_FUSE, Source,
};
use crate::trade::units::{amps, meters};
use crate::trade::working::{self, Numbers, Working, figure, keeps_to};

/// The source that a conductor takes its power from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PowerSource {
    /// A bus bar, a fuse block, a panel: any point that is neither a battery nor its switch.
    Point,
    /// A battery, without protection between its post and this conductor.
    Battery,
    /// A switch that disconnects a battery.
    BatterySwitch,
    /// A battery, where the conductor feeds only a cranking motor.
    CrankingMotor,
}

/// The position of the protection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProtectionPosition {
    /// The source that the conductor takes its power from.
    pub origin: PowerSource,
    /// The length of conductor from that source to the protection; zero when it is on the source itself.
    pub from_source: Option<Length>,
    /// How that piece of conductor is covered.
    pub laying: Laying,
}

/// A distance limit with its rule.
struct Reach {
    limit: Length,
    rule: &'static str,
    source: &'static Source,
}

/// Whether protection is near enough to its source.
pub fn judge(position: &ProtectionPosition, rules: RuleSet) -> Option<RuleFinding> {
    let reach = reach(position.origin, position.laying, rules)?;
    let Some(distance) = position.from_source.filter(|distance| distance.value >= 0.0) else {
        return Some(RuleFinding::missing(
            "the distance of the protection from its source of power",
            "that distance",
        ));
    };
    let (value, limit) = (distance.get::<meter>(), reach.limit.get::<meter>());
    if keeps_to(value, limit) {
        return outside_jacket(position, rules, distance);
    }
    let (sits, most) = (meters(value).beside(limit), meters(limit));
    let can_be_covered =
        position.laying == Laying::Alone && position.origin == PowerSource::Point && rules == RuleSet::Us;
    let text = if can_be_covered {
        say!(
            "The protection sits {} from its source; the limit is {}. Move it nearer or put the conductor in a jacket.",
            sits,
            most
        )
    } else {
        say!("The protection sits {} from its source; the limit is {}. Move it nearer.", sits, most)
    };
    let working = Working {
        what: Quantity::DistanceFromSource,
        formula: reach.rule,
        numbers: Numbers::filled("{} along the conductor", [working::length(value)]),
        result: Numbers::filled("{} over", [working::length(value - limit)]),
        source: reach.source,
    };
    Some(RuleFinding::new(Code::FuseFarFromSource, text).against(value, limit, "m").working(working))
}

/// Wire without a jacket between a battery and its protection. The law allows it (183.460, from memory), but
/// practice allows the 72 in only in a jacket.
fn outside_jacket(position: &ProtectionPosition, rules: RuleSet, distance: Length) -> Option<RuleFinding> {
    let is_of_battery = matches!(position.origin, PowerSource::Battery | PowerSource::BatterySwitch);
    let (value, limit) = (distance.get::<inch>(), WITHIN_ALONE_IN);
    if rules != RuleSet::Us || !is_of_battery || position.laying != Laying::Alone || keeps_to(value, limit) {
        return None;
    }
    let (value, limit) = (distance.get::<meter>(), Length::new::<inch>(limit).get::<meter>());
    let text = say!(
        "{} of it lies without a jacket before its protection. No fuse protects that piece. Put it in a jacket or \
         conduit, or fit the protection within {}.",
        meters(value).beside(limit),
        meters(limit)
    );
    let working = Working {
        what: Quantity::DistanceFromSource,
        formula: "within 7 in of the battery without a jacket, within 72 in in a jacket",
        numbers: Numbers::filled("{} along the conductor", [working::length(value)]),
        result: Numbers::filled("{} over", [working::length(value - limit)]),
        source: &JACKET_TO_FUSE,
    };
    Some(RuleFinding::new(Code::NoJacketToFuse, text).against(value, limit, "m").working(working))
}

/// The limit without a jacket on the distance of protection from any source, in.
const WITHIN_ALONE_IN: f64 = 7.0;
/// The law's limit on the distance of protection from a battery or its switch, in.
const WITHIN_BATTERY_IN: f64 = 72.0;
/// The ISO limit on the distance of protection from any source, mm; from memory.
const ISO_WITHIN_MM: f64 = 200.0;

/// Whether a length is within the distance from a battery that the rules allow for its protection.
pub fn is_within_reach_of_battery(length: Length, rules: RuleSet) -> bool {
    match rules {
        RuleSet::Us => keeps_to(length.get::<inch>(), WITHIN_BATTERY_IN),
        RuleSet::Iso => keeps_to(length.get::<millimeter>(), ISO_WITHIN_MM),
    }
}

/// The finding for a cable without protection from a battery to its switch, where everything downstream of
/// the switch has protection within the limit.
pub fn bare_to_switch() -> RuleFinding {
    let text = say!(
        "It has no protection of its own. What leaves its switch has protection within {}. 33 CFR 183.460, from \
         memory, requires no more. Only its insulation keeps a short circuit from burning it. Fit a fuse at the \
         battery.",
        meters(Length::new::<inch>(WITHIN_BATTERY_IN).get::<meter>())
    );
    let working = Working {
        what: Quantity::Protection,
        formula: "within 72 in of the switch that disconnects the battery",
        numbers: "every conductor from the switch".into(),
        result: "lawful without, read the section itself".into(),
        source: &CFR_460_SWITCH,
    };
    RuleFinding::new(Code::UnfusedToSwitch, text).working(working)
}

/// Largest rating of an alternator's protection as a share of the alternator's rated current, from memory.
pub const OVER_ALTERNATOR: f64 = 1.2;

/// Whether protection is small enough for its alternator.
pub fn judge_alternator(
    rating: ElectricCurrent,
    rated: ElectricCurrent,
    rules: RuleSet,
) -> Option<RuleFinding> {
    let (rating, limit) = (rating.get::<ampere>(), OVER_ALTERNATOR * rated.get::<ampere>());
    if keeps_to(rating, limit) {
        return None;
    }
    let text = say!(
        "{} is over {}, 120 % of what the alternator gives. Read its manual, unless it limits its own current.",
        amps(rating).beside(limit),
        amps(limit)
    );
    let working = Working {
        what: Quantity::LargestAfterAlternator,
        formula: "rating not over 120 % of the rated current",
        numbers: format!("1.2 x {} A", figure(rated.get::<ampere>())).into(),
        result: format!("{} A", figure(limit)).into(),
        source: match rules {
            RuleSet::Us => &CFR_460_ALTERNATOR,
            RuleSet::Iso => &ALTERNATOR_PRACTICE,
        },
    };
    Some(RuleFinding::new(Code::FuseOverAlternator, text).against(rating, limit, "A").working(working))
}

fn reach(origin: PowerSource, laying: Laying, rules: RuleSet) -> Option<Reach> {
    let inches = Length::new::<inch>;
    let reach = match (origin, laying, rules) {
        (PowerSource::CrankingMotor, ..) => return None,
        (_, _, RuleSet::Iso) => Reach {
            limit: Length::new::<millimeter>(ISO_WITHIN_MM),
            rule: "within 200 mm of the source",
            source: &ISO_10133_FUSE_PLACE,
        },
        (PowerSource::Battery, _, RuleSet::Us) => {
            Reach { limit: inches(WITHIN_BATTERY_IN), rule: "within 72 in of the battery", source: &CFR_460 }
        }
        (PowerSource::BatterySwitch, _, RuleSet::Us) => Reach {
            limit: inches(WITHIN_BATTERY_IN),
            rule: "within 72 in of the battery's switch",
            source: &CFR_460_SWITCH,
        },
        (PowerSource::Point, Laying::InSheath, RuleSet::Us) => {
            Reach { limit: inches(40.0), rule: "within 40 in, wholly in a jacket", source: &CFR_455_B }
        }
        (PowerSource::Point, Laying::Alone, RuleSet::Us) => {
            Reach { limit: inches(WITHIN_ALONE_IN), rule: "within 7 in of the source", source: &CFR_455_B }
        }
    };
    Some(reach)
}
