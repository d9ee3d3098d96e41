//! The use pattern: the loads and charging sources in each stretch of a day.

use std::fmt::{self, Display, Formatter};

use crate::trade::say::{Part, Statement, say};
use crate::trade::units::{Amount, Units, amps, count, hours, percent};
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Ratio, Time};
use uom::si::ratio::ratio;
use uom::si::time::hour;

/// A load during a stretch of the day.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadUse {
    /// The name of the circuit or device.
    pub what: String,
    /// Its current while it is on.
    pub current: ElectricCurrent,
    /// The share of the stretch during which it is on.
    pub share: Ratio,
}

/// A stretch of the day spent in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct DayStretch {
    /// The mode.
    pub mode: String,
    /// How long it lasts.
    pub lasts: Time,
    /// The loads.
    pub uses: Vec<LoadUse>,
    /// Loads whose current is not known: the figures do not include them.
    pub unknown: Vec<String>,
    /// The largest total current of alternator and chargers during the stretch.
    pub charging: ElectricCurrent,
}

impl DayStretch {
    /// The total current of all loads, each by its share.
    pub fn mean_load(&self) -> ElectricCurrent {
        self.uses
            .iter()
            .fold(ElectricCurrent::new::<ampere>(0.0), |sum, item| sum + item.current * item.share)
    }
}

/// A use pattern and the number of days to simulate.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// The stretches of one day, in order; hours left over are spent idle.
    pub day: Vec<DayStretch>,
    /// How many days.
    pub days: u8,
    /// State of charge at the start.
    pub from: Ratio,
}

/// Why a use pattern is invalid.
#[derive(Debug, Clone, PartialEq)]
pub enum BadPattern {
    /// More than 24 hours in a day.
    LongDay(Time),
    /// No days, or more than the model is valid for.
    Days(u8),
    /// A number that is not a valid current, time or share.
    Figure {
        /// The name of the figure.
        what: &'static str,
        /// The stretch.
        mode: String,
        /// What was given.
        got: Part,
        /// What was expected.
        expected: &'static str,
    },
    /// A state of charge or exponent out of its range.
    BankFigure {
        /// The name of the figure.
        what: &'static str,
        /// What was given.
        got: Part,
        /// What was expected.
        expected: &'static str,
    },
}

impl BadPattern {
    /// The value and what was expected, as a clause.
    pub fn statement(&self) -> Statement {
        match self {
            Self::LongDay(lasts) => {
                let lasts = hours(lasts.get::<hour>()).beside(24.0);
                say!("the modes of a day add up to {}: expected at most 24 h", lasts)
            }
            Self::Days(days) => {
                say!("{} days is not valid here: expected 1 to 7 days", count(usize::from(*days)))
            }
            Self::Figure { what, mode, got, expected } => {
                say!("{} of '{}' is {}: expected {}", *what, mode.clone(), got.clone(), *expected)
            }
            Self::BankFigure { what, got, expected } => {
                say!("{} is {}: expected {}", *what, got.clone(), *expected)
            }
        }
    }
}

impl Display for BadPattern {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str(&self.statement().text(Units::Metric))
    }
}

impl std::error::Error for BadPattern {}

/// The day, with the hours left over added at its end as idle time.
pub(super) fn whole_day(stretches: &[DayStretch]) -> Result<Vec<DayStretch>, BadPattern> {
    stretches.iter().try_for_each(check_stretch)?;
    let hours: f64 = stretches.iter().map(|stretch| stretch.lasts.get::<hour>()).sum();
    if hours > 24.0 + 1e-9 {
        return Err(BadPattern::LongDay(Time::new::<hour>(hours)));
    }
    let mut day: Vec<DayStretch> =
        stretches.iter().filter(|stretch| stretch.lasts.get::<hour>() > 0.0).cloned().collect();
    if hours < 24.0 - 1e-9 {
        day.push(DayStretch {
            mode: "idle".to_owned(),
            lasts: Time::new::<hour>(24.0 - hours),
            uses: Vec::new(),
            unknown: Vec::new(),
            charging: ElectricCurrent::new::<ampere>(0.0),
        });
    }
    Ok(day)
}

/// The largest valid current. A larger figure is an input error.
const MOST_AMPERES: f64 = 10_000.0;

fn check_stretch(stretch: &DayStretch) -> Result<(), BadPattern> {
    let check = |what, got: f64, most: f64, amount: fn(f64) -> Amount, expected| {
        let bad = || {
            let got = Part::from(amount(got).beside(most));
            BadPattern::Figure { what, mode: stretch.mode.clone(), got, expected }
        };
        (0.0..=most).contains(&got).then_some(()).ok_or_else(bad)
    };
    let check_current = |what, current: ElectricCurrent| {
        check(what, current.get::<ampere>(), MOST_AMPERES, amps, "a current from 0 to 10000 A")
    };
    check("the length", stretch.lasts.get::<hour>(), 24.0, hours, "0 to 24 h")?;
    check_current("the charging current", stretch.charging)?;
    stretch.uses.iter().try_for_each(|item| {
        check_current("a load", item.current)?;
        check("a share of time", 100.0 * item.share.get::<ratio>(), 100.0, percent, "0 to 100 %")
    })
}
