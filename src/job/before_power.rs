//! Measurements before power and at first power, and how they are judged.
//!
//! The limits are common practice, no source, except for the return: its limit comes from the solved wires.

use super::event::{History, StepReading};
use super::meter::{LEADS_OHM, ODD_VOLTS, Question, ReadingOutcome, ReadingVerdict, Remark, return_path};
use super::progress::ReopenReason;
use super::step::{Action, StepKey};
use crate::trade::quantity::Quantity;
use crate::trade::source::LEAD_REST_VOLTAGE;
use crate::trade::working::{Working, figure};

/// Resistance between positive and negative, all off, below which there is a short circuit, in ohm.
const SHORT_OHM: f64 = 10.0;
/// A resistance below this needs a reason, in ohm: something is still on, or a lamp is connected before its
/// switch.
const LOW_OHM: f64 = 1000.0;
/// A return above this multiple of its expected resistance is more likely a typing error than a poor crimp.
const ODD_TIMES: f64 = 5.0;
/// From this resistance up, nothing is connected at all, in ohm.
const NOTHING_OHM: f64 = 10_000.0;
/// Limits of the battery voltage at first power, as multiples of nominal. Outside them it is discharged or
/// of the wrong kind.
const POWER_V: (f64, f64) = (0.95, 1.25);

/// Voltage of a full battery at rest, as a multiple of nominal voltage.
const FULL: f64 = 1.055;

/// The expected voltage at the blocks at first power, in V, and how it was calculated.
pub fn at_first_power(nominal: f64) -> (f64, Working) {
    let full = FULL * nominal;
    let working = Working {
        what: Quantity::FirstPowerVolts,
        formula: "nominal voltage x what a full battery has at rest",
        numbers: format!("{} V x {FULL}", figure(nominal)).into(),
        result: format!("{} V", figure(full)).into(),
        source: &LEAD_REST_VOLTAGE,
    };
    (full, working)
}

/// The unit of a step's measurement, for steps that need one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Ohms.
    Ohm,
    /// Volts.
    Volt,
}

/// The unit of a step's measurement; `None` for steps that need only a look.
pub fn unit(action: Action) -> Option<Unit> {
    match action {
        Action::BetweenPoles | Action::Continuity => Some(Unit::Ohm),
        Action::FirstPower => Some(Unit::Volt),
        _ => None,
    }
}

/// The latest measurement of a step.
pub fn latest<'h>(history: &'h History, step: &StepKey) -> Option<&'h StepReading> {
    let of_this = history.step_readings.iter().filter(|reading| reading.step == *step);
    of_this.max_by_key(|reading| (reading.at, reading.id))
}

/// Judges a measurement; `return_ohm` is the expected resistance of the circuit's return, if known.
pub fn judge(reading: &StepReading, return_ohm: Option<f64>, nominal: f64) -> ReadingVerdict {
    let ohm = reading.ohm.map(f64::from);
    let remark = match (reading.step.action, ohm, reading.v.map(f64::from)) {
        (Action::BetweenPoles, Some(ohm), _) => between_poles(ohm),
        (Action::Continuity, Some(ohm), _) => match return_ohm {
            Some(expected) => return_path(ohm, expected),
            None => Some(Remark::look(
                "what the return should have could not be computed: see the circuit\u{2019}s findings",
            )),
        },
        (Action::FirstPower, _, Some(volts)) => first_power(volts, nominal),
        _ => Some(Remark::look("nothing was measured")),
    };
    ReadingVerdict::of(remark.into_iter().collect())
}

/// The latest valid measurement of a step: one made since its wire was last repaired.
pub fn proving<'h>(
    history: &'h History,
    step: &StepKey,
    opened: Option<ReopenReason<'_>>,
) -> Option<&'h StepReading> {
    let counts = |reading: &&StepReading| opened.is_none_or(|by| by.moment() < (reading.at, reading.id));
    latest(history, step).filter(counts)
}

/// Why a measured step cannot be marked done: there is no measurement, or the measurement fails.
pub fn lack(
    action: Action,
    proving: Option<&StepReading>,
    return_ohm: Option<f64>,
    nominal: f64,
) -> Option<String> {
    unit(action)?;
    let Some(reading) = proving else { return Some("Measure it first.".to_owned()) };
    let verdict = judge(reading, return_ohm, nominal);
    let worst = verdict.remarks.into_iter().find(|remark| remark.outcome == ReadingOutcome::Fail)?;
    Some(format!("Its measurement fails: {}.", worst.text))
}

/// A value that is more likely a typing error or a wrong unit than a fault. It is never refused; the user
/// is asked about it.
pub fn odd(reading: &StepReading, return_ohm: Option<f64>, nominal: f64) -> Option<Question> {
    let ask = |field, text: String| Some(Question { field, text });
    match (reading.step.action, reading.ohm.map(f64::from), reading.v.map(f64::from)) {
        (Action::BetweenPoles, Some(ohm), _) if (SHORT_OHM..LOW_OHM).contains(&ohm) => {
            ask("ohm", format!("{} ohm? Did the meter show kilohm or megohm? Write it in ohm.", figure(ohm)))
        }
        (Action::Continuity, Some(ohm), _) => {
            let most = ODD_TIMES * (return_ohm? + LEADS_OHM);
            let text = format!(
                "{} ohm? A return has less than {} ohm or is open altogether: is the point where it belongs?",
                figure(ohm),
                figure(most)
            );
            if (most..NOTHING_OHM).contains(&ohm) { ask("ohm", text) } else { None }
        }
        (Action::FirstPower, _, Some(volts)) if volts.abs() > ODD_VOLTS * nominal => ask(
            "v",
            format!(
                "{} V? That is rare at {} V: is the point where it belongs?",
                figure(volts),
                figure(nominal)
            ),
        ),
        _ => None,
    }
}

fn between_poles(ohm: f64) -> Option<Remark> {
    let told = format!("{} ohm between positive and negative", figure(ohm));
    if ohm < SHORT_OHM {
        Some(Remark::fail(format!(
            "{told} with all off: something is shorted; pull circuits off until it is gone"
        )))
    } else if ohm < LOW_OHM {
        Some(Remark::look(format!(
            "{told}: something is still on, or fed past its switch; find out what before any power"
        )))
    } else {
        None
    }
}

fn first_power(volts: f64, nominal: f64) -> Option<Remark> {
    let told = format!("{} V on the blocks", figure(volts));
    let (least, most) = (POWER_V.0 * nominal, POWER_V.1 * nominal);
    if volts < 0.0 {
        Some(Remark::fail(format!("{told}: the battery is connected the wrong way round")))
    } else if volts < 0.5 {
        Some(Remark::fail("nothing on the blocks: battery switch, main fuse holder and negative"))
    } else if volts < least {
        Some(Remark::look(format!(
            "{told} with nothing on: a bright lamp means a short circuit, otherwise the battery is low"
        )))
    } else if volts > most {
        Some(Remark::fail(format!(
            "{told} is too much for {} V: a charger or the wrong battery",
            figure(nominal)
        )))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::event::Repair;

    fn reading(step: &str, ohm: Option<f64>, v: Option<f64>) -> StepReading {
        StepReading {
            id: uuid::Uuid::nil(),
            step: step.parse().unwrap(),
            ohm: ohm.map(|ohm| ohm.try_into().unwrap()),
            v: v.map(|v| v.try_into().unwrap()),
            note: None,
            by: "Robin".parse().unwrap(),
            at: jiff::Timestamp::UNIX_EPOCH,
        }
    }

    #[test]
    fn what_is_measured_before_power_is_judged() {
        let poles = |ohm| judge(&reading("job/job/between-poles", Some(ohm), None), None, 12.0).outcome;
        assert_eq!(
            [0.4, 300.0, 22_000.0].map(poles),
            [ReadingOutcome::Fail, ReadingOutcome::Look, ReadingOutcome::Pass]
        );
        let back =
            |ohm, known| judge(&reading("circuit/C01/continuity", Some(ohm), None), known, 12.0).outcome;
        assert_eq!(back(0.3, Some(0.04)), ReadingOutcome::Pass);
        assert_eq!(back(1e6, Some(0.04)), ReadingOutcome::Fail, "open");
        assert_eq!(back(0.3, None), ReadingOutcome::Look, "no check passes for want of a figure");
    }

    #[test]
    fn first_power_wants_the_battery_s_own_volts() {
        let power = |v| judge(&reading("job/job/first-power", None, Some(v)), None, 12.0).outcome;
        let expected = [
            ReadingOutcome::Fail,
            ReadingOutcome::Fail,
            ReadingOutcome::Look,
            ReadingOutcome::Pass,
            ReadingOutcome::Fail,
        ];
        assert_eq!([-12.6, 0.0, 9.0, 12.7, 25.4].map(power), expected);
    }

    #[test]
    fn a_measured_step_waits_for_a_measurement_made_since_it_was_opened() {
        let step: StepKey = "job/job/between-poles".parse().unwrap();
        let mut history = History::default();
        let lack =
            |history: &History, opened| super::lack(step.action, proving(history, &step, opened), None, 12.0);
        assert!(lack(&history, None).is_some());
        history.step_readings.push(reading("job/job/between-poles", Some(0.4), None));
        assert!(lack(&history, None).unwrap().contains("shorted"));
        history.step_readings.push(StepReading {
            at: jiff::Timestamp::from_second(10).unwrap(),
            ..reading("job/job/between-poles", Some(5e4), None)
        });
        assert_eq!(lack(&history, None), None);
        let repair = Repair {
            id: uuid::Uuid::nil(),
            circuit: "C01".parse().unwrap(),
            r#where: "C01-3".parse().unwrap(),
            found: "Crimped again".parse().unwrap(),
            by: "Robin".parse().unwrap(),
            at: jiff::Timestamp::from_second(20).unwrap(),
        };
        let opened = Some(ReopenReason::Repair(&repair));
        assert_eq!(lack(&history, opened).as_deref(), Some("Measure it first."));
        assert_eq!(super::lack(Action::LookOver, None, None, 12.0), None, "nothing to measure");
    }

    #[test]
    fn a_figure_that_is_likelier_a_slip_is_asked_about() {
        let poles = |ohm| odd(&reading("job/job/between-poles", Some(ohm), None), None, 12.0).is_some();
        assert_eq!([0.4, 22.0, 22_000.0].map(poles), [false, true, false], "a short is no slip");
        let back =
            |ohm, known| odd(&reading("circuit/C01/continuity", Some(ohm), None), known, 12.0).is_some();
        assert_eq!(
            [0.3, 2.0, 3.0, 300.0, 1e6].map(|ohm| back(ohm, Some(0.04))),
            [false, false, true, true, false]
        );
        assert!(!back(3.0, None), "nothing to hold it against");
        let power = |v| odd(&reading("job/job/first-power", None, Some(v)), None, 12.0).is_some();
        assert_eq!([12.6, -12.6, 61.2].map(power), [false, false, true]);
    }
}
