//! Conductors that 33 CFR 183.425 does not cover: paragraph (g).
//!
//! The person who plans the circuit claims an exemption. Where the law sets a figure for it, the claim is
//! checked against that figure. The ISO rules at hand have no such list, so there a claim has no effect.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Length};
use uom::si::length::{inch, meter};

use super::finding::{Code, RuleFinding};
use super::rules::RuleSet;
use super::say::say;
use super::source::CFR_425_G;
use super::units::{Amount, amps, meters};
use super::working::{Working, figure};
use crate::trade::quantity::Quantity;

/// An electronic circuit is exempt below this current, A.
pub const ELECTRONICS_UNDER_A: f64 = 1.0;
/// A pigtail is exempt when less than this length of it is exposed, in.
pub const PIGTAIL_UNDER_IN: f64 = 7.0;

/// Why section 183.425 does not apply to a conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Exemption {
    /// Part of a communication system.
    Communications,
    /// Electronic navigation equipment.
    NavigationElectronics,
    /// An electronic circuit under 1 A.
    SmallElectronics,
    /// Inside the housing of equipment.
    InsideHousing,
    /// A resistance conductor that limits current.
    ResistanceConductor,
    /// High-voltage secondary of an ignition system.
    IgnitionSecondary,
    /// A pigtail with less than 7 in exposed.
    ShortPigtail,
    /// Feeds a cranking motor.
    CrankingMotor,
}

impl Exemption {
    /// What is exempt, as text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Communications => "communication system",
            Self::NavigationElectronics => "electronic navigation equipment",
            Self::SmallElectronics => "electronic circuit under 1 A",
            Self::InsideHousing => "inside the housing of equipment",
            Self::ResistanceConductor => "resistance conductor",
            Self::IgnitionSecondary => "secondary of the ignition",
            Self::ShortPigtail => "pigtail with less than 7 in exposed",
            Self::CrankingMotor => "cranking motor conductor",
        }
    }
}

/// Whether a claimed exemption applies.
///
/// # Errors
///
/// A finding when the figure that the exemption depends on is missing or too large. The rules then apply as
/// if nothing were claimed.
pub fn applies(
    claimed: Option<Exemption>,
    rules: RuleSet,
    current: Option<ElectricCurrent>,
    one_way: Option<Length>,
) -> Result<bool, Box<RuleFinding>> {
    let Some(exemption) = claimed.filter(|_| rules == RuleSet::Us) else { return Ok(false) };
    match exemption {
        Exemption::SmallElectronics => {
            let amperes = current.map(|current| current.get::<ampere>());
            under(exemption, amperes, ELECTRONICS_UNDER_A, ("A", amps), "the design current")
        }
        Exemption::ShortPigtail => {
            let inches = one_way.map(|length| length.get::<inch>());
            under(exemption, inches, PIGTAIL_UNDER_IN, ("in", inch_length), "the length")
        }
        _ => Ok(true),
    }
}

fn inch_length(inches: f64) -> Amount {
    meters(Length::new::<inch>(inches).get::<meter>())
}

/// The law says "less than": a value equal to the figure is not exempt.
fn under(
    exemption: Exemption,
    value: Option<f64>,
    limit: f64,
    (unit, quantity): (&'static str, fn(f64) -> Amount),
    input: &'static str,
) -> Result<bool, Box<RuleFinding>> {
    let value =
        value.ok_or_else(|| RuleFinding::missing(input, say!("the exemption as {}", exemption.words())))?;
    if value < limit * (1.0 - 1e-9) {
        return Ok(true);
    }
    let text = say!(
        "{} is not under {}, so it is not exempt as {}. The rules for size and ampacity apply. Remove the exemption.",
        quantity(value).beside(limit),
        quantity(limit),
        exemption.words()
    );
    let working = Working {
        what: Quantity::Exemption,
        formula: "value less than the exemption's figure",
        numbers: format!("{}: {} {unit} against {limit} {unit}", exemption.words(), figure(value)).into(),
        result: "not exempt".into(),
        source: &CFR_425_G,
    };
    let finding = RuleFinding::new(Code::ExemptionNotMet, text).against(value, limit, unit);
    Err(Box::new(finding.working(working)))
}
