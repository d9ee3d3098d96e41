//! The power-up test: the expected meter readings of a circuit, and how actual readings are judged.
//!
//! Expected readings come from the solved network with only that circuit on. The margins beyond which a
//! reading deserves a look are common practice, no source. The drop limit is the device's own.

mod expected;
mod judge;

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ElectricPotential;
use uom::si::ratio::ratio;

use super::check::{Report, Sizes};
use super::conductor::ConductorId;
use super::event::Reading;
use super::load::Load;
use super::network::{CircuitModel, Solved};
use super::plan::{Circuit, Plan};
use super::side::Sides;
use super::value::{CircuitId, DeviceId};
use super::wiring::Conductors;
use crate::trade::dc_network::Unusable;
use crate::trade::drop;
use crate::trade::working::Working;

pub use expected::ExpectedReading;
pub(super) use judge::{LEADS_OHM, ODD_VOLTS, POWER_V, return_path};
pub use judge::{Question, ReadingOutcome, ReadingVerdict, Remark, judge, odd};

/// From this share of nominal voltage up, the measured source voltage counts as the supply of the load.
const FED_SHARE: f64 = 0.5;

/// The network of a plan for the power-up test.
#[derive(Debug)]
pub struct MeterModel<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    wired: CircuitModel<'a>,
    /// For each circuit, its farthest device and the rating of its fuse or breaker.
    settled: HashMap<CircuitId, (Option<DeviceId>, Option<f64>)>,
    sides: Sides<'a>,
}

impl<'a> MeterModel<'a> {
    /// Builds the network of a plan with the sizes and ratings from its check.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn new(plan: &'a Plan, conductors: &'a Conductors, report: &Report) -> Result<Self, Unusable> {
        let wired = Sizes::of(report).wire(plan, conductors)?;
        let settled = report.circuits.iter().map(|(id, circuit)| {
            let rating = circuit.conductor.protection.as_ref().and_then(|protection| protection.rating_a);
            (id.clone(), (circuit.farthest.clone(), rating))
        });
        Ok(Self { plan, conductors, wired, settled: settled.collect(), sides: Sides::of(plan) })
    }

    fn nominal(&self, circuit: &Circuit) -> f64 {
        self.sides.of_circuit(circuit).get::<volt>()
    }

    /// The expected reading with only this circuit on, at one of its devices or at its farthest. `None` if
    /// the check could not calculate it; its findings then say why.
    pub fn expect(&self, circuit: &Circuit, device: Option<&DeviceId>) -> Option<ExpectedReading> {
        let (farthest, fuse_a) = self.settled.get(&circuit.id)?;
        let device = device.or(farthest.as_ref())?;
        let solved = self.wired.solve(|on| *on == circuit.id).ok()?;
        let source_v = solved.at_source(&circuit.id)?.get::<volt>();
        let load_v = solved.at_device(&circuit.id, device)?.get::<volt>();
        let limit = self.plan.device(device);
        let limit = limit.map_or_else(drop::critical_limit, |device| device.drop_limit(self.plan.job.rules));
        let current_a = solved.of_circuit(&circuit.id)?.get::<ampere>();
        let mut workings = vec![expected::at_source(source_v, current_a)];
        workings.extend(expected::at_load(source_v, load_v, current_a));
        workings.push(expected::drawn(&self.loads(circuit, &solved), current_a));
        workings.push(expected::allowed(limit, self.nominal(circuit)));
        workings.extend(self.return_wires(circuit, device).map(|wires| expected::along_return(&wires)));
        Some(ExpectedReading {
            device: device.clone(),
            source_v,
            load_v,
            drop_v: source_v - load_v,
            most_drop_v: limit.get::<ratio>() * self.nominal(circuit),
            current_a,
            fuse_a: *fuse_a,
            return_ohm: self.return_ohm(circuit, device),
            workings,
        })
    }

    /// The same with the voltage measured where the circuit begins, instead of the planned one. The
    /// expected load voltage then does not depend on the battery. `source_v` stays the planned voltage.
    pub fn expect_from(
        &self,
        circuit: &Circuit,
        device: Option<&DeviceId>,
        measured: f64,
    ) -> Option<ExpectedReading> {
        let planned = self.expect(circuit, device)?;
        if measured < FED_SHARE * self.nominal(circuit) {
            return Some(planned);
        }
        let source = ElectricPotential::new::<volt>(measured);
        let Ok(solved) = self.wired.solve_from(&circuit.id, source) else { return Some(planned) };
        let load_v = solved.at_device(&circuit.id, &planned.device)?.get::<volt>();
        let current_a = solved.of_circuit(&circuit.id)?.get::<ampere>();
        let others = planned.workings.iter().filter(|working| !expected::is_of_volts(working)).cloned();
        let drawn = expected::drawn(&self.loads(circuit, &solved), current_a);
        let fed = expected::at_load(measured, load_v, current_a).into_iter().chain([drawn]);
        let workings = fed.chain(others).collect();
        Some(ExpectedReading { load_v, drop_v: measured - load_v, current_a, workings, ..planned })
    }

    /// The expected resistance of a circuit's return, without power, from its farthest device.
    pub fn return_of(&self, circuit: &Circuit) -> Option<f64> {
        let (farthest, _) = self.settled.get(&circuit.id)?;
        self.return_ohm(circuit, farthest.as_ref()?)
    }

    /// How that resistance was calculated.
    pub fn return_working(&self, circuit: &Circuit) -> Option<Working> {
        let (farthest, _) = self.settled.get(&circuit.id)?;
        Some(expected::along_return(&self.return_wires(circuit, farthest.as_ref()?)?))
    }

    /// Judges a reading, with the expected values for the measured source voltage.
    pub fn judge(&self, reading: &Reading) -> ReadingVerdict {
        let circuit = self.plan.circuit(&reading.circuit);
        let expected = circuit.and_then(|circuit| match reading.source_v {
            Some(measured) => self.expect_from(circuit, reading.device.as_ref(), measured.number()),
            None => self.expect(circuit, reading.device.as_ref()),
        });
        match expected {
            Some(expected) => {
                let job = || self.plan.job.nominal_v.number();
                judge(reading, &expected, circuit.map_or_else(job, |circuit| self.nominal(circuit)))
            }
            None => {
                let text = "nothing was computed to compare it with: see the circuit's findings";
                ReadingVerdict::of(vec![Remark::look(text)])
            }
        }
    }

    /// The network that the readings come from.
    pub fn wired(&self) -> &CircuitModel<'a> {
        &self.wired
    }

    /// The loads of a circuit with the voltage that reaches each.
    fn loads<'c>(
        &self,
        circuit: &'c Circuit,
        solved: &Solved<'_>,
    ) -> Vec<(&'c DeviceId, Load, ElectricPotential)> {
        let load = |id| Some((id, self.plan.device(id)?.load?, solved.at_device(&circuit.id, id)?));
        circuit.devices().filter_map(load).collect()
    }

    fn return_ohm(&self, circuit: &Circuit, device: &DeviceId) -> Option<f64> {
        Some(self.return_wires(circuit, device)?.iter().map(|(_, ohms)| ohms).sum())
    }

    /// The wires from a device back, each with its resistance.
    fn return_wires(&self, circuit: &Circuit, device: &DeviceId) -> Option<Vec<(&ConductorId, f64)>> {
        let index = circuit.devices().position(|id| id == device)?;
        let back = self.conductors.path(circuit, index).back.into_iter();
        back.map(|wire| Some((&wire.id, self.wired.resistance_of(&wire.id)?.get::<ohm>()))).collect()
    }
}
