//! When a fuse opens: motor inrush, a short circuit at the far end, and what it can break at all.
//!
//! For blade fuses the band of opening times is that of ISO 8820-3, from memory: no fuse opens before
//! the band's lower edge, every fuse has opened at its upper edge. Between the standard's points both
//! edges are straight on logarithmic paper. Where an edge has no point, the answer is the worse one: under
//! 110 % nothing is sure to open; between 110 and 135 % a fuse may open as early as at 135 %; over 600 %
//! it may open at once, and has opened no later than at 600 %.
//!
//! Other families have no band here. Six times the rating opens any of them in good time (common
//! practice); for anything between, the maker's curve is asked for.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Time};
use uom::si::time::second;

use super::Family;
use crate::trade::finding::{Code, Finding};
use crate::trade::source::{FAR_END_FAULT, INTERRUPT_RATING, ISO_8820_3, Source};
use crate::trade::working::{Working, figure, keeps_to};

/// A point of the band: percent of rating, earliest and latest opening in seconds.
type Point = (f64, f64, f64);

/// Under this a blade fuse carries on for at least 100 hours.
const HOLDS_PERCENT: f64 = 110.0;
/// ISO 8820-3 opening times of blade fuses.
const BLADE_BAND: [Point; 5] =
    [(135.0, 0.75, 600.0), (160.0, 0.25, 50.0), (200.0, 0.15, 5.0), (350.0, 0.04, 0.5), (600.0, 0.02, 0.1)];
/// A short circuit is to be off within this time, s; common practice.
pub const GOOD_TIME_S: f64 = 5.0;
/// This many times its rating opens any made fuse or breaker within [`GOOD_TIME_S`]; common practice.
pub const SURE_MULTIPLE: f64 = 6.0;

/// When a fuse opens at one current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// No fuse of the kind opens before this; `None` when none opens at all.
    pub earliest: Option<Time>,
    /// Each has opened by then; `None` when some never do.
    pub latest: Option<Time>,
}

/// The surge of a motor as it starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inrush {
    /// How high.
    pub current: ElectricCurrent,
    /// How long.
    pub lasts: Time,
}

/// The band of opening times at a current, or `None` for a family without a band here.
pub fn times(family: Family, rating: ElectricCurrent, current: ElectricCurrent) -> Option<Opening> {
    if !matches!(family, Family::BladeFuse | Family::MiniBladeFuse) {
        return None;
    }
    let percent = 100.0 * current.get::<ampere>() / rating.get::<ampere>();
    let seconds = |value: f64| Time::new::<second>(value);
    Some(Opening { earliest: earliest(percent).map(seconds), latest: latest(percent).map(seconds) })
}

/// Whether a surge passes without opening the fuse; `None` for a family without a band, unless the
/// surge stays within the rating.
pub fn rides_through(family: Family, rating: ElectricCurrent, inrush: &Inrush) -> Option<bool> {
    if keeps_to(inrush.current.get::<ampere>(), rating.get::<ampere>()) {
        return Some(true);
    }
    let opening = times(family, rating, inrush.current)?;
    Some(opening.earliest.is_none_or(|earliest| inrush.lasts <= earliest))
}

/// Whether a fault current is sure to open the fuse within a time; `None` where that is not known.
pub fn opens_within(
    family: Family,
    rating: ElectricCurrent,
    fault: ElectricCurrent,
    time: Time,
) -> Option<bool> {
    match times(family, rating, fault) {
        Some(opening) => Some(opening.latest.is_some_and(|latest| latest <= time)),
        None if time.get::<second>() < GOOD_TIME_S => None,
        None if keeps_to(SURE_MULTIPLE * rating.get::<ampere>(), fault.get::<ampere>()) => Some(true),
        None if keeps_to(fault.get::<ampere>(), rating.get::<ampere>()) => Some(false),
        None => None,
    }
}

/// Whether the protection lets a motor start.
pub fn judge_inrush(family: Family, rating: ElectricCurrent, inrush: &Inrush) -> Option<Finding> {
    match rides_through(family, rating, inrush) {
        Some(true) => None,
        None => Some(no_curve(family, "motor inrush")),
        Some(false) => {
            let (amperes, lasts) = (inrush.current.get::<ampere>(), inrush.lasts.get::<second>());
            let earliest = times(family, rating, inrush.current).and_then(|opening| opening.earliest);
            let earliest = earliest.map_or(0.0, |time| time.get::<second>());
            let text = format!(
                "{} A for {} s while starting may open a {} A {} after {} s: take a larger rating or another kind",
                figure(amperes),
                figure(lasts),
                figure(rating.get::<ampere>()),
                family.words(),
                figure(earliest)
            );
            let working = band_working(rating, amperes, format!("not before {} s", figure(earliest)));
            Some(Finding::new(Code::InrushOpensFuse, text).against(lasts, earliest, "s").working(working))
        }
    }
}

/// Whether a short circuit at the far end gives enough current to open the protection in good time.
pub fn judge_far_end(
    family: Family,
    rating: ElectricCurrent,
    fault: Option<ElectricCurrent>,
) -> Option<Finding> {
    let Some(fault) = fault else {
        return Some(Finding::missing("fault current at the far end", "opening on a short circuit"));
    };
    match opens_within(family, rating, fault, Time::new::<second>(GOOD_TIME_S)) {
        Some(true) => None,
        None => Some(no_curve(family, "opening on a short circuit at the far end")),
        Some(false) => Some(fault_too_weak(family, rating, fault)),
    }
}

/// Whether the protection can break the short circuit that its source can drive through it.
///
/// `interrupts` is the part's own figure; without one the family's usual figure is taken, if it has one.
pub fn judge_interrupt(
    family: Family,
    interrupts: Option<ElectricCurrent>,
    fault: Option<ElectricCurrent>,
) -> Option<Finding> {
    let missing = |input| Some(Finding::missing(input, "interrupting rating"));
    let Some(fault) = fault else { return missing("fault current at the protection") };
    let Some(interrupts) = interrupts.or(family.usual_interrupt()) else {
        return missing("interrupting rating of the protection");
    };
    let (flows, breaks) = (fault.get::<ampere>(), interrupts.get::<ampere>());
    if keeps_to(flows, breaks) {
        return None;
    }
    let text = format!(
        "a short circuit can drive {} A here and this {} breaks {} A at most: it may burst; fit one that breaks more",
        figure(flows),
        family.words(),
        figure(breaks)
    );
    let working = plain_working(
        "interrupting rating",
        "interrupting rating not less than the fault current",
        format!("{} A against {} A", figure(breaks), figure(flows)),
        format!("{} A short", figure(flows - breaks)),
        &INTERRUPT_RATING,
    );
    Some(Finding::new(Code::InterruptUnderFault, text).against(flows, breaks, "A").working(working))
}

fn earliest(percent: f64) -> Option<f64> {
    let [first, .., last] = BLADE_BAND;
    match percent {
        p if keeps_to(p, HOLDS_PERCENT) => None,
        p if p <= first.0 => Some(first.1),
        p if p > last.0 => Some(0.0),
        p => Some(along(p, |point| point.1).unwrap_or(0.0)),
    }
}

fn latest(percent: f64) -> Option<f64> {
    let [first, .., last] = BLADE_BAND;
    match percent {
        p if p < first.0 => None,
        p if p >= last.0 => Some(last.2),
        p => along(p, |point| point.2),
    }
}

/// An edge of the band, straight between its points on logarithmic paper.
fn along(percent: f64, edge: impl Fn(&Point) -> f64) -> Option<f64> {
    let pair = BLADE_BAND.windows(2).find(|pair| pair[0].0 <= percent && percent <= pair[1].0)?;
    let share = (percent / pair[0].0).ln() / (pair[1].0 / pair[0].0).ln();
    let (from, to) = (edge(&pair[0]).ln(), edge(&pair[1]).ln());
    Some((from + share * (to - from)).exp())
}

fn fault_too_weak(family: Family, rating: ElectricCurrent, fault: ElectricCurrent) -> Finding {
    let (rating_a, fault_a) = (rating.get::<ampere>(), fault.get::<ampere>());
    let text = format!(
        "a short circuit at the far end drives {} A only, too little to open a {} A {} within {GOOD_TIME_S} s: take a thicker conductor or a smaller rating",
        figure(fault_a),
        figure(rating_a),
        family.words()
    );
    let latest = times(family, rating, fault).and_then(|opening| opening.latest);
    let working = match latest {
        Some(latest) => band_working(
            rating,
            fault_a,
            format!("open after {} s at the latest", figure(latest.get::<second>())),
        ),
        None => plain_working(
            "opening on a short circuit",
            "fault current well over the rating",
            format!("{} A / {} A = {}", figure(fault_a), figure(rating_a), figure(fault_a / rating_a)),
            "may never open".to_owned(),
            &FAR_END_FAULT,
        ),
    };
    let finding = Finding::new(Code::FaultTooWeak, text).working(working);
    match latest {
        Some(latest) => finding.against(latest.get::<second>(), GOOD_TIME_S, "s"),
        None => finding,
    }
}

fn no_curve(family: Family, needed_for: &str) -> Finding {
    Finding::missing(&format!("the maker's opening curve of this {}", family.words()), needed_for)
}

fn band_working(rating: ElectricCurrent, amperes: f64, result: String) -> Working {
    let rating = rating.get::<ampere>();
    let numbers =
        format!("{} A / {} A = {} %", figure(amperes), figure(rating), figure(100.0 * amperes / rating));
    plain_working(
        "opening time",
        "band of opening times at a percentage of rating",
        numbers,
        result,
        &ISO_8820_3,
    )
}

fn plain_working(
    what: &'static str,
    formula: &'static str,
    numbers: String,
    result: String,
    source: &'static Source,
) -> Working {
    Working { what, formula, numbers, result, source }
}
