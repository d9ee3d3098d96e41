//! Fuses and breakers: standard ratings, the largest allowed rating, the position, and when each blows or
//! trips.
//!
//! - [`range`]: the standard ratings between the load and the conductor, and the one to fit.
//! - [`distance`]: the distance from the source of power.
//! - [`opening`]: the time-current band, motor inrush, a short circuit at the far end, and the interrupt
//!   rating.

pub mod distance;
mod family;
pub mod opening;
pub mod range;

pub use distance::{PowerSource, ProtectionPosition};
pub use family::Family;
pub use opening::MotorSurge;
pub use range::{Duty, RatingRange, WireLimit};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};

use super::finding::{Code, RuleFinding};
use super::rules::RuleSet;
use super::say::{Part, say};
use super::source::{
    CFR_455_A, CFR_455_D, ISO_10133_FUSE_VOLTAGE, ISO_10133_PROTECTION, MADE_RATINGS, Source,
};
use super::units::{amps, volts};
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// A fuse or breaker as it is fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedProtection {
    /// Its family.
    pub family: Family,
    /// Its rating.
    pub rating: Option<ElectricCurrent>,
}

/// The result of checking one circuit's protection.
#[derive(Debug, Clone, PartialEq)]
pub struct ProtectionVerdict {
    /// The allowed ratings, where they could be computed.
    pub range: Option<RatingRange>,
    /// Everything that is wrong or unknown.
    pub findings: Vec<RuleFinding>,
}

/// Checks the rating and the position of a circuit's protection, or that it is missing.
///
/// Ratings are those of the fitted family, whatever the duty says. Opening times and the interrupt rating
/// need the solved network and are checked in [`opening`].
pub fn judge(
    fitted: Option<&FittedProtection>,
    duty: &Duty,
    position: &ProtectionPosition,
) -> ProtectionVerdict {
    let Some(fitted) = fitted else {
        let findings = if position.origin == PowerSource::CrankingMotor {
            vec![]
        } else {
            vec![unprotected(duty.rules)]
        };
        return ProtectionVerdict { range: range::allowed(duty).ok(), findings };
    };
    let duty = Duty { family: Some(fitted.family), ..*duty };
    let mut findings = made_and_voltage(fitted, duty.nominal_voltage, duty.rules);
    let range = match range::allowed(&duty) {
        Ok(range) => Some(range),
        Err(why_not) => {
            findings.extend(why_not);
            None
        }
    };
    match fitted.rating {
        Some(rating) => findings.extend(range::judge(rating, &duty)),
        None => findings.push(RuleFinding::missing("the protection rating", "the protection")),
    }
    findings.extend(distance::judge(position, duty.rules));
    ProtectionVerdict { range, findings }
}

/// The rule that each ungrounded conductor is protected.
pub fn protection_rule(rules: RuleSet) -> &'static Source {
    match rules {
        RuleSet::Us => &CFR_455_A,
        RuleSet::Iso => &ISO_10133_PROTECTION,
    }
}

fn unprotected(rules: RuleSet) -> RuleFinding {
    let working = Working {
        what: Quantity::Protection,
        formula: "each ungrounded conductor has a fuse or a manually reset breaker",
        numbers: "none".into(),
        result: "unprotected".into(),
        source: protection_rule(rules),
    };
    let text = say!("This conductor has no fuse or breaker. Fit one at its source of power.");
    RuleFinding::new(Code::Unprotected, text).working(working)
}

/// Whether the rating is standard in its family, and the family suits the system's voltage.
fn made_and_voltage(
    fitted: &FittedProtection,
    nominal: Option<ElectricPotential>,
    rules: RuleSet,
) -> Vec<RuleFinding> {
    let family = fitted.family;
    let mut findings = Vec::new();
    if let Some(rating) = fitted.rating.filter(|rating| !family.makes(*rating)) {
        findings.push(not_made(family, rating));
    }
    let usual = family.usual_voltage().get::<volt>();
    if let Some(volts) = nominal.map(|v| v.get::<volt>()).filter(|volts| !keeps_to(*volts, usual)) {
        findings.push(under_voltage(family, volts, usual, rules));
    }
    findings
}

fn not_made(family: Family, rating: ElectricCurrent) -> RuleFinding {
    let made = family.made().iter().map(|made| figure(*made)).collect::<Vec<_>>().join(", ");
    let working = Working {
        what: Quantity::StandardRatings,
        formula: "a rating is taken from the list, never between",
        numbers: family.words().to_owned().into(),
        result: format!("{made} A").into(),
        source: &MADE_RATINGS,
    };
    let standard = Part::all(family.made().iter().copied().map(amps));
    let text = say!(
        "{} is not a standard rating of a {}. Fit one of the standard ratings: {}.",
        amps(rating.get::<ampere>()),
        family.words(),
        standard
    );
    RuleFinding::new(Code::RatingNotStandard, text).working(working)
}

fn under_voltage(family: Family, nominal: f64, usual: f64, rules: RuleSet) -> RuleFinding {
    let working = Working {
        what: Quantity::VoltageRating,
        formula: "voltage rating not less than nominal voltage",
        numbers: format!(
            "{} V nominal, {} usually made for {} V",
            figure(nominal),
            family.words(),
            figure(usual)
        )
        .into(),
        result: "read the part's own voltage rating".into(),
        source: match rules {
            RuleSet::Us => &CFR_455_D,
            RuleSet::Iso => &ISO_10133_FUSE_VOLTAGE,
        },
    };
    let text = say!(
        "A {} is usually rated for {}; this system has {}. Fit one whose manufacturer rates it for that.",
        family.words(),
        volts(usual),
        volts(nominal).beside(usual)
    );
    RuleFinding::new(Code::FuseVoltageLow, text).against(nominal, usual, "V").working(working)
}
