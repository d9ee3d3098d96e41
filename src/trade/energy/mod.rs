//! Energy: what the boat uses through a day, and whether its bank carries it.
//!
//! The state of charge is stepped through the use pattern by counting charge: what the loads take beyond
//! the sources, weighed by Peukert's relation, goes out; what the sources have to spare, as far as the
//! chemistry takes it, comes in. A load that runs a share of the time is weighed by its current while it is on
//! ([`Stretch::loads`]). That is a planner's model. It knows one temperature, a new bank, and
//! usual figures for each chemistry ([`battery::Practice`], from memory) until a manufacturer's are given. It
//! does not know age, sulphation, cell balance, the regulator's stages or the alternator's heat, and it
//! takes no credit for currents under the rated one, where Peukert's relation promises more than the
//! label, nor for what a battery recovers between short heavy loads. A shunt on the boat is worth more than any figure here.

pub mod battery;
mod course;
mod cranking;
mod judge;
mod load;

pub use load::Load;

use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::f64::{
    ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio,
    ThermodynamicTemperature, Time,
};
use uom::si::ratio::{percent, ratio};
use uom::si::time::hour;

use super::finding::Finding;
use super::source::CHARGE_BALANCE;
use super::working::{Working, figure};
use battery::{Chemistry, RatedCapacity};

/// Something that draws during a stretch of the day.
#[derive(Debug, Clone, PartialEq)]
pub struct Use {
    /// What it is: the name of a circuit or device.
    pub what: String,
    /// What it draws while it is on.
    pub current: ElectricCurrent,
    /// The share of the stretch that it is on.
    pub share: Ratio,
}

/// A stretch of the day spent in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The mode.
    pub mode: String,
    /// How long it lasts.
    pub lasts: Time,
    /// What draws.
    pub uses: Vec<Use>,
    /// What draws as well, nobody knows how much: figures are without it.
    pub unknown: Vec<String>,
    /// The most that alternator and chargers give together meanwhile.
    pub charging: ElectricCurrent,
}

impl Stretch {
    /// The current of all uses, each by its share.
    pub fn mean_load(&self) -> ElectricCurrent {
        self.uses
            .iter()
            .fold(ElectricCurrent::new::<ampere>(0.0), |sum, item| sum + item.current * item.share)
    }
}

/// What starts the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Starting {
    /// A battery of its own, or no engine: the bank need not crank.
    NotFromBank,
    /// This bank.
    FromBank {
        /// What the starter draws.
        demand: Option<ElectricCurrent>,
        /// The bank's cold-cranking rating.
        rating: Option<ElectricCurrent>,
    },
}

/// A bank of batteries in parallel, as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Bank {
    /// Its capacity over its rated hours.
    pub capacity: Option<RatedCapacity>,
    /// What it is made of.
    pub chemistry: Option<Chemistry>,
    /// Nominal voltage.
    pub nominal: ElectricPotential,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
    /// Its internal resistance.
    pub internal: Option<ElectricalResistance>,
    /// The manufacturer's Peukert exponent; the chemistry's usual one where left out.
    pub peukert: Option<f64>,
    /// The state of charge it should not fall under; the chemistry's usual one where left out.
    pub floor: Option<Ratio>,
    /// The voltage it should not fall under; see [`battery::end_voltage`].
    pub low_voltage: Option<ElectricPotential>,
    /// What starts the engine.
    pub starting: Starting,
}

/// A use pattern and how long it is followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// The stretches of one day, in order; hours left over are spent idle.
    pub day: Vec<Stretch>,
    /// How many days.
    pub days: u8,
    /// State of charge at the start.
    pub from: Ratio,
}

/// A pattern that makes no sense.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BadPattern {
    /// More hours than a day has.
    #[error("the modes of a day add up to {0} h: expected at most 24 h")]
    LongDay(String),
    /// No days, or more than the model is good for.
    #[error("{0} days is not valid here: expected 1 to 7 days")]
    Days(u8),
    /// A number that no current, time or share can be.
    #[error("{what} of '{mode}' is {got}: expected {expected}")]
    Figure {
        /// The figure.
        what: &'static str,
        /// The stretch.
        mode: String,
        /// What was given.
        got: String,
        /// What was expected.
        expected: &'static str,
    },
    /// A state of charge or exponent out of its range.
    #[error("{what} is {got}: expected {expected}")]
    BankFigure {
        /// The figure.
        what: &'static str,
        /// What was given.
        got: String,
        /// What was expected.
        expected: &'static str,
    },
}

/// What one mode takes in a day.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeUse {
    /// The mode.
    pub mode: String,
    /// How long it lasts.
    pub lasts: Time,
    /// What its loads take.
    pub used: ElectricCharge,
    /// The sum.
    pub working: Working,
}

/// One moment of the course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Time since the start.
    pub at: Time,
    /// State of charge.
    pub charge: Ratio,
    /// Mean current out of the bank over the step that ends here; below zero into it.
    pub current: ElectricCurrent,
    /// Voltage at the posts while the bank gives most current, where it can be told.
    pub volts: Option<ElectricPotential>,
    /// What went out and in since the start.
    pub so_far: Balance,
}

/// A stretch of the course spent in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// The mode.
    pub mode: String,
    /// When it begins.
    pub from: Time,
    /// When it ends.
    pub to: Time,
}

/// A way back up to full.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recovery {
    /// When the bank was lowest.
    pub at: Time,
    /// How low.
    pub from: Ratio,
    /// How long it took from there to full.
    pub takes: Time,
}

/// What went out and in over the whole course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// What the loads asked for.
    pub asked: ElectricCharge,
    /// What the sources gave straight to the loads.
    pub direct: ElectricCharge,
    /// What the bank gave.
    pub drawn: ElectricCharge,
    /// The same as it weighs on the bank by Peukert's relation.
    pub weighed: ElectricCharge,
    /// What the sources gave to the bank, before losses.
    pub accepted: ElectricCharge,
    /// What the loads did not get because the bank was empty.
    pub unserved: ElectricCharge,
}

/// The state of charge through the pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Every step, the start first.
    pub samples: Vec<Sample>,
    /// The modes it passed through.
    pub bands: Vec<Band>,
    /// The state of charge it should not fall under.
    pub floor: Ratio,
    /// The lowest moment.
    pub lowest: Sample,
    /// When it first fell under the floor.
    pub floor_at: Option<Time>,
    /// When it first fell under the low voltage.
    pub low_voltage_at: Option<Time>,
    /// The longest way back to full.
    pub recovery: Option<Recovery>,
    /// What went out and in.
    pub balance: Balance,
    /// Charge of the full bank, as it is counted with.
    pub full: ElectricCharge,
    /// Peukert's exponent.
    pub exponent: f64,
    /// Share of the charging current that is stored.
    pub efficiency: Ratio,
}

impl Course {
    /// State of charge at the end.
    pub fn end(&self) -> Ratio {
        self.samples.last().map_or(self.lowest.charge, |sample| sample.charge)
    }
}

/// How the bank fares.
#[derive(Debug, Clone, PartialEq)]
pub struct Fares {
    /// With the sources of the pattern.
    pub course: Course,
    /// How long it lasts to its floor with no source at all; none where it lasts beyond a week.
    pub alone: Option<Time>,
    /// The smallest capacity that keeps above the floor, where this one does not.
    pub needed: Option<ElectricCharge>,
    /// Exponent, temperature, usable charge, time, cranking: each with its sum.
    pub workings: Vec<Working>,
}

/// What a day takes and how the bank fares.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// What each stretch takes.
    pub by_mode: Vec<ModeUse>,
    /// What a day takes.
    pub daily: ElectricCharge,
    /// How the bank fares; none without capacity and chemistry.
    pub fares: Option<Fares>,
    /// What is wrong.
    pub findings: Vec<Finding>,
}

/// Follows a use pattern and says how the bank fares.
///
/// # Errors
/// [`BadPattern`] where a day has more than 24 hours, the days are none or more than 7, or a figure is
/// below nought, no number, or beyond its range.
pub fn outlook(bank: &Bank, pattern: &Pattern) -> Result<Outlook, BadPattern> {
    check_bank(bank, pattern)?;
    let day = whole_day(&pattern.day)?;
    let by_mode: Vec<ModeUse> = pattern.day.iter().map(mode_use).collect();
    let daily = by_mode.iter().fold(ElectricCharge::new::<ampere_hour>(0.0), |sum, one| sum + one.used);
    let mut findings = Vec::new();
    let fares = match (bank.capacity, bank.chemistry) {
        (Some(capacity), Some(chemistry)) => {
            Some(judge::fares(bank, capacity, chemistry, &day, pattern, &mut findings))
        }
        (capacity, chemistry) => {
            let what = "state of charge, time to empty and back to full, and cranking reserve";
            findings.extend(capacity.is_none().then(|| Finding::missing("the capacity of the bank", what)));
            findings.extend(chemistry.is_none().then(|| Finding::missing("the chemistry of the bank", what)));
            None
        }
    };
    Ok(Outlook { by_mode, daily, fares, findings })
}

fn mode_use(stretch: &Stretch) -> ModeUse {
    let hours = stretch.lasts.get::<hour>();
    let load = stretch.mean_load();
    let used = load * stretch.lasts;
    let known = stretch.uses.iter().map(|item| {
        let share = item.share.get::<percent>();
        format!("{} {} A x {} %", item.what, figure(item.current.get::<ampere>()), figure(share))
    });
    let unknown = stretch.unknown.iter().map(|what| format!("{what}, not known and counted as nothing"));
    let terms: Vec<String> = known.chain(unknown).collect();
    let sum = if terms.is_empty() { "nothing on".to_owned() } else { terms.join(" + ") };
    let at_least = if stretch.unknown.is_empty() { "" } else { "at least " };
    ModeUse {
        mode: stretch.mode.clone(),
        lasts: stretch.lasts,
        used,
        working: Working {
            what: "charge used in the mode",
            formula: "sum of current x share of time, x hours",
            numbers: format!("({sum}) = {} A, x {} h", figure(load.get::<ampere>()), figure(hours)),
            result: format!("{at_least}{} Ah", figure(used.get::<ampere_hour>())),
            source: &CHARGE_BALANCE,
        },
    }
}

/// The day with the hours that no mode takes spent idle at its end.
fn whole_day(stretches: &[Stretch]) -> Result<Vec<Stretch>, BadPattern> {
    stretches.iter().try_for_each(check_stretch)?;
    let hours: f64 = stretches.iter().map(|stretch| stretch.lasts.get::<hour>()).sum();
    if hours > 24.0 + 1e-9 {
        return Err(BadPattern::LongDay(figure(hours)));
    }
    let mut day: Vec<Stretch> =
        stretches.iter().filter(|stretch| stretch.lasts.get::<hour>() > 0.0).cloned().collect();
    if hours < 24.0 - 1e-9 {
        day.push(Stretch {
            mode: "idle".to_owned(),
            lasts: Time::new::<hour>(24.0 - hours),
            uses: Vec::new(),
            unknown: Vec::new(),
            charging: ElectricCurrent::new::<ampere>(0.0),
        });
    }
    Ok(day)
}

/// The largest current that is taken for one: beyond it a figure is a slip of the pen.
const MOST_AMPERES: f64 = 10_000.0;

fn check_stretch(stretch: &Stretch) -> Result<(), BadPattern> {
    let check = |what, got: f64, most: f64, expected| {
        let bad = || BadPattern::Figure { what, mode: stretch.mode.clone(), got: got.to_string(), expected };
        (0.0..=most).contains(&got).then_some(()).ok_or_else(bad)
    };
    let current = "a current from 0 to 10000 A";
    check("the length", stretch.lasts.get::<hour>(), 24.0, "0 to 24 h")?;
    check("the charging current", stretch.charging.get::<ampere>(), MOST_AMPERES, current)?;
    stretch.uses.iter().try_for_each(|item| {
        check("a load", item.current.get::<ampere>(), MOST_AMPERES, current)?;
        check("a share of time", item.share.get::<ratio>(), 1.0, "a share from 0 to 1")
    })
}

fn check_bank(bank: &Bank, pattern: &Pattern) -> Result<(), BadPattern> {
    let check = |what, got: f64, range: std::ops::RangeInclusive<f64>, expected| {
        let bad = || BadPattern::BankFigure { what, got: got.to_string(), expected };
        range.contains(&got).then_some(()).ok_or_else(bad)
    };
    if !(1..=7).contains(&pattern.days) {
        return Err(BadPattern::Days(pattern.days));
    }
    check("the state of charge at the start", pattern.from.get::<ratio>(), 0.0..=1.0, "0 to 100 %")?;
    bank.floor.map_or(Ok(()), |floor| {
        check("the floor of the bank", floor.get::<ratio>(), 0.0..=0.99, "0 to 99 %")
    })?;
    bank.peukert.map_or(Ok(()), |k| check("the Peukert exponent", k, 1.0..=2.0, "1 to 2"))?;
    bank.capacity.map_or(Ok(()), |capacity| {
        let (charge, over) = (capacity.charge.get::<ampere_hour>(), capacity.over.get::<hour>());
        check("the capacity of the bank", charge, 0.1..=100_000.0, "0.1 to 100000 Ah")?;
        check("the hours of the capacity", over, 0.1..=200.0, "0.1 to 200 h")
    })
}
