//! When a fuse blows: motor inrush, a short circuit at the far end, and the interrupt rating.
//!
//! For blade fuses, the time-current band is that of ISO 8820-3, from memory. No fuse blows before the lower
//! edge of the band, and every fuse has blown at its upper edge. Between the standard's points, both edges
//! are straight lines on a log-log chart. Where an edge has no point, the worse case applies:
//!
//! - Under 110 %, no fuse is certain to blow.
//! - Between 110 and 135 %, a fuse may blow as early as at 135 %.
//! - Over 600 %, it may blow at once, and it has blown no later than at 600 %.
//!
//! Other families have no band here. Six times the rating blows or trips any of them in time (common
//! practice). For smaller currents, two points of the manufacturer's curve are needed. The first: the current
//! that the part carries, and for how long. The second: the current at which it has blown, and by when. These
//! points take precedence over the band where both apply, unless the points are impossible.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Time};
use uom::si::time::second;

use super::family::Family;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::say::{Statement, say};
use crate::trade::source::{FAR_END_FAULT, INTERRUPT_RATING, ISO_8820_3, ISO_10133_INTERRUPT, Source};
use crate::trade::units::{Amount, amps, percent, seconds};
use crate::trade::working::{Working, figure, keeps_to};

/// A point of the band: percent of rating, and the earliest and latest opening in seconds.
type Point = (f64, f64, f64);

/// Below this, a blade fuse carries the current for at least 100 hours.
const HOLDS_PERCENT: f64 = 110.0;
/// ISO 8820-3 time-current band of blade fuses.
const BLADE_BAND: [Point; 5] =
    [(135.0, 0.75, 600.0), (160.0, 0.25, 50.0), (200.0, 0.15, 5.0), (350.0, 0.04, 0.5), (600.0, 0.02, 0.1)];
/// A short circuit must be cleared within this time, s; common practice.
pub const GOOD_TIME_S: f64 = 5.0;
/// This many times its rating blows or trips any standard fuse or breaker within [`GOOD_TIME_S`]; common
/// practice.
pub const SURE_MULTIPLE: f64 = 6.0;
/// Below this, no standard fuse or breaker is certain to open, however long the current lasts; common
/// practice, no source.
const SURE_PERCENT: f64 = 110.0;
/// No standard part carries twice its rating for ten minutes; common practice, no source.
const NEVER_CARRIED: (f64, f64) = (2.0, 600.0);

/// When a fuse blows at one current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// No fuse of the kind blows before this; `None` when no fuse blows at all.
    pub earliest: Option<Time>,
    /// Every fuse has blown by then; `None` when some never blow.
    pub latest: Option<Time>,
}

/// A point of a manufacturer's time-current curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeAtCurrent {
    /// The current.
    pub current: ElectricCurrent,
    /// The time: the part carries the current at least this long, or has opened by then.
    pub time: Time,
}

impl TimeAtCurrent {
    fn parts(self) -> (Amount, Amount) {
        (amps(self.current.get::<ampere>()), seconds(self.time.get::<second>()))
    }
}

/// A fuse or breaker, with the data that decide when it opens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opener {
    /// Its family.
    pub family: Family,
    /// Its rating.
    pub rating: ElectricCurrent,
    /// The current that it carries, and for how long, by its manufacturer's data.
    pub carries: Option<TimeAtCurrent>,
    /// The current at which it has opened, and by when, by its manufacturer's data.
    pub opens: Option<TimeAtCurrent>,
}

impl Opener {
    /// A part without manufacturer's data.
    pub fn usual(family: Family, rating: ElectricCurrent) -> Self {
        Self { family, rating, carries: None, opens: None }
    }

    /// Why the curve as entered is impossible, if it is.
    fn contradiction(&self) -> Option<Statement> {
        self.opens_too_soon().or_else(|| self.carries_too_much())
    }

    /// No part is certain to open near its rating, and none opens before the fastest of its family.
    fn opens_too_soon(&self) -> Option<Statement> {
        let opens = self.opens?;
        let rating = self.rating.get::<ampere>();
        let (current, time) = opens.parts();
        let said = say!("The curve entered says that it blows or trips at {} after {}.", current, time);
        if !keeps_to(rating * SURE_PERCENT / 100.0, opens.current.get::<ampere>()) {
            let why = say!(
                "Under {} of its rating of {} nothing is sure to do so.",
                percent(SURE_PERCENT),
                amps(rating)
            );
            return Some(said.then(why));
        }
        let kind = self.family.words();
        match times(self.family, self.rating, opens.current)?.earliest {
            None => {
                Some(said.then(say!("Every {} of {} carries that current for hours.", kind, amps(rating))))
            }
            Some(first) if opens.time < first => {
                let first = seconds(first.get::<second>());
                Some(said.then(say!("No {} of {} does so before {}.", kind, amps(rating), first)))
            }
            Some(_) => None,
        }
    }

    /// No part carries a current longer than the time by which that current has opened it. None carries a
    /// current that opens all of its family, or twice its rating for long.
    fn carries_too_much(&self) -> Option<Statement> {
        let carries = self.carries?;
        let (current, time) = carries.parts();
        let said = say!("The curve entered says that it carries {} for {}.", current, time);
        if let Some(opens) = self.opens
            && carries.current >= opens.current
            && carries.time >= opens.time
        {
            let (current, time) = opens.parts();
            return Some(said.then(say!(
                "It also says that it blows or trips at {} after {}.",
                current,
                time
            )));
        }
        let rating = amps(self.rating.get::<ampere>());
        let usual = Self::usual(self.family, self.rating);
        if opens_within(&usual, carries.current, carries.time) == Some(true) {
            let why = say!("By then every {} of {} has blown or tripped.", self.family.words(), rating);
            return Some(said.then(why));
        }
        let (times_rating, lasts) = NEVER_CARRIED;
        let never = carries.current >= self.rating * times_rating && carries.time.get::<second>() >= lasts;
        never.then(|| {
            said.then(say!("Nothing carries twice its rating, here {}, for {}.", rating, seconds(lasts)))
        })
    }

    /// The same with its manufacturer's data where they are possible, otherwise without them.
    pub fn believed(self) -> Self {
        if self.contradiction().is_some() { Self::usual(self.family, self.rating) } else { self }
    }

    /// Whether the manufacturer's data cover a surge: no higher and no longer than what the part carries.
    fn is_said_to_carry(&self, inrush: &MotorSurge) -> bool {
        self.carries.is_some_and(|said| inrush.current <= said.current && inrush.lasts <= said.time)
    }

    /// Whether the manufacturer's data cover a fault: at least the current that opens the part, and in time.
    fn is_said_to_open(&self, fault: ElectricCurrent, time: Time) -> bool {
        self.opens.is_some_and(|said| fault >= said.current && said.time <= time)
    }
}

/// The surge of a motor as it starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotorSurge {
    /// Its current.
    pub current: ElectricCurrent,
    /// Its duration.
    pub lasts: Time,
}

/// The earliest and latest opening at a current, or `None` for a family without a band here.
pub fn times(family: Family, rating: ElectricCurrent, current: ElectricCurrent) -> Option<Opening> {
    if !matches!(family, Family::BladeFuse | Family::MiniBladeFuse) {
        return None;
    }
    let percent = 100.0 * current.get::<ampere>() / rating.get::<ampere>();
    let seconds = |value: f64| Time::new::<second>(value);
    Some(Opening { earliest: earliest(percent).map(seconds), latest: latest(percent).map(seconds) })
}

/// Whether a surge passes without opening the protection. `None` where neither the family nor the
/// manufacturer's data give an answer, unless the surge is within the rating.
pub fn rides_through(opener: &Opener, inrush: &MotorSurge) -> Option<bool> {
    let within = keeps_to(inrush.current.get::<ampere>(), opener.rating.get::<ampere>());
    if within || opener.is_said_to_carry(inrush) {
        return Some(true);
    }
    let opening = times(opener.family, opener.rating, inrush.current)?;
    Some(opening.earliest.is_none_or(|earliest| inrush.lasts <= earliest))
}

/// Whether a fault current is certain to open the protection within a time; `None` where that is not known.
pub fn opens_within(opener: &Opener, fault: ElectricCurrent, time: Time) -> Option<bool> {
    if opener.is_said_to_open(fault, time) {
        return Some(true);
    }
    let (rating, amperes) = (opener.rating.get::<ampere>(), fault.get::<ampere>());
    match times(opener.family, opener.rating, fault) {
        Some(opening) => Some(opening.latest.is_some_and(|latest| latest <= time)),
        None if keeps_to(amperes, rating) => Some(false),
        None if time.get::<second>() < GOOD_TIME_S => None,
        None => keeps_to(SURE_MULTIPLE * rating, amperes).then_some(true),
    }
}

/// Whether the time-current curve as entered is possible.
pub fn judge_word(opener: &Opener) -> Option<RuleFinding> {
    let why = opener.contradiction()?;
    let remedy = say!("Read the data sheet again. Until then the curve is not used.");
    Some(RuleFinding::new(Code::CurveImpossible, why.then(remedy)))
}

/// Whether the protection carries the inrush of a motor.
pub fn judge_inrush(opener: &Opener, inrush: &MotorSurge) -> Option<RuleFinding> {
    let (amperes, lasts) = (inrush.current.get::<ampere>(), inrush.lasts.get::<second>());
    match rides_through(opener, inrush) {
        Some(true) => None,
        None => {
            let carries = say!(
                "whether this {} carries {} for {}",
                opener.family.words(),
                amps(amperes),
                seconds(lasts)
            );
            Some(no_curve(carries, "the inrush of the motor"))
        }
        Some(false) => {
            let earliest = times(opener.family, opener.rating, inrush.current);
            let earliest = earliest.and_then(|opening| opening.earliest);
            let earliest = earliest.map_or(0.0, |time| time.get::<second>());
            let text = say!(
                "The inrush of {} for {} may blow a {} {}, which carries it for {}. Fit a larger rating or another kind.",
                amps(amperes),
                seconds(lasts).beside(earliest),
                amps(opener.rating.get::<ampere>()),
                opener.family.words(),
                seconds(earliest)
            );
            let working = band_working(opener.rating, amperes, format!("not before {} s", figure(earliest)));
            Some(RuleFinding::new(Code::InrushBlowsFuse, text).against(lasts, earliest, "s").working(working))
        }
    }
}

/// Whether a short circuit at the far end gives enough current to open the protection in time.
pub fn judge_far_end(opener: &Opener, fault: Option<ElectricCurrent>) -> Option<RuleFinding> {
    let Some(fault) = fault else {
        return Some(RuleFinding::missing("the fault current at the far end", "the short circuit there"));
    };
    match opens_within(opener, fault, Time::new::<second>(GOOD_TIME_S)) {
        Some(true) => None,
        None => {
            let blows = say!(
                "whether this {} blows or trips at {} or less within {}",
                opener.family.words(),
                amps(fault.get::<ampere>()),
                seconds(GOOD_TIME_S)
            );
            Some(no_curve(blows, "a short circuit at the far end"))
        }
        Some(false) => Some(fault_too_weak(opener.family, opener.rating, fault)),
    }
}

/// Whether the interrupt rating of the protection covers the short-circuit current that its source can drive
/// through it.
///
/// `interrupts` is the part's own figure. Without it, the usual figure of the family applies, if there is
/// one. That figure is from memory, and many parts have a higher rating. The finding therefore requests the
/// data sheet where the part's own figure would stop the job.
pub fn judge_interrupt(
    rules: RuleSet,
    family: Family,
    interrupts: Option<ElectricCurrent>,
    fault: Option<ElectricCurrent>,
) -> Option<RuleFinding> {
    let missing = |input| Some(RuleFinding::missing(input, "whether it interrupts a short circuit"));
    let Some(fault) = fault else { return missing("the fault current at the protection") };
    let Some(breaks) = interrupts.or(family.usual_interrupt()) else {
        return missing("the interrupt rating of the protection");
    };
    let (flows, breaks) = (fault.get::<ampere>(), breaks.get::<ampere>());
    if keeps_to(flows, breaks) {
        return None;
    }
    let kind = family.words();
    let (code, text) = match interrupts {
        Some(_) => (
            Code::InterruptUnderFault,
            say!(
                "A short circuit can drive {} here; this {} interrupts {} at most. It may burst. Fit one with a higher \
                 interrupt rating.",
                amps(flows).beside(breaks),
                kind,
                amps(breaks)
            ),
        ),
        None => (
            Code::InterruptUnconfirmed,
            say!(
                "A short circuit can drive {} here; a {} usually interrupts {}, from memory. Enter the interrupt \
                 rating from its data sheet. If that is too low, it may burst. Then fit a current-limiting fuse rated \
                 with it upstream, or a longer or thinner feeder.",
                amps(flows).beside(breaks),
                kind,
                amps(breaks)
            ),
        ),
    };
    let working = plain_working(
        Quantity::InterruptRating,
        "interrupting rating not less than the fault current",
        format!("{} A against {} A", figure(breaks), figure(flows)),
        format!("{} A short", figure(flows - breaks)),
        match rules {
            RuleSet::Us => &INTERRUPT_RATING,
            RuleSet::Iso => &ISO_10133_INTERRUPT,
        },
    );
    Some(RuleFinding::new(code, text).against(flows, breaks, "A").working(working))
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

/// An edge of the band, straight between its points on a log-log chart.
fn along(percent: f64, edge: impl Fn(&Point) -> f64) -> Option<f64> {
    let pair = BLADE_BAND.windows(2).find(|pair| pair[0].0 <= percent && percent <= pair[1].0)?;
    let share = (percent / pair[0].0).ln() / (pair[1].0 / pair[0].0).ln();
    let (from, to) = (edge(&pair[0]).ln(), edge(&pair[1]).ln());
    Some((from + share * (to - from)).exp())
}

fn fault_too_weak(family: Family, rating: ElectricCurrent, fault: ElectricCurrent) -> RuleFinding {
    let (rating_a, fault_a) = (rating.get::<ampere>(), fault.get::<ampere>());
    let text = say!(
        "A short circuit at the far end drives only {}. That may not blow or trip a {} {} within {}. Use a thicker \
         conductor or a smaller rating.",
        amps(fault_a),
        amps(rating_a),
        family.words(),
        seconds(GOOD_TIME_S)
    );
    let latest = times(family, rating, fault).and_then(|opening| opening.latest);
    let working = match latest {
        Some(latest) => band_working(
            rating,
            fault_a,
            format!("open after {} s at the latest", figure(latest.get::<second>())),
        ),
        None => plain_working(
            Quantity::ShortCircuitResponse,
            "fault current well over the rating",
            format!("{} A / {} A = {}", figure(fault_a), figure(rating_a), figure(fault_a / rating_a)),
            "may never open".to_owned(),
            &FAR_END_FAULT,
        ),
    };
    let finding = RuleFinding::new(Code::FaultTooLow, text).working(working);
    match latest {
        Some(latest) => finding.against(latest.get::<second>(), GOOD_TIME_S, "s"),
        None => finding,
    }
}

fn no_curve(whether: Statement, needed_for: &'static str) -> RuleFinding {
    RuleFinding::missing(say!("from the manufacturer's data {}", whether), needed_for)
}

fn band_working(rating: ElectricCurrent, amperes: f64, result: String) -> Working {
    let rating = rating.get::<ampere>();
    let numbers =
        format!("{} A / {} A = {} %", figure(amperes), figure(rating), figure(100.0 * amperes / rating));
    plain_working(
        Quantity::TimeCurrent,
        "band of opening times at a percentage of rating",
        numbers,
        result,
        &ISO_8820_3,
    )
}

fn plain_working(
    what: Quantity,
    formula: &'static str,
    numbers: String,
    result: String,
    source: &'static Source,
) -> Working {
    Working { what, formula, numbers: numbers.into(), result: result.into(), source }
}
