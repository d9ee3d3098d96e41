//! Which ratings are allowed: no smaller than the load, no larger than the conductor and the device allow.
//!
//! - US rules under 50 V: at most 150 % of table 5 for the conductor. The law uses the table's own figure,
//!   without the engine-space factor. A rating that a person entered may go up to there, with a note above
//!   the derated ampacity. A rating that the program chooses never exceeds the derated ampacity.
//! - US rules at 50 V and more: at most table 5, or the next larger standard rating within 150 % of it.
//! - ISO rules: at most the ampacity.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};

use super::family::Family;
use crate::trade::ampacity::Ampacity;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::say::say;
use crate::trade::source::{CFR_455_C, FUSE_MARGIN, ISO_10133_FUSE, MADE_RATINGS, MAKERS_MANUAL};
use crate::trade::units::amps;
use crate::trade::working::{Working, figure, keeps_to};

/// Largest rating that the law allows, as a share of table 5.
const LAWFUL_SHARE: f64 = 1.5;
/// The law is stricter from this voltage up.
const STRICTER_FROM_V: f64 = 50.0;
/// Share of its rating that a fuse carries for hours without aging; common practice.
const CONTINUOUS_SHARE: f64 = 0.8;

/// The limit that the conductor sets on a rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WireLimit<'a> {
    /// The conductor's ampacity.
    Carries(&'a Ampacity),
    /// The section on conductors does not apply to it: the device's largest fuse is the only limit.
    Exempt,
    /// Its ampacity could not be calculated.
    Unknown,
}

/// What a circuit requires of its protection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty<'a> {
    /// The rule set.
    pub rules: RuleSet,
    /// The family whose ratings are used.
    pub family: Option<Family>,
    /// Design current.
    pub load: Option<ElectricCurrent>,
    /// The conductor.
    pub wire: WireLimit<'a>,
    /// Nominal voltage of the system.
    pub nominal_voltage: Option<ElectricPotential>,
    /// The largest fuse that the device's manufacturer allows, if given.
    pub device_largest: Option<ElectricCurrent>,
    /// The smallest rating to recommend: a motor starts on it, or a smaller fuse is downstream of it.
    pub at_least: Option<ElectricCurrent>,
}

impl Duty<'_> {
    /// The load in amperes. A negative or non-finite load counts as not given.
    fn load_a(&self) -> Option<f64> {
        self.load.map(|load| load.get::<ampere>()).filter(|load| load.is_finite() && *load >= 0.0)
    }

    fn least_a(&self) -> f64 {
        self.at_least.map_or(0.0, |least| least.get::<ampere>())
    }
}

/// The standard ratings that a circuit may have.
#[derive(Debug, Clone, PartialEq)]
pub struct RatingRange {
    /// All of them, rising; never empty.
    pub made: Vec<ElectricCurrent>,
    /// The one to fit; `None` if all of them exceed the derated ampacity.
    pub recommended: Option<ElectricCurrent>,
    /// The limits and the choice.
    pub workings: Vec<Working>,
}

impl RatingRange {
    /// The smallest rating that carries the load.
    pub fn lowest(&self) -> Option<ElectricCurrent> {
        self.made.first().copied()
    }

    /// The largest rating that still protects the conductor and the device.
    pub fn highest(&self) -> Option<ElectricCurrent> {
        self.made.last().copied()
    }
}

/// An upper limit in amperes with its rule.
struct Top {
    amperes: f64,
    /// Whether the device's manufacturer sets it.
    by_device: bool,
    working: Option<Working>,
}

/// The standard ratings between load and limit, and the one to fit.
///
/// # Errors
///
/// `input-missing` for each input that is not given; `no-standard-rating-fits` when the family has no rating
/// between the load and the limit.
pub fn allowed(duty: &Duty) -> Result<RatingRange, Vec<RuleFinding>> {
    let (load, family, top) = match (duty.load_a(), duty.family, top(duty)) {
        (Some(load), Some(family), Ok(top)) => (load, family, top),
        (load, family, top) => return Err(what_is_missing(load, family, top.err())),
    };
    let fits = |rating: &f64| keeps_to(load, *rating) && keeps_to(*rating, top.amperes);
    let made: Vec<f64> = family.made().iter().copied().filter(fits).collect();
    if made.is_empty() {
        return Err(vec![no_rating_fits(Some(family), load, &top)]);
    }
    let comfortable = comfortable_top(duty).unwrap_or(top.amperes);
    let recommended = recommend(&made, load, duty.least_a(), comfortable);
    let mut workings: Vec<Working> = top.working.into_iter().collect();
    workings.push(made_working(family, load, top.amperes, &made));
    workings.extend(recommended.map(|rating| recommended_working(load, rating, comfortable)));
    let quantities = made.into_iter().map(ElectricCurrent::new::<ampere>).collect();
    let recommended = recommended.map(ElectricCurrent::new::<ampere>);
    Ok(RatingRange { made: quantities, recommended, workings })
}

/// The rating to fit where nobody entered one. It never exceeds the derated ampacity.
///
/// # Errors
///
/// Those of [`allowed`]; `no-standard-rating-fits` also when the family has no rating between the load and
/// the derated ampacity.
pub fn chosen(duty: &Duty) -> Result<ElectricCurrent, Vec<RuleFinding>> {
    let range = allowed(duty)?;
    range.recommended.ok_or_else(|| {
        let top = top(duty).ok().zip(comfortable_top(duty));
        let top = top.map(|(top, amperes)| Top { amperes: amperes.min(top.amperes), ..top });
        let least = duty.load_a().unwrap_or_default().max(duty.least_a());
        top.map(|top| no_rating_fits(duty.family, least, &top)).into_iter().collect()
    })
}

/// Checks one rating against the load, the conductor and the device. [`allowed`] reports missing inputs.
pub fn judge(rating: ElectricCurrent, duty: &Duty) -> Vec<RuleFinding> {
    let rating = rating.get::<ampere>();
    let load = duty.load_a().and_then(|load| against_load(rating, load));
    let device = duty.device_largest.and_then(|most| against_device(rating, most.get::<ampere>()));
    [load, against_wire(rating, duty), device].into_iter().flatten().collect()
}

/// Whether a standard rating lies between a load and the ampacity of this conductor. For a conductor without
/// one, no protection can be chosen. Without a family, a rating of any family counts.
pub fn has_room(
    rules: RuleSet,
    family: Option<Family>,
    least: ElectricCurrent,
    ampacity: &Ampacity,
    nominal: ElectricPotential,
) -> Option<RuleFinding> {
    let least_a = least.get::<ampere>();
    let within = |family| {
        let lawful = wire_top(rules, family, ampacity, nominal);
        Top { amperes: lawful.amperes.min(ampacity.derated.get::<ampere>()), ..lawful }
    };
    let fits = |family: &Family| {
        let top = within(*family).amperes;
        family.made().iter().any(|made| keeps_to(least_a, *made) && keeps_to(*made, top))
    };
    let families = family.map_or(Family::ALL.to_vec(), |family| vec![family]);
    if families.iter().any(fits) {
        return None;
    }
    Some(no_rating_fits(family, least_a, &within(family.unwrap_or(Family::BladeFuse))))
}

fn what_is_missing(
    load: Option<f64>,
    family: Option<Family>,
    top: Option<Box<RuleFinding>>,
) -> Vec<RuleFinding> {
    let load = load.is_none().then(|| RuleFinding::missing("the design current", "the protection rating"));
    let family = family
        .is_none()
        .then(|| RuleFinding::missing("the kind of fuse or breaker", "the protection rating"));
    [load, family, top.map(|finding| *finding)].into_iter().flatten().collect()
}

/// The smaller limit of the conductor and the device.
fn top(duty: &Duty) -> Result<Top, Box<RuleFinding>> {
    let device = duty.device_largest.map(|most| most.get::<ampere>());
    let missing = |input| Box::new(RuleFinding::missing(input, "the largest protection rating"));
    let wire = match duty.wire {
        WireLimit::Unknown => return Err(missing("the ampacity of the conductor")),
        WireLimit::Exempt => Top { amperes: f64::INFINITY, by_device: false, working: None },
        WireLimit::Carries(ampacity) => {
            let nominal = duty.nominal_voltage.ok_or_else(|| missing("the nominal voltage"))?;
            wire_top(duty.rules, duty.family.unwrap_or(Family::BladeFuse), ampacity, nominal)
        }
    };
    match device {
        Some(amperes) if amperes < wire.amperes => {
            Ok(Top { amperes, by_device: true, working: Some(device_working(amperes)) })
        }
        None if duty.wire == WireLimit::Exempt => Err(missing("the largest fuse of the device")),
        _ => Ok(wire),
    }
}

/// The largest rating that the rules allow for a conductor.
fn wire_top(rules: RuleSet, family: Family, ampacity: &Ampacity, nominal: ElectricPotential) -> Top {
    let table = ampacity.table.get::<ampere>();
    let lawful = LAWFUL_SHARE * table;
    let (amperes, formula, numbers, source) = match rules {
        RuleSet::Iso => {
            let carries = ampacity.derated.get::<ampere>();
            let rule = "rating not over the ampacity";
            (carries, rule, format!("{} A", figure(carries)), &ISO_10133_FUSE)
        }
        RuleSet::Us if keeps_to(STRICTER_FROM_V, nominal.get::<volt>()) => {
            let next = family.made().iter().copied().find(|made| keeps_to(table, *made));
            let amperes = next.filter(|next| keeps_to(*next, lawful)).unwrap_or(table);
            let rule = "rating not over table 5, or the next larger made one within 150 %";
            (amperes, rule, format!("{} A, 150 % = {} A", figure(table), figure(lawful)), &CFR_455_C)
        }
        RuleSet::Us => {
            let rule = "rating not over 150 % of table 5";
            (lawful, rule, format!("1.5 x {} A", figure(table)), &CFR_455_C)
        }
    };
    let result = format!("{} A", figure(amperes));
    let working = Working {
        what: Quantity::LargestRating,
        formula,
        numbers: numbers.into(),
        result: result.into(),
        source,
    };
    Top { amperes, by_device: false, working: Some(working) }
}

/// The limit of good practice: the derated ampacity of the conductor.
fn comfortable_top(duty: &Duty) -> Option<f64> {
    match duty.wire {
        WireLimit::Carries(ampacity) => Some(ampacity.derated.get::<ampere>()),
        WireLimit::Exempt | WireLimit::Unknown => None,
    }
}

/// The rating to fit. First choice: the smallest whose 80 % carries the load, if it is within the derated
/// ampacity. Otherwise the largest rating within that ampacity.
fn recommend(made: &[f64], load: f64, least: f64, comfortable: f64) -> Option<f64> {
    let fits = |rating: &f64| keeps_to(*rating, comfortable) && keeps_to(least, *rating);
    let within: Vec<f64> = made.iter().copied().filter(fits).collect();
    let with_margin = within.iter().copied().find(|rating| keeps_to(load, rating * CONTINUOUS_SHARE));
    with_margin.or(within.last().copied())
}

fn against_load(rating: f64, load: f64) -> Option<RuleFinding> {
    if !keeps_to(load, rating) {
        let text = say!(
            "{} is smaller than the load of {}, so it blows or trips in use. Fit a larger one.",
            amps(rating).beside(load),
            amps(load)
        );
        let finding = RuleFinding::new(Code::FuseUnderLoad, text).against(rating, load, "A");
        return Some(finding.working(margin_working(load, rating)));
    }
    let continuous = rating * CONTINUOUS_SHARE;
    if keeps_to(load, continuous) {
        return None;
    }
    let text = say!(
        "The load of {} is over {}, 80 % of the rating of {}. It may blow or trip after hours. Fit a larger one.",
        amps(load).beside(continuous),
        amps(continuous),
        amps(rating)
    );
    Some(
        RuleFinding::new(Code::FuseNearLoad, text)
            .against(load, continuous, "A")
            .working(margin_working(load, rating)),
    )
}

fn against_wire(rating: f64, duty: &Duty) -> Option<RuleFinding> {
    let (WireLimit::Carries(ampacity), Some(nominal)) = (duty.wire, duty.nominal_voltage) else {
        return None;
    };
    let family = duty.family.unwrap_or(Family::BladeFuse);
    let top = wire_top(duty.rules, family, ampacity, nominal);
    let carries = ampacity.derated.get::<ampere>();
    let (code, limit, working) = if !keeps_to(rating, top.amperes) {
        (Code::FuseOverWire, top.amperes, top.working)
    } else if !keeps_to(rating, carries) {
        (Code::FuseOverAmpacity, carries, ampacity.workings.last().cloned())
    } else {
        return None;
    };
    let text = match code {
        Code::FuseOverWire => say!(
            "{} does not protect this conductor, which allows {} at most. Fit a smaller one or a thicker conductor.",
            amps(rating).beside(limit),
            amps(limit)
        ),
        _ => say!(
            "{} is lawful but over the ampacity of {} here. A smaller one protects the conductor better.",
            amps(rating).beside(limit),
            amps(limit)
        ),
    };
    let finding = RuleFinding::new(code, text).against(rating, limit, "A");
    Some(match working {
        Some(working) => finding.working(working),
        None => finding,
    })
}

fn against_device(rating: f64, most: f64) -> Option<RuleFinding> {
    if keeps_to(rating, most) {
        return None;
    }
    let text = say!(
        "{} is more than the {} that the manufacturer of the device allows. Fit a smaller one.",
        amps(rating).beside(most),
        amps(most)
    );
    Some(
        RuleFinding::new(Code::FuseOverDevice, text).against(rating, most, "A").working(device_working(most)),
    )
}

/// The finding when no rating fits. Without a family, no rating of any family fits.
fn no_rating_fits(family: Option<Family>, load: f64, top: &Top) -> RuleFinding {
    let made = family.map_or("fuse or breaker", Family::words);
    let (load_a, top_a) = (amps(load), amps(top.amperes));
    let text = match (top.by_device, family) {
        (true, _) => say!(
            "No {} has a standard rating between the load of {} and the {} that a device allows. Give its devices \
             circuits of their own, or ask the manufacturer.",
            made,
            load_a,
            top_a
        ),
        (false, Some(_)) => say!(
            "No {} has a standard rating between the load of {} and the limit of {}. Use a thicker conductor or \
             another kind of protection.",
            made,
            load_a,
            top_a
        ),
        (false, None) => say!(
            "No {} has a standard rating between the load of {} and the limit of {}. Use a thicker conductor.",
            made,
            load_a,
            top_a
        ),
    };
    let finding = RuleFinding::new(Code::NoRatingFits, text).against(load, top.amperes, "A");
    match &top.working {
        Some(working) => finding.working(working.clone()),
        None => finding,
    }
}

fn device_working(amperes: f64) -> Working {
    Working {
        what: Quantity::LargestRating,
        formula: "the device's largest fuse",
        numbers: "as its manufacturer states".into(),
        result: format!("{} A", figure(amperes)).into(),
        source: &MAKERS_MANUAL,
    }
}

fn made_working(family: Family, load: f64, top: f64, made: &[f64]) -> Working {
    let list = made.iter().map(|rating| figure(*rating)).collect::<Vec<_>>().join(", ");
    Working {
        what: Quantity::AllowedRatings,
        formula: "standard ratings from the load to the limit",
        numbers: format!("{}, {} A to {} A", family.words(), figure(load), figure(top)).into(),
        result: format!("{list} A").into(),
        source: &MADE_RATINGS,
    }
}

fn recommended_working(load: f64, recommended: f64, comfortable: f64) -> Working {
    Working {
        what: Quantity::RatingToFit,
        formula: "smallest with load within 80 %, within the ampacity",
        numbers: format!(
            "{} A / 0.8 = {} A, conductor {} A",
            figure(load),
            figure(load / CONTINUOUS_SHARE),
            figure(comfortable)
        )
        .into(),
        result: format!("{} A", figure(recommended)).into(),
        source: &FUSE_MARGIN,
    }
}

fn margin_working(load: f64, rating: f64) -> Working {
    Working {
        what: Quantity::ContinuousLoad,
        formula: "load not over 80 % of the rating",
        numbers: format!("0.8 x {} A", figure(rating)).into(),
        result: format!("{} A against {} A", figure(load), figure(rating * CONTINUOUS_SHARE)).into(),
        source: &FUSE_MARGIN,
    }
}
