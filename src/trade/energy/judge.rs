//! Evaluates the course: findings and workings.

use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCharge, ElectricCurrent, Time};
use uom::si::ratio::{percent, ratio};
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::hour;

use super::bank::Bank;
use super::battery::{Chemistry, RatedCapacity};
use super::course::Course;
use super::cranking;
use super::follow::{DayPhase, Model, follow, lasts, too_cold_to_charge};
use super::pattern::{DayStretch, Pattern};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, say};
use crate::trade::source::{BATTERY_PRACTICE, CHARGE_BALANCE, LEAD_COLD, PEUKERT};
use crate::trade::units::{amp_hours, celsius, hours, percent as percent_of, volts};
use crate::trade::working::{Working, figure};

/// If the bank alone lasts this many days, its duration is not reported.
const LONG: u8 = 7;
/// The search for a sufficient capacity stops at this many times the present capacity.
const MOST_TIMES: f64 = 100.0;

/// The bank's performance in the use pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Fares {
    /// The course with the sources of the use pattern.
    pub course: Course,
    /// How long the bank lasts to its minimum state of charge without any source; `None` where it lasts
    /// longer than a week.
    pub alone: Option<Time>,
    /// The smallest capacity that stays above the minimum state of charge, where this one does not.
    pub needed: Option<ElectricCharge>,
    /// Exponent, temperature, usable charge, time, cranking: each with its working.
    pub workings: Vec<Working>,
}

/// Simulates the use pattern and checks the result.
pub(super) fn fares(
    bank: &Bank,
    capacity: RatedCapacity,
    chemistry: Chemistry,
    day: &[DayStretch],
    pattern: &Pattern,
    findings: &mut Vec<RuleFinding>,
) -> Fares {
    let model = Model::new(bank, capacity, chemistry);
    let from = pattern.from.get::<ratio>();
    let phases: Vec<DayPhase<'_>> = day.iter().map(DayPhase::of).collect();
    let course = follow(&model, &phases, pattern.days, from, true);
    let alone = lasts(&model, &phases, LONG, from, false);
    let needed = course.floor_at.and_then(|_| {
        capacity_needed(bank, capacity, chemistry, |model| {
            lasts(model, &phases, pattern.days, from, true).is_none()
        })
    });
    let mut workings = settled(bank, capacity, chemistry, &model, day);
    let unknown = unknown(day);
    workings.push(lowest(&model, &course, from, &unknown));
    findings.extend(too_small(&course, needed, workings.last(), unknown));
    findings.extend(low_voltage(bank, chemistry, &course));
    findings.extend(cold(bank, chemistry, day));
    findings.extend(never_full(&course, day));
    workings.extend(cranking::check(bank, chemistry, course.lowest.charge, findings));
    Fares { course, alone, needed, workings }
}

/// The smallest sufficient capacity with the same rated hours, to one part in a hundred.
fn capacity_needed(
    bank: &Bank,
    capacity: RatedCapacity,
    chemistry: Chemistry,
    holds: impl Fn(&Model) -> bool,
) -> Option<ElectricCharge> {
    let times = |times: f64| {
        holds(&Model::new(bank, RatedCapacity { charge: capacity.charge * times, ..capacity }, chemistry))
    };
    let (mut low, mut high) = (1.0, 2.0);
    while !times(high) {
        (low, high) = (high, high * 2.0);
        if high > MOST_TIMES {
            return None;
        }
    }
    while high / low > 1.01 {
        let middle = f64::midpoint(low, high);
        if times(middle) { high = middle } else { low = middle }
    }
    Some(capacity.charge * high)
}

/// The workings that do not depend on the course: temperature, usable charge, Peukert.
fn settled(
    bank: &Bank,
    capacity: RatedCapacity,
    chemistry: Chemistry,
    model: &Model,
    day: &[DayStretch],
) -> Vec<Working> {
    let label = capacity.charge.get::<ampere_hour>();
    let largest = day.iter().map(|stretch| stretch.heaviest().get::<ampere>()).fold(0.0, f64::max);
    let mut workings = vec![
        Working {
            what: Quantity::CapacityAtTemperature,
            formula: if chemistry.is_lead() {
                "rated capacity x share that the temperature leaves; the bank is taken to be as warm as the plan's \
                    ambient, and a colder one holds less"
            } else {
                "rated capacity x 1: what the cold takes from lithium iron phosphate is not held here, its manufacturer's \
                    manual says it; the bank is taken to be as warm as the plan's ambient, and must not be charged \
                    below 0 C"
            },
            numbers: format!(
                "{} Ah x {} ({}, {} C)",
                figure(label),
                figure(model.full_ah / label),
                chemistry.words(),
                figure(bank.temperature.get::<degree_celsius>())
            )
            .into(),
            result: format!("{} Ah", figure(model.full_ah)).into(),
            source: &LEAD_COLD,
        },
        Working {
            what: Quantity::UsableCapacity,
            formula: "capacity x (100 % - floor)",
            numbers: format!("{} Ah x (100 % - {} %)", figure(model.full_ah), figure(model.floor * 100.0))
                .into(),
            result: format!("{} Ah", figure(model.full_ah * (1.0 - model.floor))).into(),
            source: &BATTERY_PRACTICE,
        },
        Working {
            what: Quantity::LargestChargingCurrent,
            formula: "capacity x the chemistry's share in an hour; none for lithium at 0 C or below",
            numbers: format!("{} Ah x {} / h", figure(label), figure(model.acceptance_a / label)).into(),
            result: format!("{} A", figure(model.acceptance_a)).into(),
            source: &BATTERY_PRACTICE,
        },
    ];
    if largest > model.rated_a {
        workings.push(capacity.working(ElectricCurrent::new::<ampere>(largest), model.exponent));
    }
    workings.extend(day.iter().filter_map(|stretch| weighed(model, stretch)));
    workings
}

/// The Peukert-corrected load of a mode. `None` unless some loads are on part of the time and the corrected
/// load exceeds their consumption.
fn weighed(model: &Model, stretch: &DayStretch) -> Option<Working> {
    let charging = stretch.charging.get::<ampere>();
    let phase = DayPhase::of(stretch);
    let drawn = phase.mean(charging, |beyond| beyond.max(0.0));
    let weighed = phase.mean(charging, |beyond| model.weight(beyond.max(0.0)));
    let steady = stretch.uses.iter().all(|item| item.share.get::<ratio>() >= 1.0);
    if steady || weighed <= drawn * (1.0 + 1e-6) {
        return None;
    }
    let uses: Vec<_> = stretch
        .uses
        .iter()
        .map(|item| {
            let (amperes, share) = (item.current.get::<ampere>(), item.share.get::<percent>());
            format!("{} A x {} %", figure(amperes), figure(share))
        })
        .collect();
    let charged =
        if charging > 0.0 { format!(", less {} A that charge", figure(charging)) } else { String::new() };
    Some(Working {
        what: Quantity::PeukertLoad,
        formula: "mean over the time of I x (I / rated current)^(k - 1), at least I: what is on at once, less what \
            charges. Each load is on its share of the time, whether the others are on or not: loads that always run \
            together weigh more. What a battery recovers in between is not counted",
        numbers: format!(
            "{}{charged}; rated {} A, k = {}",
            uses.join(" + "),
            figure(model.rated_a),
            figure(model.exponent)
        )
        .into(),
        result: format!(
            "{} A, for {} A left to the bank on average ({})",
            figure(weighed),
            figure(drawn),
            stretch.mode
        )
        .into(),
        source: &PEUKERT,
    })
}

/// The loads left out of the figures, because their current is not known.
fn unknown(day: &[DayStretch]) -> Vec<String> {
    let mut names: Vec<String> = day.iter().flat_map(|stretch| &stretch.unknown).cloned().collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The lowest state of charge as a charge balance from the start to that moment.
fn lowest(model: &Model, course: &Course, from: f64, unknown: &[String]) -> Working {
    let (at_most, without) = match unknown {
        [] => ("", String::new()),
        names => ("at most ", format!(", without {}, not known", names.join(" and "))),
    };
    let balance = &course.balance;
    Working {
        what: Quantity::ChargeAtEnd,
        formula: "start + (efficiency x charge in - Peukert-corrected charge out) / capacity",
        numbers: format!(
            "{} % + ({} x {} Ah - {} Ah) / {} Ah",
            figure(from * 100.0),
            figure(model.efficiency),
            figure(balance.accepted.get::<ampere_hour>()),
            figure(balance.weighed.get::<ampere_hour>()),
            figure(model.full_ah)
        )
        .into(),
        result: format!(
            "{at_most}{} %, lowest {} % after {} h{without}",
            figure(course.end().get::<percent>()),
            figure(course.lowest.charge.get::<percent>()),
            figure(course.lowest.at.get::<hour>())
        )
        .into(),
        source: &CHARGE_BALANCE,
    }
}

fn too_small(
    course: &Course,
    needed: Option<ElectricCharge>,
    working: Option<&Working>,
    unknown: Vec<String>,
) -> Option<RuleFinding> {
    let at = course.floor_at?;
    let (lowest, floor) = (course.lowest.charge.get::<percent>(), course.floor.get::<percent>());
    let mut text = say!(
        "The state of charge falls below the minimum of {} after {} and reaches {}.",
        percent_of(floor),
        hours(at.get::<hour>()),
        percent_of(lowest).beside(floor)
    );
    if !unknown.is_empty() {
        text = text.then(say!("Not counted, because not entered: {}.", Part::all(unknown)));
    }
    let text = text.then(match needed {
        None => say!("No larger bank is enough. Charge more or use less."),
        Some(needed) => {
            let needed = amp_hours(needed.get::<ampere_hour>().ceil());
            say!("A bank of about {} is enough; or charge more, or use less.", needed)
        }
    });
    let finding = RuleFinding::new(Code::BankTooSmall, text).against(lowest, floor, "%");
    Some(match working {
        Some(working) => finding.working(working.clone()),
        None => finding,
    })
}

fn low_voltage(bank: &Bank, chemistry: Chemistry, course: &Course) -> Option<RuleFinding> {
    let what = "the time to low voltage";
    let Some(low) = bank.low_voltage else {
        // Lead-acid batteries have a usual value. Lithium has none, so there is no limit to check.
        let lacks = "the low voltage of the lithium bank and the discharge voltages from its manufacturer";
        return (!chemistry.is_lead()).then(|| RuleFinding::not_checked(lacks, what));
    };
    if !chemistry.is_lead() {
        return Some(RuleFinding::missing("the discharge voltage of lithium iron phosphate", what));
    }
    if bank.internal.is_none() {
        return Some(RuleFinding::missing("the internal resistance of the bank", what));
    }
    let text = say!(
        "The bank voltage falls below {} after {}; devices may switch off. Use a larger bank, less load or more charging.",
        volts(low.get::<volt>()),
        hours(course.low_voltage_at?.get::<hour>())
    );
    Some(RuleFinding::new(Code::BankTooSmall, text))
}

fn cold(bank: &Bank, chemistry: Chemistry, day: &[DayStretch]) -> Option<RuleFinding> {
    let charged = day.iter().any(|stretch| stretch.charging.get::<ampere>() > 0.0);
    (charged && too_cold_to_charge(chemistry, bank)).then(|| {
        let bank_c = bank.temperature.get::<degree_celsius>();
        let text = say!(
            "Lithium iron phosphate must not be charged at {} or less, as its manuals say; the plan's ambient is {}. No \
             charge is counted. Keep the bank warmer.",
            celsius(0.0),
            celsius(bank_c)
        );
        RuleFinding::new(Code::TooColdToCharge, text).against(bank_c, 0.0, "C")
    })
}

fn never_full(course: &Course, day: &[DayStretch]) -> Option<RuleFinding> {
    let used = course.lowest.charge.get::<ratio>() < 1.0 - 1e-6;
    (used && course.recovery.is_none()).then(|| {
        let end = percent_of(course.end().get::<percent>());
        let text = if day.iter().all(|stretch| stretch.charging.get::<ampere>() <= 0.0) {
            say!("Nothing charges the bank in this use pattern. It ends at {}. Add charging to a mode.", end)
        } else {
            say!(
                "The bank is not fully charged within the use pattern; it ends at {}. Charge longer or with more current.",
                end
            )
        };
        RuleFinding::new(Code::NeverFull, text)
    })
}
