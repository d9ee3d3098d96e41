//! The values that a meter should show, for the pages where they are read.

use std::cell::RefCell;
use std::collections::HashMap;

use crate::job::before_power::{self, StepExpected};
use crate::job::event::StepReading;
use crate::job::meter::{ExpectedReading, MeterModel, Question, ReadingVerdict};
use crate::job::plan::Circuit;
use crate::job::step::StepKey;
use crate::job::value::{CircuitId, DeviceId, PointId};
use crate::job::work;
use crate::trade::working::Working;
use crate::web::kit::opened::Opened;

/// The expected readings of a job. Each circuit is solved once for a page.
#[derive(Debug)]
pub struct Expectations<'j> {
    job: &'j Opened,
    meter: Option<MeterModel<'j>>,
    known: RefCell<HashMap<At, Option<ExpectedReading>>>,
}

/// Where the meter is: a circuit, and one device of it (`None`: the farthest). Then the feeding volts if they were
/// measured, as the bits of the number.
type At = (CircuitId, Option<DeviceId>, Option<u64>);

impl<'j> Expectations<'j> {
    /// The expected readings of a job.
    pub fn of(job: &'j Opened) -> Self {
        let meter = MeterModel::new(&job.plan, &job.conductors, &job.report).ok();
        Self { job, meter, known: RefCell::default() }
    }

    /// The expected reading with only this circuit on; at its farthest device if `device` is `None`.
    pub fn of_circuit(&self, circuit: &Circuit, device: Option<&DeviceId>) -> Option<ExpectedReading> {
        self.known(circuit, device, None)
    }

    /// The same with the volts measured at the start of the circuit.
    pub fn fed_with(
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

    /// The expected value of a step's own measurement.
    pub fn of_step(&self, step: &StepKey, point: Option<&PointId>) -> StepExpected {
        work::expected(self.job, self.meter.as_ref(), step, point)
    }

    /// The working of the expected resistance of a circuit's negative with power off.
    pub fn return_working(&self, step: &StepKey) -> Option<Working> {
        let circuit = self.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == step.subject.id)?;
        self.meter.as_ref()?.return_working(circuit)
    }

    /// Which figures of a step's measurement the user must confirm before it is stored.
    pub fn odd_step(&self, reading: &StepReading) -> Option<Question> {
        let expected = self.of_step(&reading.step, reading.point.as_ref());
        before_power::odd(reading, &expected, self.job.report.nominal_v)
    }

    /// The verdict of a step's measurement.
    pub fn judge_step(&self, reading: &StepReading) -> ReadingVerdict {
        let expected = self.of_step(&reading.step, reading.point.as_ref());
        before_power::judge(reading, &expected, self.job.report.nominal_v)
    }

    /// The network and what it was built from, for the diagnosis.
    pub fn meter(&self) -> Option<&MeterModel<'j>> {
        self.meter.as_ref()
    }
}
