//! Compares a reading with the expected one.

use serde::Serialize;

use super::expected::ExpectedReading;
use crate::job::event::Reading;
use crate::trade::working::figure;

/// A reading below this counts as no voltage, in V.
const NO_VOLTS: f64 = 0.5;

/// Allowed difference between two voltmeter readings, in V.
const METER_V: f64 = 0.05;
/// A drop of more than this multiple of the expected drop deserves a look.
const DROP_TIMES: f64 = 1.5;

/// The current of a load may differ from its manufacturer's data by this share.
const CURRENT_SHARE: f64 = 0.25;

/// A current below this share of the expected current counts as none.
const NO_CURRENT_SHARE: f64 = 0.02;

/// A source is low if it is this share of nominal voltage below the expected voltage.
const SOURCE_SHARE: f64 = 0.05;

/// Resistance that test leads and probes add to a reading, in ohm.
pub(in crate::job) const LEADS_OHM: f64 = 0.5;

/// A return with more resistance than this is open, in ohm.
const OPEN_OHM: f64 = 10.0;

/// A larger current than this with the circuit off discharges the battery, in A.
const PARASITIC_A: f64 = 0.1;

/// Limits of the battery voltage at first power, as multiples of nominal. Outside them it is discharged or
/// of the wrong kind.
pub(in crate::job) const POWER_V: (f64, f64) = (0.95, 1.25);

/// A voltage above this multiple of nominal voltage is probably a typing error.
pub(in crate::job) const ODD_VOLTS: f64 = 1.5;

/// A current above this multiple of the fuse rating or the load is probably a typing error.
const ODD_TIMES: f64 = 5.0;

/// If the load reads this many volts more than the source, the two fields are probably mixed up.
const ODD_RISE_V: f64 = 1.0;

/// The outcome of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingOutcome {
    /// As expected.
    Pass,
    /// Not proven: something is unusual, or was not measured.
    Look,
    /// Wrong: switch the circuit off.
    Fail,
}

impl ReadingOutcome {
    /// The text for this outcome.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "passes",
            Self::Look => "look again",
            Self::Fail => "fails",
        }
    }
}

/// The result of judging a reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingVerdict {
    /// The worst of all remarks.
    pub outcome: ReadingOutcome,
    /// Each remark with its own outcome, the worst first.
    pub remarks: Vec<Remark>,
}

/// One thing a reading shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remark {
    /// How serious it is.
    pub outcome: ReadingOutcome,
    /// What it is and what to check.
    pub text: String,
}

impl ReadingVerdict {
    pub(in crate::job) fn of(mut remarks: Vec<Remark>) -> Self {
        remarks.sort_by_key(|remark| std::cmp::Reverse(remark.outcome));
        let outcome = remarks.first().map_or(ReadingOutcome::Pass, |remark| remark.outcome);
        Self { outcome, remarks }
    }
}

/// Compares a reading with the expected one, at a nominal voltage in V.
pub fn judge(reading: &Reading, expected: &ExpectedReading, nominal: f64) -> ReadingVerdict {
    let mut remarks = volts(reading, expected, nominal);
    remarks.extend(current(reading, expected));
    let back = reading.return_ohm.map(f64::from).zip(expected.return_ohm);
    remarks.extend(back.and_then(|(measured, wanted)| return_path(measured, wanted)));
    remarks.extend(when_off(reading));
    ReadingVerdict::of(remarks)
}

impl Remark {
    /// Something that deserves a look.
    pub(in crate::job) fn look(text: impl Into<String>) -> Self {
        Self { outcome: ReadingOutcome::Look, text: text.into() }
    }

    /// Something that is wrong.
    pub(in crate::job) fn fail(text: impl Into<String>) -> Self {
        Self { outcome: ReadingOutcome::Fail, text: text.into() }
    }
}

fn volts(reading: &Reading, expected: &ExpectedReading, nominal: f64) -> Vec<Remark> {
    let (source, load) = (reading.source_v.map(f64::from), reading.load_v.map(f64::from));
    let mut remarks = Vec::new();
    for (volts, at) in [(source, "source"), (load, "load")] {
        match volts {
            None => remarks.push(Remark::look(format!("the voltage at the {at} was not measured"))),
            Some(volts) if volts <= -NO_VOLTS => {
                remarks.push(Remark::fail(format!(
                    "{} V at the {at}: positive and negative are crossed",
                    figure(volts)
                )));
            }
            Some(volts) if volts < NO_VOLTS => {
                remarks
                    .push(Remark::fail(format!("no voltage at the {at}: fuse, switch, crimps and return")));
            }
            Some(volts) if volts > POWER_V.1 * nominal => {
                let (volts, nominal) = (figure(volts), figure(nominal));
                remarks.push(Remark::fail(format!("{volts} V at the {at}: too much for {nominal} V")));
            }
            Some(_) => {}
        }
    }
    let (Some(source), Some(load)) = (source, load) else { return remarks };
    if source < NO_VOLTS || load < NO_VOLTS {
        return remarks;
    }
    if source < expected.source_v - SOURCE_SHARE * nominal {
        let (source, wanted) = (figure(source), figure(expected.source_v));
        remarks.push(Remark::look(format!(
            "{source} V at the source where {wanted} V is expected: battery and feeders first"
        )));
    }
    remarks.extend(dropped(source - load, expected));
    remarks
}

fn dropped(drop: f64, expected: &ExpectedReading) -> Option<Remark> {
    let told = format!("the drop from source to load is {} V", figure(drop));
    if drop < -METER_V {
        return Some(Remark::look(
            "more volts at the load than at the source: measured apart, or fed from elsewhere",
        ));
    }
    if drop > expected.most_drop_v {
        let most = figure(expected.most_drop_v);
        return Some(Remark::fail(format!(
            "{told}; the limit is {most} V: crimps, fuse holder and shared returns first"
        )));
    }
    let usual = DROP_TIMES * expected.drop_v + METER_V;
    (drop > usual).then(|| {
        Remark::look(format!(
            "{told}; {} V is expected: a poor crimp or contact somewhere",
            figure(expected.drop_v)
        ))
    })
}

/// Without a current a drop proves nothing: with no current there is no drop.
fn current(reading: &Reading, expected: &ExpectedReading) -> Option<Remark> {
    let Some(current) = reading.current_a.map(f64::from) else {
        return Some(Remark::look("the current was not measured: without it the drop proves nothing"));
    };
    let wanted = expected.current_a;
    let told = format!("{} A", figure(current));
    if let Some(fuse) = expected.fuse_a.filter(|fuse| current > *fuse) {
        return Some(Remark::fail(format!("{told} is more than its {} A fuse: switch it off", figure(fuse))));
    }
    if wanted > 0.0 && current.abs() <= NO_CURRENT_SHARE * wanted {
        return Some(Remark::fail(format!("it draws nothing where {} A is expected", figure(wanted))));
    }
    if current < 0.0 {
        return Some(Remark::look(format!("{told}: the clamp is reversed, or the wires are crossed")));
    }
    if current > (1.0 + CURRENT_SHARE) * wanted {
        return Some(Remark::look(format!(
            "{told} where {} A is expected: too much, or another load on it",
            figure(wanted)
        )));
    }
    (current < (1.0 - CURRENT_SHARE) * wanted).then(|| {
        Remark::look(format!("{told} where {} A is expected: too little, or a load is off", figure(wanted)))
    })
}

/// Compares a return measured with power off with the expected resistance of its wires, both in ohm.
pub(in crate::job) fn return_path(measured: f64, wanted: f64) -> Option<Remark> {
    let told = format!("{} ohm back to the negative bar", figure(measured));
    if measured > OPEN_OHM {
        return Some(Remark::fail(format!("{told}: its return is open")));
    }
    (measured > wanted + LEADS_OHM).then(|| {
        Remark::look(format!(
            "{told} where {} ohm is expected: a poor crimp or a corroded bar",
            figure(wanted)
        ))
    })
}

/// A circuit that is off has no voltage at its load and no current.
fn when_off(reading: &Reading) -> Vec<Remark> {
    let volts = reading.load_off_v.map(f64::from).filter(|volts| volts.abs() >= NO_VOLTS);
    let amperes = reading.current_off_a.map(f64::from).filter(|amperes| amperes.abs() > PARASITIC_A);
    let fed = volts.map(|volts| {
        Remark::fail(format!(
            "{} V at the load with the circuit off: it is fed from elsewhere",
            figure(volts)
        ))
    });
    let draws = amperes.map(|amperes| {
        Remark::look(format!("{} A drawn with the circuit off: it runs the battery down", figure(amperes)))
    });
    fed.into_iter().chain(draws).collect()
}

/// A value that a meter hardly ever shows on such a circuit, and the question to ask before it is saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The field, as the job file names it.
    pub field: &'static str,
    /// The question.
    pub text: String,
}

/// Values that are more likely a typing error than a fault. They are never refused; the user is asked about
/// them.
pub fn odd(reading: &Reading, expected: Option<&ExpectedReading>, nominal: f64) -> Vec<Question> {
    let highest = ODD_VOLTS * nominal;
    let most = expected.map(|expected| ODD_TIMES * expected.current_a.max(expected.fuse_a.unwrap_or(0.0)));
    // So little is no typing error.
    let most_off = most.map(|most| most.max(PARASITIC_A));
    let above = |field, read: Option<f64>, most: Option<f64>, unit: &str| {
        let (read, most) = read.zip(most)?;
        let text = format!(
            "{} {unit}? More than {} {unit} is rare here: is the point where it belongs?",
            figure(read),
            figure(most)
        );
        (read.abs() > most).then_some(Question { field, text })
    };
    let volts =
        [("source_v", reading.source_v), ("load_v", reading.load_v), ("load_off_v", reading.load_off_v)];
    let amperes =
        [("current_a", reading.current_a, most), ("current_off_a", reading.current_off_a, most_off)];
    let volts =
        volts.into_iter().filter_map(|(field, read)| above(field, read.map(f64::from), Some(highest), "V"));
    let amperes =
        amperes.into_iter().filter_map(|(field, read, most)| above(field, read.map(f64::from), most, "A"));
    volts.chain(amperes).chain(crossed(reading)).collect()
}

/// The source and load voltages in each other's fields.
fn crossed(reading: &Reading) -> Option<Question> {
    let (source, load) = (f64::from(reading.source_v?), f64::from(reading.load_v?));
    let text = format!(
        "{} V at the load and only {} V at the source? Are the two in each other\u{2019}s location?",
        figure(load),
        figure(source)
    );
    (load > source + ODD_RISE_V && source > NO_VOLTS).then_some(Question { field: "load_v", text })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn expected() -> ExpectedReading {
        ExpectedReading {
            device: "pump".parse().unwrap(),
            source_v: 12.5,
            load_v: 12.3,
            drop_v: 0.2,
            most_drop_v: 0.36,
            current_a: 5.0,
            fuse_a: Some(10.0),
            return_ohm: Some(0.04),
            workings: Vec::new(),
        }
    }

    fn reading(source: f64, load: f64, current: f64) -> Reading {
        Reading {
            id: uuid::Uuid::nil(),
            circuit: "C01".parse().unwrap(),
            device: None,
            source_v: Some(source.try_into().unwrap()),
            load_v: Some(load.try_into().unwrap()),
            current_a: Some(current.try_into().unwrap()),
            return_ohm: None,
            load_off_v: None,
            current_off_a: None,
            note: None,
            by: "Robin".parse().unwrap(),
            at: jiff::Timestamp::UNIX_EPOCH,
        }
    }

    #[track_caller]
    fn check(reading: Reading, outcome: ReadingOutcome, says: &str) {
        let verdict = judge(&reading, &expected(), 12.0);
        let first = verdict.remarks.first().map_or("", |remark| remark.text.as_str());
        assert_eq!((verdict.outcome, first.contains(says)), (outcome, true), "{verdict:?}");
    }

    #[test]
    fn readings_are_judged_by_what_they_show() {
        check(reading(12.5, 12.3, 5.0), ReadingOutcome::Pass, "");
        check(reading(12.5, -12.3, 5.0), ReadingOutcome::Fail, "crossed");
        check(reading(12.5, 0.1, 0.0), ReadingOutcome::Fail, "no voltage at the load");
        check(reading(12.5, 12.0, 5.0), ReadingOutcome::Fail, "from source to load is 0.5 V");
        check(reading(12.5, 12.14, 5.0), ReadingOutcome::Look, "a poor crimp");
        check(reading(12.5, 12.5, 0.0), ReadingOutcome::Fail, "draws nothing");
        check(reading(12.5, 12.3, 12.0), ReadingOutcome::Fail, "more than its 10 A fuse");
        check(reading(12.5, 12.3, 7.0), ReadingOutcome::Look, "too much");
        check(reading(12.5, 12.4, 3.0), ReadingOutcome::Look, "too little");
        check(reading(12.5, 12.3, -5.0), ReadingOutcome::Look, "the clamp is reversed");
        check(reading(11.5, 11.3, 5.0), ReadingOutcome::Look, "battery and feeders");
        check(reading(12.3, 12.5, 5.0), ReadingOutcome::Look, "more volts at the load");
    }

    #[test]
    fn what_was_not_measured_does_not_pass() {
        check(
            Reading { current_a: None, ..reading(12.5, 12.3, 5.0) },
            ReadingOutcome::Look,
            "proves nothing",
        );
        check(
            Reading { source_v: None, ..reading(12.5, 12.3, 5.0) },
            ReadingOutcome::Look,
            "source was not measured",
        );
        check(
            Reading { load_v: None, ..reading(12.5, 12.3, 5.0) },
            ReadingOutcome::Look,
            "load was not measured",
        );
    }

    #[test]
    fn a_return_is_measured_before_power() {
        let with =
            |ohms: f64| Reading { return_ohm: Some(ohms.try_into().unwrap()), ..reading(12.5, 12.3, 5.0) };
        check(with(0.2), ReadingOutcome::Pass, "");
        check(with(0.9), ReadingOutcome::Look, "corroded");
        check(with(1e6), ReadingOutcome::Fail, "open");
    }

    #[test]
    fn a_circuit_that_is_off_is_dead_and_draws_nothing() {
        let off = |volts: f64, amperes: f64| Reading {
            load_off_v: Some(volts.try_into().unwrap()),
            current_off_a: Some(amperes.try_into().unwrap()),
            ..reading(12.5, 12.3, 5.0)
        };
        check(off(0.0, 0.02), ReadingOutcome::Pass, "");
        check(off(12.2, 0.0), ReadingOutcome::Fail, "fed from elsewhere");
        check(off(0.0, 0.4), ReadingOutcome::Look, "runs the battery down");
    }

    #[test]
    fn a_slip_of_the_finger_is_asked_about() {
        let asked = |reading: Reading| {
            odd(&reading, Some(&expected()), 12.0)
                .into_iter()
                .map(|question| question.field)
                .collect::<Vec<_>>()
        };
        assert!(asked(reading(12.5, 12.3, 5.0)).is_empty());
        assert_eq!(asked(reading(25.2, 12.3, 5.0)), ["source_v"]);
        assert_eq!(asked(reading(12.5, 12.3, 53.0)), ["current_a"]);
        assert_eq!(asked(reading(10.1, 12.3, 5.0)), ["load_v"], "source and load mixed up");
        assert!(asked(reading(12.5, -12.3, 5.0)).is_empty(), "crossed wires are a fault, not a slip");
    }

    proptest::proptest! {
        #[test]
        fn a_figure_that_is_asked_about_never_passes(
            source in -100_i32..800, load in -100_i32..800, off in proptest::option::of(-100_i32..800),
            current in -50_i32..9000, current_off in proptest::option::of(-50_i32..9000), load_a in 0.01_f64..60.0,
            fuse_a in proptest::option::of(1.0_f64..100.0),
        ) {
            let tenth = |number: i32| f64::from(number) / 10.0;
            let mut reading = reading(tenth(source), tenth(load), tenth(current) / 10.0);
            reading.load_off_v = off.map(|volts| tenth(volts).try_into().unwrap());
            reading.current_off_a = current_off.map(|amperes| (tenth(amperes) / 10.0).try_into().unwrap());
            let expected = ExpectedReading { current_a: load_a, fuse_a, ..expected() };
            if !odd(&reading, Some(&expected), 12.0).is_empty() {
                let verdict = judge(&reading, &expected, 12.0);
                proptest::prop_assert!(verdict.outcome != ReadingOutcome::Pass, "{reading:?}");
            }
        }
    }

    #[test]
    fn a_voltage_of_twice_the_nominal_fails() {
        let verdict = judge(&reading(26.4, 26.3, 5.0), &expected(), 12.0);
        assert_eq!(verdict.outcome, ReadingOutcome::Fail);
        assert_eq!(verdict.remarks[0].text, "26.4 V at the source: too much for 12 V");
    }
}
