//! Conductor sizing: the thinnest stocked size that meets every rule.
//!
//! A size must meet four conditions:
//!
//! - Its ampacity, derated for where it is installed, is at least the design current.
//! - Its calculated drop by the handbook formula is within its share of the voltage.
//! - It is no thinner than the rules allow.
//! - A standard fuse or breaker exists between the load and the derated ampacity, if one is to be chosen.
//!
//! [`judge`] checks one size, and [`choose`] checks each size from thin to thick.
//!
//! ```
//! use driploop::trade::{drop, minimum::Laying, rules::RuleSet, insulation::Insulation};
//! use driploop::trade::protection::Family;
//! use driploop::trade::sizing::{Demand, Governor, OwnFuse, choose};
//! use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, ThermodynamicTemperature};
//! use uom::si::thermodynamic_temperature::degree_celsius;
//! use uom::si::{electric_current::ampere, electric_potential::volt, length::foot};
//!
//! // Sidelights: 5 A, 15 ft from the console, no more than 3 % lost.
//! let lights = Demand {
//!     rules: RuleSet::Us,
//!     design_current: Some(ElectricCurrent::new::<ampere>(5.0)),
//!     drop_current: None,
//!     longest_wire: None,
//!     length: Some(drop::PathLength::OneWay(Length::new::<foot>(15.0))),
//!     nominal_voltage: Some(ElectricPotential::new::<volt>(12.0)),
//!     drop_limit: Some(drop::critical_limit()),
//!     insulation: Some(Insulation::BOAT_CABLE),
//!     ambient: ThermodynamicTemperature::new::<degree_celsius>(30.0),
//!     engine_space: false,
//!     bundle: None,
//!     laying: Laying::Alone,
//!     exemption: None,
//!     own_fuse: OwnFuse::Of(Family::BladeFuse),
//!     least_fuse: None,
//!     at_least: None,
//! };
//! let sizing = choose(&lights).unwrap();
//! assert_eq!(sizing.size().to_string(), "12 AWG");
//! assert_eq!(sizing.governed_by, [Governor::Drop]);
//! ```

use serde::Serialize;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Ratio, ThermodynamicTemperature};

use super::ampacity::{self, Ampacity, Conditions};
use super::conductor::Size;
use super::drop::{self, Drop, PathLength};
use super::exemption::{self, Exemption};
use super::finding::{Code, Level, RuleFinding};
use super::insulation::Insulation;
use super::minimum::{self, Laying};
use super::protection::{Family, WireLimit, range};
use super::rules::RuleSet;
use super::say::{Part, say};
use super::working::Working;

/// The requirements for a conductor. A figure that is negative or not finite counts as not given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// The rule set.
    pub rules: RuleSet,
    /// The largest current in use, without surges.
    pub design_current: Option<ElectricCurrent>,
    /// The current for which the drop counts, if it is not the design current. A feeder's drop is judged at
    /// its design load.
    pub drop_current: Option<ElectricCurrent>,
    /// Its length; the drop counts the path there and back.
    pub length: Option<PathLength>,
    /// The longest single wire, for the smallest size allowed. Without a figure it counts as long.
    pub longest_wire: Option<Length>,
    /// Nominal voltage of the system.
    pub nominal_voltage: Option<ElectricPotential>,
    /// Share of nominal voltage that may be lost.
    pub drop_limit: Option<Ratio>,
    /// The temperature rating of its insulation.
    pub insulation: Option<Insulation>,
    /// The temperature around the conductor outside an engine space.
    pub ambient: ThermodynamicTemperature,
    /// Whether any part of it is in an engine space.
    pub engine_space: bool,
    /// How many current-carrying conductors are bundled, this one included.
    pub bundle: Option<usize>,
    /// How it is covered.
    pub laying: Laying,
    /// Why 33 CFR 183.425 does not apply to it, if it does not.
    pub exemption: Option<Exemption>,
    /// The fuse or breaker that it gets. A rating must exist for it.
    pub own_fuse: OwnFuse,
    /// The smallest rating that its fuse or breaker may have, if one is known.
    pub least_fuse: Option<ElectricCurrent>,
    /// The thinnest size to choose: the network that the conductor is part of needs it. A given size is
    /// judged without it.
    pub at_least: Option<Size>,
}

/// The fuse or breaker at the beginning of a conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OwnFuse {
    /// None: it is a negative, or it has upstream protection.
    Without,
    /// Any kind is acceptable.
    AnyKind,
    /// One of this kind, whose rating is to be chosen.
    Of(Family),
    /// One whose rating a person entered. It is judged by itself.
    Rated,
}

/// A rule that decided the size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Governor {
    /// The design current and the ampacity.
    Ampacity,
    /// The voltage drop.
    Drop,
    /// The thinnest size allowed.
    Minimum,
    /// A standard fuse or breaker must fit.
    Protection,
    /// The drop from the battery, or another limit of the network that the conductor is part of.
    Network,
    /// Nothing thinner is in stock.
    Stock,
}

impl Governor {
    /// The name of the rule.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ampacity => "ampacity",
            Self::Drop => "voltage drop",
            Self::Minimum => "smallest size allowed",
            Self::Protection => "room for a standard fuse",
            Self::Network => "drop from the battery, sized together",
            Self::Stock => "thinnest size stocked",
        }
    }

    fn of(finding: &RuleFinding) -> Option<Self> {
        match finding.code {
            Code::CurrentOverAmpacity | Code::NoAmpacity => Some(Self::Ampacity),
            Code::DropOverLimit => Some(Self::Drop),
            Code::UnderMinimumSize => Some(Self::Minimum),
            Code::NoRatingFits => Some(Self::Protection),
            _ => None,
        }
    }
}

/// The result of checking one size against a demand.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The size.
    pub size: Size,
    /// Its ampacity, unless it is unknown or the conductor is exempt.
    pub ampacity: Option<Ampacity>,
    /// Its drop, unless it is unknown.
    pub drop: Option<Drop>,
    /// Whether 33 CFR 183.425 does not apply to it.
    pub exempt: bool,
    /// Everything that is wrong or unknown.
    pub findings: Vec<RuleFinding>,
}

impl Judgement {
    /// Whether the size may be used: nothing is wrong or unknown.
    pub fn fits(&self) -> bool {
        self.findings.iter().all(|finding| finding.level == Level::Note)
    }

    /// The limit that this conductor sets on its protection.
    pub fn wire(&self) -> WireLimit<'_> {
        match &self.ampacity {
            Some(ampacity) => WireLimit::Carries(ampacity),
            None if self.exempt => WireLimit::Exempt,
            None => WireLimit::Unknown,
        }
    }

    /// All workings, ampacity first.
    pub fn workings(&self) -> Vec<Working> {
        let ampacity = self.ampacity.iter().flat_map(|ampacity| &ampacity.workings);
        ampacity.chain(self.drop.iter().map(|drop| &drop.working)).cloned().collect()
    }

    /// Whether no finding could be solved by another size, and no needed input is unknown.
    fn serves(&self) -> bool {
        let stands_in_the_way =
            |finding: &RuleFinding| finding.code == Code::InputMissing || Governor::of(finding).is_some();
        !self.findings.iter().any(stands_in_the_way)
    }

    fn governors(&self) -> Vec<Governor> {
        self.findings.iter().filter_map(Governor::of).collect()
    }
}

/// A chosen size.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizing {
    /// The size with its results.
    pub chosen: Judgement,
    /// The rules that the next thinner stocked size would break; [`Governor::Stock`] when there is none.
    pub governed_by: Vec<Governor>,
}

impl Sizing {
    /// The size.
    pub fn size(&self) -> Size {
        self.chosen.size
    }
}

/// The thinnest stocked size of the rule set's own system that meets a demand.
///
/// # Errors
///
/// `input-missing` for each input that is not given; `no-size-fits` with the rules that the thickest size
/// breaks.
pub fn choose(demand: &Demand) -> Result<Sizing, Vec<RuleFinding>> {
    let mut governed_by = vec![Governor::Stock];
    let mut broken = Vec::new();
    for size in Size::stocked(demand.rules.system()) {
        let judgment = judge(size, demand);
        if demand.at_least.is_some_and(|least| size < least) {
            governed_by = vec![Governor::Network];
            broken = judgment.findings;
            continue;
        }
        if judgment.serves() {
            return Ok(Sizing { chosen: judgment, governed_by });
        }
        governed_by = judgment.governors();
        broken = judgment.findings;
    }
    Err(why_none(broken, &governed_by))
}

/// Checks one size against a demand.
pub fn judge(size: Size, demand: &Demand) -> Judgement {
    let demand = demand.with_sound_figures();
    let mut findings = Vec::new();
    let exempt = demand.is_exempt().unwrap_or_else(|finding| {
        findings.push(*finding);
        false
    });
    let ampacity = if exempt { None } else { demand.ampacity(size, &mut findings) };
    let drop = demand.drop(size, &mut findings);
    if !exempt {
        findings.extend(minimum::judge(size, demand.rules, demand.laying, demand.longest_wire));
    }
    findings.extend(demand.fuse_room(ampacity.as_ref()));
    Judgement { size, ampacity, drop, exempt, findings }
}

impl Demand {
    /// The same demand without figures that are impossible on a boat.
    fn with_sound_figures(&self) -> Self {
        let positive = |value: f64| value.is_finite() && value > 0.0;
        let not_negative = |value: f64| value.is_finite() && value >= 0.0;
        Self {
            design_current: self.design_current.filter(|current| not_negative(current.value)),
            drop_current: self.drop_current.filter(|current| not_negative(current.value)),
            length: self.length.filter(|length| not_negative(length.round_trip().value)),
            longest_wire: self.longest_wire.filter(|length| not_negative(length.value)),
            nominal_voltage: self.nominal_voltage.filter(|voltage| positive(voltage.value)),
            drop_limit: self.drop_limit.filter(|limit| not_negative(limit.value)),
            ..*self
        }
    }

    fn conditions(&self) -> Conditions {
        Conditions {
            rules: self.rules,
            insulation: self.insulation,
            ambient: self.ambient,
            engine_space: self.engine_space,
            nominal_voltage: self.nominal_voltage,
            bundle: self.bundle,
        }
    }

    fn is_exempt(&self) -> Result<bool, Box<RuleFinding>> {
        let one_way: Option<Length> = self.length.map(PathLength::one_way);
        exemption::applies(self.exemption, self.rules, self.design_current, one_way)
    }

    /// The ampacity, with its findings about the design current.
    fn ampacity(&self, size: Size, findings: &mut Vec<RuleFinding>) -> Option<Ampacity> {
        if self.design_current.is_none() {
            findings.push(RuleFinding::missing("the design current", "the ampacity"));
        }
        match ampacity::allowable(size, &self.conditions()) {
            Ok(allowed) => {
                let over = self.design_current.and_then(|current| ampacity::judge(current, size, &allowed));
                findings.extend(over);
                Some(allowed)
            }
            Err(finding) => {
                findings.push(*finding);
                None
            }
        }
    }

    /// The drop, with its findings about the limit.
    fn drop(&self, size: Size, findings: &mut Vec<RuleFinding>) -> Option<Drop> {
        let current = self.drop_current.or(self.design_current);
        let (Some(current), Some(length), Some(nominal)) = (current, self.length, self.nominal_voltage)
        else {
            findings.extend(self.missing_for_drop());
            return None;
        };
        let drop = drop::handbook(self.rules, size, current, length, nominal);
        match self.drop_limit {
            Some(limit) => findings.extend(drop::judge(&drop, limit)),
            None => findings.push(RuleFinding::missing("the maximum voltage drop", "the voltage drop")),
        }
        Some(drop)
    }

    fn missing_for_drop(&self) -> Vec<RuleFinding> {
        let inputs = [
            ("the design current", self.design_current.is_none()),
            ("the length", self.length.is_none()),
            ("the nominal voltage", self.nominal_voltage.is_none()),
        ];
        let missing = inputs.into_iter().filter(|(_, missing)| *missing);
        missing.map(|(input, _)| RuleFinding::missing(input, "the voltage drop")).collect()
    }

    fn fuse_room(&self, ampacity: Option<&Ampacity>) -> Option<RuleFinding> {
        let (load, nominal) = (self.design_current?, self.nominal_voltage?);
        let family = match self.own_fuse {
            OwnFuse::Without | OwnFuse::Rated => return None,
            OwnFuse::AnyKind => None,
            OwnFuse::Of(family) => Some(family),
        };
        let least = self.least_fuse.map_or(load, |least| least.max(load));
        range::has_room(self.rules, family, least, ampacity?, nominal)
    }
}

/// Why no size could be chosen: an input is missing, or even the thickest size breaks a rule.
fn why_none(broken: Vec<RuleFinding>, governed_by: &[Governor]) -> Vec<RuleFinding> {
    let (missing, broken): (Vec<_>, Vec<_>) =
        broken.into_iter().partition(|finding| finding.code == Code::InputMissing);
    if !missing.is_empty() {
        return missing;
    }
    let text = say!(
        "No single standard conductor is enough: even the thickest breaks the limit for {}. Shorten the route, divide \
         the load or use another kind of protection.",
        Part::all(governed_by.iter().map(|governor| governor.words()))
    );
    let first = broken.into_iter().find(|finding| Governor::of(finding).is_some());
    let (against, working) = first.map_or((None, None), |finding| (finding.against, finding.working));
    vec![RuleFinding { against, working, ..RuleFinding::new(Code::NoSizeFits, text) }]
}
