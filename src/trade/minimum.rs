//! The thinnest conductor allowed, whatever the current.
//!
//! - US rules, 33 CFR 183.425: 18 AWG inside a jacket (d), 16 AWG by itself (e).
//! - ISO rules, ISO 10133 clause 7.7: 0.75 mm2 inside a jacket. By itself, 1 mm2 if longer than 200 mm. A
//!   length that is not given counts as longer.
//!
//! How far an inner conductor may extend from its jacket is limited too (30 in by 183.425(f), 800 mm by 7.7).
//! It is checked at the bench and not computed here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::area::square_millimeter;
use uom::si::f64::Length;
use uom::si::length::millimeter;

use super::conductor::Size;
use super::finding::{Code, RuleFinding};
use super::rules::RuleSet;
use super::say::say;
use super::source::{CFR_425_D, CFR_425_E, ISO_10133_7_7};
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// A conductor by itself may be of any size up to this length under the ISO rules.
const ISO_SHORT_MM: f64 = 200.0;

/// How a conductor is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Laying {
    /// By itself, with only its own insulation.
    #[default]
    Alone,
    /// One of several inside a jacket for its whole length.
    InSheath,
}

/// The thinnest size allowed, with its rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Minimum {
    /// The thinnest size allowed.
    pub size: Size,
    /// The rule.
    pub working: Working,
}

/// The thinnest size the rules allow, or `None` where they set none.
pub fn thinnest(rules: RuleSet, laying: Laying, one_way: Option<Length>) -> Option<Minimum> {
    let (size, rule, source) = match (rules, laying) {
        (RuleSet::Us, Laying::InSheath) => (Size::Awg18, "smallest conductor in a jacket", &CFR_425_D),
        (RuleSet::Us, Laying::Alone) => (Size::Awg16, "smallest conductor by itself", &CFR_425_E),
        (RuleSet::Iso, Laying::InSheath) => (Size::Mm0_75, "smallest conductor in a jacket", &ISO_10133_7_7),
        (RuleSet::Iso, Laying::Alone) if is_short(one_way) => return None,
        (RuleSet::Iso, Laying::Alone) => {
            (Size::Mm1, "smallest conductor by itself over 200 mm", &ISO_10133_7_7)
        }
    };
    let working = Working {
        what: Quantity::SmallestSize,
        formula: rule,
        numbers: size.to_string().into(),
        result: format!("{} mm2", figure(size.area().get::<square_millimeter>())).into(),
        source,
    };
    Some(Minimum { size, working })
}

/// Whether a size is at least as thick as the rules require.
pub fn judge(size: Size, rules: RuleSet, laying: Laying, one_way: Option<Length>) -> Option<RuleFinding> {
    let minimum = thinnest(rules, laying, one_way)?;
    if size >= minimum.size {
        return None;
    }
    let area = |size: Size| size.area().get::<square_millimeter>();
    let text = say!(
        "{} is thinner than {}, the {}. Use {} or thicker.",
        size,
        minimum.size,
        minimum.working.formula,
        minimum.size
    );
    let finding = RuleFinding::new(Code::UnderMinimumSize, text);
    Some(finding.against(area(size), area(minimum.size), "mm2").working(minimum.working))
}

fn is_short(one_way: Option<Length>) -> bool {
    one_way.is_some_and(|length| keeps_to(length.get::<millimeter>(), ISO_SHORT_MM))
}
