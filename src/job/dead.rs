//! What is measured before power and at first power, and what it says.
//!
//! The bounds are common practice, no source, save the return's, which comes from the solved wires.

use super::event::{History, StepReading};
use super::meter::{Outcome, Remark, Verdict, return_path};
use super::step::{Action, StepKey};
use crate::trade::working::figure;

/// Between positive and negative, all off, less than this is a short circuit, in ohm.
const SHORT_OHM: f64 = 10.0;
/// Less than this wants a reason: something is still on, or a lamp is wired past its switch, in ohm.
const LOW_OHM: f64 = 1000.0;
/// At first power a battery of so many times nominal voltage is flat or of the wrong kind.
const POWER_V: (f64, f64) = (0.95, 1.25);

/// The unit a step is measured in, where its tick rests on a measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Ohms.
    Ohm,
    /// Volts.
    Volt,
}

/// What a step is measured in; none of those that are only looked at.
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

/// What a measurement says; `return_ohm` is what the circuit's return should have, where that is known.
pub fn judge(reading: &StepReading, return_ohm: Option<f64>, nominal: f64) -> Verdict {
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
    Verdict::of(remark.into_iter().collect())
}

/// What keeps a measured step from being ticked as done: no measurement, or one that fails.
pub fn lack(history: &History, step: &StepKey, return_ohm: Option<f64>, nominal: f64) -> Option<String> {
    unit(step.action)?;
    let Some(reading) = latest(history, step) else { return Some("Measure it first.".to_owned()) };
    let verdict = judge(reading, return_ohm, nominal);
    let worst = verdict.remarks.into_iter().find(|remark| remark.outcome == Outcome::Fail)?;
    Some(format!("Its measurement fails: {}.", worst.text))
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
    fn what_is_measured_dead_is_judged() {
        let poles = |ohm| judge(&reading("job/job/between-poles", Some(ohm), None), None, 12.0).outcome;
        assert_eq!([0.4, 300.0, 22_000.0].map(poles), [Outcome::Fail, Outcome::Look, Outcome::Pass]);
        let back =
            |ohm, known| judge(&reading("circuit/C01/continuity", Some(ohm), None), known, 12.0).outcome;
        assert_eq!(back(0.3, Some(0.04)), Outcome::Pass);
        assert_eq!(back(1e6, Some(0.04)), Outcome::Fail, "open");
        assert_eq!(back(0.3, None), Outcome::Look, "no check passes for want of a figure");
    }

    #[test]
    fn first_power_wants_the_battery_s_own_volts() {
        let power = |v| judge(&reading("job/job/first-power", None, Some(v)), None, 12.0).outcome;
        let expected = [Outcome::Fail, Outcome::Fail, Outcome::Look, Outcome::Pass, Outcome::Fail];
        assert_eq!([-12.6, 0.0, 9.0, 12.7, 25.4].map(power), expected);
    }

    #[test]
    fn a_measured_step_waits_for_its_measurement() {
        let step: StepKey = "job/job/between-poles".parse().unwrap();
        let mut history = History::default();
        assert!(lack(&history, &step, None, 12.0).is_some());
        history.step_readings.push(reading("job/job/between-poles", Some(0.4), None));
        assert!(lack(&history, &step, None, 12.0).unwrap().contains("shorted"));
        history.step_readings.push(StepReading {
            at: jiff::Timestamp::from_second(10).unwrap(),
            ..reading("job/job/between-poles", Some(5e4), None)
        });
        assert_eq!(lack(&history, &step, None, 12.0), None);
        assert_eq!(
            lack(&history, &"job/job/look-over".parse().unwrap(), None, 12.0),
            None,
            "nothing to measure"
        );
    }
}
