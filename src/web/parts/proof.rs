//! What a circuit's readings prove, and what is missing before it may be marked as passed.

use std::cell::RefCell;
use std::collections::HashMap;

use crate::job::before_power;
use crate::job::event::{History, Reading, StepReading};
use crate::job::meter::{self, ExpectedReading, MeterModel, Question, ReadingOutcome, ReadingVerdict};
use crate::job::phase::Phase;
use crate::job::plan::{Circuit, Wiring};
use crate::job::step::{Action as Done, StepKey};
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, DeviceId};
use crate::shop::role::Permission;
use crate::trade::working::Working;
use crate::web::kit::form::capital;
use crate::web::kit::opened::Opened;

/// The readings of a job beside the expected values. Each circuit is solved once for a page.
#[derive(Debug)]
pub struct ReadingComparison<'j> {
    job: &'j Opened,
    meter: Option<MeterModel<'j>>,
    known: RefCell<HashMap<At, Option<ExpectedReading>>>,
}

/// Where the meter is: a circuit, and one device of it (`None`: the farthest). Then the feeding volts if they were
/// measured, as the bits of the number.
type At = (CircuitId, Option<DeviceId>, Option<u64>);

impl<'j> ReadingComparison<'j> {
    /// The readings of a job.
    pub fn of(job: &'j Opened) -> Self {
        let meter = MeterModel::new(&job.plan, &job.conductors, &job.report).ok();
        Self { job, meter, known: RefCell::default() }
    }

    /// The expected reading with only this circuit on; at its farthest device if `device` is `None`.
    pub fn expect(&self, circuit: &Circuit, device: Option<&DeviceId>) -> Option<ExpectedReading> {
        self.known(circuit, device, None)
    }

    /// The same with the volts measured at the start of the circuit.
    pub fn expect_from(
        &self,
        circuit: &Circuit,
        device: Option<&DeviceId>,
        source_v: f64,
    ) -> Option<ExpectedReading> {
        self.known(circuit, device, Some(source_v))
    }

    fn known(
        &self,
        circuit: &Circuit,
        device: Option<&DeviceId>,
        source_v: Option<f64>,
    ) -> Option<ExpectedReading> {
        let key = (circuit.id.clone(), device.cloned(), source_v.map(f64::to_bits));
        let solve = || {
            let meter = self.meter.as_ref()?;
            match source_v {
                Some(measured) => meter.expect_from(circuit, device, measured),
                None => meter.expect(circuit, device),
            }
        };
        self.known.borrow_mut().entry(key).or_insert_with(solve).clone()
    }

    /// The expected resistance of the negative of a circuit with power off, in ohms.
    pub fn return_of(&self, step: &StepKey) -> Option<f64> {
        let circuit = self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.subject.id)?;
        self.meter.as_ref()?.return_of(circuit)
    }

    /// The working of that resistance.
    pub fn return_working(&self, step: &StepKey) -> Option<Working> {
        let circuit = self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.subject.id)?;
        self.meter.as_ref()?.return_working(circuit)
    }

    /// Why a measured step cannot be marked as done. `None`: it can, or it is not a measured step.
    pub fn unmeasured(&self, step: &Step) -> Option<String> {
        before_power::unit(step.key.action)?;
        let (back, nominal) = (self.return_of(&step.key), self.job.report.nominal_v);
        before_power::lack(step.key.action, self.proving(step), back, nominal)
    }

    /// The measurement that closes a step.
    fn proving(&self, step: &Step) -> Option<&'j StepReading> {
        let progress = self.job.progress();
        let opened = step.circuits.first().and_then(|circuit| progress.opened(circuit));
        before_power::proving(&self.job.history, &step.key, opened)
    }

    /// Why a step that may be marked as done deserves a look first, in plain text: its measurement neither passes nor
    /// fails.
    pub fn doubt(&self, step: &Step) -> Option<String> {
        let verdicts = match step.key.action {
            Done::Test => self.verdicts(self.job.plan.circuit(step.circuits.first()?)?),
            action => {
                before_power::unit(action)?;
                self.proving(step).map(|reading| self.judge_step(reading)).into_iter().collect()
            }
        };
        let odd = verdicts.iter().filter(|verdict| verdict.outcome == ReadingOutcome::Look);
        let said: Vec<String> = odd.flat_map(remarks).collect();
        (!said.is_empty()).then(|| format!("Check again: {}", said.join(" ")))
    }

    /// The results of the readings that count for a circuit.
    fn verdicts(&self, circuit: &Circuit) -> Vec<ReadingVerdict> {
        self.counting(circuit).into_iter().filter_map(|reading| self.judge(circuit, reading)).collect()
    }

    /// The latest reading of a circuit at each device, among those made since its wire was last repaired.
    fn counting(&self, circuit: &Circuit) -> Vec<&'j Reading> {
        let since = self.job.progress().opened(&circuit.id).map(|by| by.moment());
        let counts = |reading: &&Reading| since.is_none_or(|since| since < (reading.at, reading.id));
        latest(&self.job.history, circuit).into_iter().filter(counts).collect()
    }

    /// Which figures of a step's measurement the user must confirm before it is stored.
    pub fn odd_step(&self, reading: &StepReading) -> Option<Question> {
        before_power::odd(reading, self.return_of(&reading.step), self.job.report.nominal_v)
    }

    /// The result of a step's measurement.
    pub fn judge_step(&self, reading: &StepReading) -> ReadingVerdict {
        before_power::judge(reading, self.return_of(&reading.step), self.job.report.nominal_v)
    }

    /// The network and what it was built from, for the diagnosis.
    pub fn meter(&self) -> Option<&MeterModel<'j>> {
        self.meter.as_ref()
    }

    /// The result of a reading; `None` if there is nothing to compare it with.
    pub fn judge(&self, circuit: &Circuit, reading: &Reading) -> Option<ReadingVerdict> {
        let source_v = reading.source_v.map(|volts| volts.number());
        let expected = self.known(circuit, reading.device.as_ref(), source_v)?;
        Some(meter::judge(reading, &expected, self.job.report.nominal_v))
    }

    /// What is missing before a circuit may be marked as passed; `None`: nothing.
    ///
    /// At each device only the latest reading counts, because a repaired circuit is measured again.
    pub fn lack(&self, circuit: &Circuit) -> Option<Lack> {
        let latest = self.counting(circuit);
        if latest.is_empty() {
            let progress = self.job.progress();
            let opened = progress.opened(&circuit.id);
            return Some(opened.map_or(Lack::NoReading, |by| Lack::Opened(by.words())));
        }
        let verdicts = latest.iter().map(|reading| self.judge(circuit, reading)).collect::<Option<Vec<_>>>();
        let Some(verdicts) = verdicts else { return Some(Lack::NotJudged) };
        if let Some(failed) = verdicts.into_iter().find(|verdict| verdict.outcome == ReadingOutcome::Fail) {
            return Some(Lack::Failed(failed));
        }
        let whole: Vec<&Reading> = latest.into_iter().filter(|reading| is_whole(reading)).collect();
        if whole.is_empty() {
            return Some(Lack::NotWhole);
        }
        let farthest = self.farthest(circuit);
        let read_at =
            |id: &DeviceId| whole.iter().any(|reading| reading.device.as_ref().or(farthest) == Some(id));
        let open = self.to_measure(circuit).into_iter().find(|id| !read_at(id))?;
        Some(Lack::NotAt(
            self.job.plan.device(open).map_or_else(|| open.to_string(), |it| it.name.to_string()),
        ))
    }

    /// The device to measure next: the first that must be measured and was not.
    pub fn next_at<'c>(&'c self, circuit: &'c Circuit) -> Option<&'c DeviceId> {
        let latest = latest(&self.job.history, circuit);
        let is_read = |id: &&DeviceId| {
            latest.iter().any(|reading| is_whole(reading) && reading.device.as_ref() == Some(*id))
        };
        self.to_measure(circuit).into_iter().find(|id| !is_read(id))
    }

    /// Where a circuit must be measured. A chain is measured at its farthest device, which proves all its wire. Home
    /// runs are measured at each device, because each has its own wire.
    fn to_measure<'c>(&'c self, circuit: &'c Circuit) -> Vec<&'c DeviceId> {
        match circuit.wiring {
            Wiring::HomeRuns => circuit.devices().collect(),
            Wiring::Chain => self.farthest(circuit).into_iter().collect(),
        }
    }

    fn farthest(&self, circuit: &Circuit) -> Option<&DeviceId> {
        self.job.report.circuits.get(&circuit.id)?.farthest.as_ref()
    }

    /// The permission needed to release an obstacle before a phase, if it is a circuit's test that its readings do not
    /// prove. `None`: there is nothing to release.
    pub fn release_takes(&self, into: Phase, obstacle: &str) -> Option<Permission> {
        let step: StepKey = obstacle.parse().ok()?;
        if into != Phase::PowerUpTest || step.action != Done::Test {
            return None;
        }
        let circuit = self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.subject.id)?;
        self.lack(circuit).map(|lack| lack.takes())
    }
}

/// Why a circuit's readings do not prove that it passed.
#[derive(Debug, Clone, PartialEq)]
pub enum Lack {
    /// Nobody measured it.
    NoReading,
    /// Its wire was opened after it was measured.
    Opened(String),
    /// The measurement is not complete enough to judge.
    NotWhole,
    /// A device that must be measured was not; with its name.
    NotAt(String),
    /// There is nothing to compare its readings with: the check could not settle the circuit.
    NotJudged,
    /// The latest reading failed.
    Failed(ReadingVerdict),
}

impl Lack {
    /// What is missing, in plain text.
    pub fn words(&self) -> String {
        match self {
            Self::NoReading => "Not tested: measure it first.".to_owned(),
            Self::Opened(why) => format!("{}: measure it again.", capital(why)),
            Self::NotWhole => "Its reading lacks the volts at source and load: measure both.".to_owned(),
            Self::NotAt(device) => format!("Not measured at {device} yet: its wire is proven there."),
            Self::NotJudged => {
                "The expected reading could not be calculated. The findings name what is missing.".to_owned()
            }
            Self::Failed(verdict) => format!("Its latest reading fails. {}", remarks(verdict).join(" ")),
        }
    }

    /// The permission needed to pass anyway: only a manager passes a circuit that failed.
    pub fn takes(&self) -> Permission {
        match self {
            Self::NoReading | Self::Opened(_) | Self::NotWhole | Self::NotAt(_) | Self::NotJudged => {
                Permission::Release
            }
            Self::Failed(_) => Permission::ReleaseStop,
        }
    }
}

/// Whether a reading shows the drop of the wire.
fn is_whole(reading: &Reading) -> bool {
    reading.source_v.is_some() && reading.load_v.is_some()
}

/// The remarks of a result as sentences, the worst first.
pub fn remarks(verdict: &ReadingVerdict) -> Vec<String> {
    verdict.remarks.iter().map(|remark| format!("{}.", capital(&remark.text))).collect()
}

/// The step that proves a circuit.
pub fn test_of(circuit: &Circuit) -> StepKey {
    StepKey { subject: Subject::new(SubjectKind::Circuit, &circuit.id), action: Done::Test }
}

/// The latest reading of a circuit at each device it was measured at.
fn latest<'h>(history: &'h History, circuit: &Circuit) -> Vec<&'h Reading> {
    let mut latest: Vec<&Reading> = Vec::new();
    for reading in history.readings.iter().filter(|reading| reading.circuit == circuit.id) {
        match latest.iter_mut().find(|known| known.device == reading.device) {
            Some(known) if (known.at, known.id) < (reading.at, reading.id) => *known = reading,
            Some(_) => {}
            None => latest.push(reading),
        }
    }
    latest
}
