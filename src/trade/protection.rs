//! Fuses and breakers: what is made, how large one may be, where it sits, when it opens.
//!
//! - [`range`]: from the load to the conductor, in made ratings, with the one to fit.
//! - [`distance`]: how far from its source of power.
//! - [`opening`]: the band of opening times, motor inrush, a short circuit at the far end, interrupting
//!   rating.

pub mod distance;
pub mod opening;
pub mod range;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use distance::{Origin, Position};
pub use opening::Inrush;
pub use range::{Duty, Range, Wire};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};

use super::finding::{Code, Finding};
use super::say::{Part, say};
use super::source::{CFR_455_A, CFR_455_D, MADE_RATINGS};
use super::units::{amps, volts};
use super::working::{Working, figure, keeps_to};

/// A kind of fuse or breaker, with ratings that are made in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// The blade fuse of fuse blocks.
    BladeFuse,
    /// Its smaller sister.
    MiniBladeFuse,
    /// The large blade fuse.
    LargeBladeFuse,
    /// Strip bolted between two studs, small pattern.
    BoltDownFuse,
    /// Strip bolted between two studs, large pattern.
    LargeBoltDownFuse,
    /// Fast fuse with a high interrupting rating, for banks that give thousands of amperes.
    ClassTFuse,
    /// Manually reset, trip-free breaker.
    Breaker,
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 7] = [
        Self::BladeFuse,
        Self::MiniBladeFuse,
        Self::LargeBladeFuse,
        Self::BoltDownFuse,
        Self::LargeBoltDownFuse,
        Self::ClassTFuse,
        Self::Breaker,
    ];

    /// The family in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::BladeFuse => "blade fuse",
            Self::MiniBladeFuse => "mini blade fuse",
            Self::LargeBladeFuse => "large blade fuse",
            Self::BoltDownFuse => "bolt-down fuse",
            Self::LargeBoltDownFuse => "large bolt-down fuse",
            Self::ClassTFuse => "class T fuse",
            Self::Breaker => "breaker",
        }
    }

    /// The ratings that are made, in amperes, rising ([`MADE_RATINGS`]; breakers as in NEC 240.6, with
    /// the small ones of switch panels).
    pub fn made(self) -> &'static [f64] {
        match self {
            Self::BladeFuse => &[1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0],
            Self::MiniBladeFuse => &[2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0],
            Self::LargeBladeFuse => &[20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0],
            Self::BoltDownFuse => &[30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0],
            Self::LargeBoltDownFuse => {
                &[100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0]
            }
            Self::ClassTFuse => &[110.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0],
            Self::Breaker => &[
                5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
                110.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0,
            ],
        }
    }

    /// Whether a rating is made in this family.
    pub fn makes(self, rating: ElectricCurrent) -> bool {
        let amperes = rating.get::<ampere>();
        self.made().iter().any(|made| keeps_to(*made, amperes) && keeps_to(amperes, *made))
    }

    /// The voltage that parts of the family are usually made for; common practice, no source.
    pub fn usual_voltage(self) -> ElectricPotential {
        let volts = match self {
            Self::ClassTFuse => 125.0,
            Self::Breaker => 48.0,
            _ => 32.0,
        };
        ElectricPotential::new::<volt>(volts)
    }

    /// The short-circuit current that parts of the family can usually break, where the whole family
    /// agrees on one; from memory. Bolt-down fuses and breakers differ: read the part.
    pub fn usual_interrupt(self) -> Option<ElectricCurrent> {
        let amperes = match self {
            Self::BladeFuse | Self::MiniBladeFuse | Self::LargeBladeFuse => 1000.0,
            Self::ClassTFuse => 20_000.0,
            Self::BoltDownFuse | Self::LargeBoltDownFuse | Self::Breaker => return None,
        };
        Some(ElectricCurrent::new::<ampere>(amperes))
    }
}

/// A fuse or breaker as it is fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// Its family.
    pub family: Family,
    /// Its rating.
    pub rating: Option<ElectricCurrent>,
}

/// What there is to say about one circuit's protection.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The allowed ratings, where they could be computed.
    pub range: Option<Range>,
    /// All that is wrong or unknown.
    pub findings: Vec<Finding>,
}

/// Judges the rating and the position of a circuit's protection, or the lack of it.
///
/// Ratings are taken from the family that is fitted, whatever the duty says. Opening times and interrupting rating need the solved network and are judged in [`opening`].
pub fn judge(fitted: Option<&Fitted>, duty: &Duty, position: &Position) -> Verdict {
    let Some(fitted) = fitted else {
        let findings = if position.origin == Origin::CrankingMotor { vec![] } else { vec![unprotected()] };
        return Verdict { range: range::allowed(duty).ok(), findings };
    };
    let duty = Duty { family: Some(fitted.family), ..*duty };
    let mut findings = made_and_voltage(fitted, duty.nominal_voltage);
    let range = match range::allowed(&duty) {
        Ok(range) => Some(range),
        Err(why_not) => {
            findings.extend(why_not);
            None
        }
    };
    match fitted.rating {
        Some(rating) => findings.extend(range::judge(rating, &duty)),
        None => findings.push(Finding::missing("the protection rating", "the protection")),
    }
    findings.extend(distance::judge(position, duty.rules));
    Verdict { range, findings }
}

fn unprotected() -> Finding {
    let working = Working {
        what: "protection",
        formula: "each ungrounded conductor has a fuse or a manually reset breaker",
        numbers: "none".to_owned(),
        result: "unprotected".to_owned(),
        source: &CFR_455_A,
    };
    let text = say!("This conductor has no fuse or breaker. Fit one at its source of power.");
    Finding::new(Code::Unprotected, text).working(working)
}

/// Whether the rating exists in its family and the family fits the system's voltage.
fn made_and_voltage(fitted: &Fitted, nominal: Option<ElectricPotential>) -> Vec<Finding> {
    let family = fitted.family;
    let mut findings = Vec::new();
    if let Some(rating) = fitted.rating.filter(|rating| !family.makes(*rating)) {
        findings.push(not_made(family, rating));
    }
    let usual = family.usual_voltage().get::<volt>();
    if let Some(volts) = nominal.map(|v| v.get::<volt>()).filter(|volts| !keeps_to(*volts, usual)) {
        findings.push(under_voltage(family, volts, usual));
    }
    findings
}

fn not_made(family: Family, rating: ElectricCurrent) -> Finding {
    let made = family.made().iter().map(|made| figure(*made)).collect::<Vec<_>>().join(", ");
    let working = Working {
        what: "made ratings",
        formula: "a rating is taken from the list, never between",
        numbers: family.words().to_owned(),
        result: format!("{made} A"),
        source: &MADE_RATINGS,
    };
    let standard = Part::all(family.made().iter().copied().map(amps));
    let text = say!(
        "{} is not a standard rating of a {}. Fit one of the standard ratings: {}.",
        amps(rating.get::<ampere>()),
        family.words(),
        standard
    );
    Finding::new(Code::RatingNotStandard, text).working(working)
}

fn under_voltage(family: Family, nominal: f64, usual: f64) -> Finding {
    let working = Working {
        what: "voltage rating",
        formula: "voltage rating not less than nominal voltage",
        numbers: format!(
            "{} V nominal, {} usually made for {} V",
            figure(nominal),
            family.words(),
            figure(usual)
        ),
        result: "read the part's own voltage rating".to_owned(),
        source: &CFR_455_D,
    };
    let text = say!(
        "A {} is usually rated for {}; this system has {}. Fit one whose manufacturer rates it for that.",
        family.words(),
        volts(usual),
        volts(nominal).beside(usual)
    );
    Finding::new(Code::FuseVoltageLow, text).against(nominal, usual, "V").working(working)
}
