//! Measurements of single steps: isolation, tests before power, first power, fitted fuses, volts with everything on,
//! and volts while an engine cranks or a charger charges.
//!
//! The limits are common practice, no source, except for the return: its limit comes from the solved wires.

use super::event::{History, StepReading};
use super::meter::{LEADS_OHM, ODD_VOLTS, POWER_V, Question, ReadingVerdict, Remark, return_path};
use super::step::{Action, StepKey};
use super::subject::SubjectKind;
use crate::trade::energy::cranking;
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
/// At most this voltage is read on an isolated boat, in V: what a good meter shows on dead wires.
const ISOLATED_V: f64 = 0.5;
/// A voltage under load this far below the expected one fails, as a share of nominal. Our own figure.
const FAIL_SHARE: f64 = 0.10;
/// A voltage under load this far below the expected one deserves a look, as a share of nominal. Our own figure.
const LOOK_SHARE: f64 = 0.03;

/// A bank may be this far above the voltage that its charger regulates to, in V. Our own figure, for the error of
/// two meters.
const OVER_REGULATED_V: f64 = 0.3;

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
    /// The amperes printed on a fuse.
    Ampere,
}

/// The unit of a step's measurement; `None` for steps that need only a look, and for circuits under power, which
/// have readings of their own.
pub fn unit(key: &StepKey) -> Option<Unit> {
    match key.action {
        Action::BetweenPoles | Action::Continuity | Action::NoShort => Some(Unit::Ohm),
        Action::Isolate | Action::FirstPower | Action::AllOn => Some(Unit::Volt),
        Action::Crank | Action::Charge => Some(Unit::Volt),
        Action::Test if key.subject.kind == SubjectKind::Feeder => Some(Unit::Volt),
        Action::Fuse => Some(Unit::Ampere),
        _ => None,
    }
}

/// The values that the plan expects for the measurement of a step, as far as they are known.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct StepExpected {
    /// Resistance of the return, or of the feeder, in ohm.
    pub ohm: Option<f64>,
    /// Voltage with everything on, while cranking, or to which a charger regulates, in V.
    pub volts: Option<f64>,
    /// Rating of the fuse or breaker, in A.
    pub rating_a: Option<f64>,
}

/// The latest measurement of a step.
pub fn latest<'h>(history: &'h History, step: &StepKey) -> Option<&'h StepReading> {
    let of_this = history.step_readings.iter().filter(|reading| reading.step == *step);
    of_this.max_by_key(|reading| (reading.at, reading.id))
}

/// Judges a measurement.
pub fn judge(reading: &StepReading, expected: &StepExpected, nominal: f64) -> ReadingVerdict {
    let (ohm, volts) = (reading.ohm.map(f64::from), reading.v.map(f64::from));
    let rating = reading.rating_a.map(f64::from);
    let remark = match (reading.step.action, ohm, volts, rating) {
        (Action::Isolate, _, Some(volts), _) => isolated(volts),
        (Action::BetweenPoles, Some(ohm), _, _) => between_poles(ohm),
        (Action::NoShort, Some(ohm), _, _) => no_short(ohm),
        (Action::Continuity, Some(ohm), _, _) => match expected.ohm {
            Some(expected) => return_path(ohm, expected),
            None => Some(Remark::look(
                "the expected resistance could not be calculated: the findings name what is missing",
            )),
        },
        (Action::FirstPower, _, Some(volts), _) => first_power(volts, nominal),
        (Action::AllOn | Action::Test, _, Some(volts), _) => {
            under_load(volts, expected.volts, nominal, "with everything on")
        }
        (Action::Crank, _, Some(volts), _) => cranking(volts, expected.volts, nominal),
        (Action::Charge, _, Some(volts), _) => charging(volts, expected.volts, nominal),
        (Action::Fuse, _, _, Some(rating)) => fitted(rating, expected.rating_a),
        _ => Some(Remark::look("nothing was measured")),
    };
    ReadingVerdict::of(remark.into_iter().collect())
}

/// A value that is more likely a typing error or a wrong unit than a fault. It is never refused; the user
/// is asked about it.
pub fn odd(reading: &StepReading, expected: &StepExpected, nominal: f64) -> Option<Question> {
    let ask = |field, text: String| Some(Question { field, text });
    match (reading.step.action, reading.ohm.map(f64::from), reading.v.map(f64::from)) {
        (Action::BetweenPoles | Action::NoShort, Some(ohm), _) if (SHORT_OHM..LOW_OHM).contains(&ohm) => {
            ask("ohm", format!("{} ohm? Did the meter show kilohm or megohm? Write it in ohm.", figure(ohm)))
        }
        (Action::Continuity, Some(ohm), _) => {
            let most = ODD_TIMES * (expected.ohm? + LEADS_OHM);
            let text = format!(
                "{} ohm? A return has less than {} ohm or is open altogether: is the point where it belongs?",
                figure(ohm),
                figure(most)
            );
            if (most..NOTHING_OHM).contains(&ohm) { ask("ohm", text) } else { None }
        }
        (
            Action::FirstPower | Action::AllOn | Action::Test | Action::Crank | Action::Charge,
            _,
            Some(volts),
        ) if volts.abs() > ODD_VOLTS * nominal => ask(
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

fn isolated(volts: f64) -> Option<Remark> {
    let live = volts.abs() > ISOLATED_V;
    live.then(|| {
        Remark::fail(format!(
            "{} V read: the boat is not isolated. Find the source and read again",
            figure(volts)
        ))
    })
}

fn fitted(rating: f64, planned: Option<f64>) -> Option<Remark> {
    let read = format!("{} A fitted", figure(rating));
    match planned {
        None => {
            Some(Remark::look(format!("{read}; the plan has no rating: the findings name what is missing")))
        }
        Some(planned) if (rating - planned).abs() > 1e-6 => Some(Remark::fail(format!(
            "{read}; the plan has {} A. Fit the planned rating, or correct the plan",
            figure(planned)
        ))),
        Some(_) => None,
    }
}

/// Volts at an engine while its starter turns.
fn cranking(volts: f64, expected: Option<f64>, nominal: f64) -> Option<Remark> {
    let least = cranking::LEAST_SHARE * nominal;
    if (0.0..least).contains(&volts) {
        let read = format!("{} V read while cranking: less than {} V", figure(volts), figure(least));
        return Some(Remark::fail(format!("{read}. Charge the battery, then measure along its cables")));
    }
    under_load(volts, expected, nominal, "while cranking")
}

/// Volts at a bank while it is charged. A charger that lifts it no higher than a full battery at rest does not
/// charge it.
fn charging(volts: f64, regulated: Option<f64>, nominal: f64) -> Option<Remark> {
    let read = format!("{} V read", figure(volts));
    let most = POWER_V.1 * nominal;
    if volts < 0.0 {
        Some(Remark::fail(format!("{read}: the polarity is reversed")))
    } else if volts <= FULL * nominal {
        Some(Remark::fail(format!("{read}: no more than a full battery at rest. It does not charge")))
    } else if volts > most {
        Some(Remark::fail(format!("{read}: too much for {} V. Stop charging", figure(nominal))))
    } else {
        let over = regulated.filter(|regulated| volts > regulated + OVER_REGULATED_V);
        over.map(|regulated| {
            Remark::look(format!("{read}; the plan has {} V for this charger", figure(regulated)))
        })
    }
}

fn under_load(volts: f64, expected: Option<f64>, nominal: f64, when: &str) -> Option<Remark> {
    let read = format!("{} V read", figure(volts));
    let Some(expected) = expected else {
        return Some(Remark::look(format!("{read}; the expected voltage could not be calculated")));
    };
    let (low, most) = (expected - volts, POWER_V.1 * nominal);
    let text = format!("{read}; {} V expected {when}", figure((expected * 100.0).round() / 100.0));
    if volts < 0.0 {
        Some(Remark::fail(format!("{read}: the polarity is reversed")))
    } else if volts > most {
        Some(Remark::fail(format!("{read}: too much for {} V", figure(nominal))))
    } else if low > FAIL_SHARE * nominal {
        Some(Remark::fail(format!("{text}: measure along the feeder and find where the volts are lost")))
    } else if low > LOOK_SHARE * nominal {
        Some(Remark::look(format!("{text}: a low battery, or a poor connection on the feeder")))
    } else {
        None
    }
}

fn between_poles(ohm: f64) -> Option<Remark> {
    let read = format!("{} ohm between positive and negative", figure(ohm));
    if ohm < SHORT_OHM {
        Some(Remark::fail(format!(
            "{read} with all off: something is shorted; pull circuits off until it is gone"
        )))
    } else if ohm < LOW_OHM {
        Some(Remark::look(format!(
            "{read}: something is still on, or fed past its switch; find out what before any power"
        )))
    } else {
        None
    }
}

/// The meter on a circuit or feeder of its own, with its fuse out and its devices unplugged or off.
fn no_short(ohm: f64) -> Option<Remark> {
    let read = format!("{} ohm from positive to negative", figure(ohm));
    if ohm < SHORT_OHM {
        Some(Remark::fail(format!("{read}: unplug its devices and read again. If it stays, find the short")))
    } else if ohm < LOW_OHM {
        Some(Remark::look(format!(
            "{read}: a device is still connected or on; find out what before any power"
        )))
    } else {
        None
    }
}

fn first_power(volts: f64, nominal: f64) -> Option<Remark> {
    let read = format!("{} V on the blocks", figure(volts));
    let (least, most) = (POWER_V.0 * nominal, POWER_V.1 * nominal);
    if volts < 0.0 {
        Some(Remark::fail(format!("{read}: the battery is connected the wrong way round")))
    } else if volts < 0.5 {
        Some(Remark::fail("nothing on the blocks: battery switch, main fuse holder and negative"))
    } else if volts < least {
        Some(Remark::look(format!(
            "{read} with nothing on: a bright lamp means a short circuit, otherwise the battery is low"
        )))
    } else if volts > most {
        Some(Remark::fail(format!(
            "{read} is too much for {} V: a charger or the wrong battery",
            figure(nominal)
        )))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::super::meter::ReadingOutcome;
    use super::*;

    fn reading(step: &str, ohm: Option<f64>, v: Option<f64>) -> StepReading {
        StepReading {
            id: uuid::Uuid::nil(),
            step: step.parse().unwrap(),
            point: None,
            rating_a: None,
            ohm: ohm.map(|ohm| ohm.try_into().unwrap()),
            v: v.map(|v| v.try_into().unwrap()),
            note: None,
            by: "Robin".parse().unwrap(),
            at: jiff::Timestamp::UNIX_EPOCH,
        }
    }

    fn back_of(ohm: Option<f64>) -> StepExpected {
        StepExpected { ohm, ..StepExpected::default() }
    }

    #[test]
    fn what_is_measured_before_power_is_judged() {
        let poles = |ohm| {
            judge(&reading("job/job/between-poles", Some(ohm), None), &StepExpected::default(), 12.0).outcome
        };
        assert_eq!(
            [0.4, 300.0, 22_000.0].map(poles),
            [ReadingOutcome::Fail, ReadingOutcome::Look, ReadingOutcome::Pass]
        );
        let back = |ohm, known| {
            judge(&reading("circuit/C01/continuity", Some(ohm), None), &back_of(known), 12.0).outcome
        };
        assert_eq!(back(0.3, Some(0.04)), ReadingOutcome::Pass);
        assert_eq!(back(1e6, Some(0.04)), ReadingOutcome::Fail, "open");
        assert_eq!(back(0.3, None), ReadingOutcome::Look, "no check passes for want of a figure");
    }

    #[test]
    fn a_short_in_one_circuit_fails_and_a_connected_device_deserves_a_look() {
        let short = |ohm| {
            let reading = reading("circuit/C01/no-short", Some(ohm), None);
            judge(&reading, &StepExpected::default(), 12.0).outcome
        };
        assert_eq!(
            [0.0, 9.9, 10.0, 999.0, 1000.0].map(short),
            [
                ReadingOutcome::Fail,
                ReadingOutcome::Fail,
                ReadingOutcome::Look,
                ReadingOutcome::Look,
                ReadingOutcome::Pass
            ]
        );
    }

    #[test]
    fn a_charger_lifts_its_bank_above_rest_and_not_too_high() {
        let charge = |v, regulated| {
            let expected = StepExpected { volts: regulated, ..StepExpected::default() };
            judge(&reading("point/outboard/charge", None, Some(v)), &expected, 12.0).outcome
        };
        let (pass, look, fail) = (ReadingOutcome::Pass, ReadingOutcome::Look, ReadingOutcome::Fail);
        assert_eq!(
            [-14.0, 12.66, 13.0, 14.4, 14.6, 14.8, 15.1].map(|v| charge(v, Some(14.4))),
            [fail, fail, pass, pass, pass, look, fail]
        );
        assert_eq!(charge(14.8, None), pass, "within what a 12 V bank bears");
    }

    #[test]
    fn a_starter_is_compared_with_the_volts_calculated_for_cranking() {
        let crank = |v, expected| {
            let expected = StepExpected { volts: expected, ..StepExpected::default() };
            judge(&reading("point/outboard/crank", None, Some(v)), &expected, 12.0).outcome
        };
        assert_eq!(
            [10.6, 10.4, 9.7, 9.5].map(|v| crank(v, Some(10.8))),
            [ReadingOutcome::Pass, ReadingOutcome::Look, ReadingOutcome::Look, ReadingOutcome::Fail]
        );
        assert_eq!(crank(9.5, Some(9.5)), ReadingOutcome::Fail, "less than 9.6 V never passes");
        assert_eq!(crank(10.8, None), ReadingOutcome::Look, "no check passes for want of a figure");
    }

    #[test]
    fn first_power_wants_the_battery_s_own_volts() {
        let power =
            |v| judge(&reading("job/job/first-power", None, Some(v)), &StepExpected::default(), 12.0).outcome;
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
    fn a_figure_that_is_likelier_a_slip_is_asked_about() {
        let poles = |ohm| {
            odd(&reading("job/job/between-poles", Some(ohm), None), &StepExpected::default(), 12.0).is_some()
        };
        assert_eq!([0.4, 22.0, 22_000.0].map(poles), [false, true, false], "a short is no slip");
        let back = |ohm, known| {
            odd(&reading("circuit/C01/continuity", Some(ohm), None), &back_of(known), 12.0).is_some()
        };
        assert_eq!(
            [0.3, 2.0, 3.0, 300.0, 1e6].map(|ohm| back(ohm, Some(0.04))),
            [false, false, true, true, false]
        );
        assert!(!back(3.0, None), "nothing to hold it against");
        let power =
            |v| odd(&reading("job/job/first-power", None, Some(v)), &StepExpected::default(), 12.0).is_some();
        assert_eq!([12.6, -12.6, 61.2].map(power), [false, false, true]);
    }
}
