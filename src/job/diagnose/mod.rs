//! Finds the most likely location of a fault from a job's readings.
//!
//! The plan's conductors, fuses and sources are the possible locations. The solved network gives the share
//! of a circuit's current through each. [`Work`] says which readings count: the latest at each device, since nothing
//! on its path was opened. A reading from before a repair proves nothing.

mod ground;
mod report;
mod words;

pub use report::{DiagnosisReport, Explained, LikelyFault, Suspect, Told};

use ground::Ground;

use super::event::Reading;
use super::meter::MeterModel;
use super::plan::{Circuit, Plan};
use super::value::CircuitId;
use super::wiring::Conductors;
use super::work::Work;
use crate::trade::diagnosis::{self, Taken};

/// Diagnoses the readings of a job.
pub fn diagnose(
    plan: &Plan,
    conductors: &Conductors,
    meter: &MeterModel<'_>,
    work: &Work<'_>,
) -> DiagnosisReport {
    let of_circuit =
        |circuit| work.counting_readings(circuit).into_iter().map(move |reading| (circuit, reading));
    let latest: Vec<(&Circuit, &Reading)> = plan.circuits.iter().flat_map(of_circuit).collect();
    let mut ground = Ground::new(plan, conductors, meter.wired());
    let rest = ground.wired.solve(|_| false).ok();
    let taken: Vec<(&Circuit, Taken)> = latest
        .iter()
        .filter_map(|(circuit, reading)| {
            Some((*circuit, ground.taken(meter, circuit, reading, rest.as_ref()?)?))
        })
        .collect();
    let readings: Vec<Taken> = taken.iter().map(|(_, taken)| taken.clone()).collect();
    let placed = diagnosis::diagnose(&ground.stretches, &readings);
    let circuits = |stretches: &[usize]| through(&taken, stretches);
    DiagnosisReport {
        readings: readings.len(),
        signs: diagnosis::signs(&readings).iter().map(|sign| ground.told(sign, &taken)).collect(),
        explanations: placed
            .explanations
            .iter()
            .map(|one| Explained {
                share: one.share,
                amiss: one.amiss,
                faults: one.faults.iter().map(|excess| ground.fault(excess, circuits)).collect(),
            })
            .collect(),
        unseen: placed.unseen.iter().filter_map(|stretch| ground.spots.get(*stretch).cloned()).collect(),
        without_current: latest
            .iter()
            .filter(|(_, reading)| reading.current_a.is_none())
            .map(|(circuit, _)| circuit.id.clone())
            .collect(),
    }
}

/// The circuits whose current passes any of these locations.
fn through(taken: &[(&Circuit, Taken)], stretches: &[usize]) -> Vec<CircuitId> {
    let passes = |taken: &Taken| {
        [&taken.before, &taken.out, &taken.back]
            .into_iter()
            .flatten()
            .any(|passed| stretches.contains(&passed.stretch))
    };
    let mut circuits: Vec<CircuitId> =
        taken.iter().filter(|(_, taken)| passes(taken)).map(|(circuit, _)| circuit.id.clone()).collect();
    circuits.dedup();
    circuits
}
