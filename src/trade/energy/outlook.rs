//! The consumption of a day and the bank's performance.

use std::ops::RangeInclusive;

use super::bank::Bank;
use super::judge::{self, Fares};
use super::pattern::{BadPattern, DayStretch, Pattern, whole_day};
use crate::trade::finding::RuleFinding;
use crate::trade::quantity::Quantity;
use crate::trade::say::Part;
use crate::trade::source::CHARGE_BALANCE;
use crate::trade::units::{self, amp_hours, hours};
use crate::trade::working::{Working, figure};
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCharge, Time};
use uom::si::ratio::{percent, ratio};
use uom::si::time::hour;

/// One mode's consumption in a day.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeUse {
    /// The mode.
    pub mode: String,
    /// How long it lasts.
    pub lasts: Time,
    /// The consumption of its loads.
    pub used: ElectricCharge,
    /// The working.
    pub working: Working,
}

/// The consumption of a day and the bank's performance.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// The consumption of each stretch.
    pub by_mode: Vec<ModeUse>,
    /// The consumption of a day.
    pub daily: ElectricCharge,
    /// The bank's performance; `None` without capacity and chemistry.
    pub fares: Option<Fares>,
    /// What is wrong.
    pub findings: Vec<RuleFinding>,
}

/// Simulates a use pattern and reports the bank's performance.
///
/// # Errors
/// [`BadPattern`] in these cases:
///
/// - A day has more than 24 hours.
/// - The number of days is 0 or more than 7.
/// - A figure is negative, not a number, or out of its range.
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
            findings
                .extend(capacity.is_none().then(|| RuleFinding::missing("the capacity of the bank", what)));
            findings
                .extend(chemistry.is_none().then(|| RuleFinding::missing("the chemistry of the bank", what)));
            None
        }
    };
    Ok(Outlook { by_mode, daily, fares, findings })
}

fn mode_use(stretch: &DayStretch) -> ModeUse {
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
            what: Quantity::ModeCharge,
            formula: "sum of current x share of time, x hours",
            numbers: format!("({sum}) = {} A, x {} h", figure(load.get::<ampere>()), figure(hours)).into(),
            result: format!("{at_least}{} Ah", figure(used.get::<ampere_hour>())).into(),
            source: &CHARGE_BALANCE,
        },
    }
}

fn check_bank(bank: &Bank, pattern: &Pattern) -> Result<(), BadPattern> {
    let check = |what, got: f64, range: RangeInclusive<f64>, said: fn(f64) -> Part, expected| {
        let bad = || BadPattern::BankFigure { what, got: said(got), expected };
        range.contains(&got).then_some(()).ok_or_else(bad)
    };
    let share = |share| Part::from(units::percent(100.0 * share));
    if !(1..=7).contains(&pattern.days) {
        return Err(BadPattern::Days(pattern.days));
    }
    check("the state of charge at the start", pattern.from.get::<ratio>(), 0.0..=1.0, share, "0 to 100 %")?;
    bank.floor.map_or(Ok(()), |floor| {
        check("the minimum state of charge", floor.get::<ratio>(), 0.0..=0.99, share, "0 to 99 %")
    })?;
    bank.peukert.map_or(Ok(()), |k| {
        check("the Peukert exponent", k, 1.0..=2.0, |k| Part::from(figure(k)), "1 to 2")
    })?;
    bank.capacity.map_or(Ok(()), |capacity| {
        let (charge, over) = (capacity.charge.get::<ampere_hour>(), capacity.over.get::<hour>());
        let (charge_said, hours_said) = (|got| Part::from(amp_hours(got)), |got| Part::from(hours(got)));
        check("the capacity of the bank", charge, 0.1..=100_000.0, charge_said, "0.1 to 100000 Ah")?;
        check("the hours of the capacity", over, 0.1..=200.0, hours_said, "0.1 to 200 h")
    })
}
