//! The nominal voltage of each thing on a boat of two voltages: that of the source on its own side.
//!
//! A source says its nominal voltage, or has that of the job. A converter is a source on its output side; its
//! input is a device like any other. A negative that both sides share is judged by the lower voltage, where the
//! same volts weigh more.

use foldhash::HashMap;
use uom::si::f64::ElectricPotential;

use super::plan::{Circuit, Feeder, Plan, Polarity};
use super::supply::{Supply, SupplyWays};
use super::value::{CircuitId, DeviceId, FeederId, PointId};

/// The nominal voltages of a plan.
#[derive(Debug)]
pub struct Sides<'a> {
    job: ElectricPotential,
    circuits: HashMap<&'a CircuitId, ElectricPotential>,
    feeders: HashMap<&'a FeederId, ElectricPotential>,
    devices: HashMap<&'a DeviceId, ElectricPotential>,
}

impl<'a> Sides<'a> {
    /// The nominal voltages of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let supply = Supply::of(plan);
        let ways: Vec<_> = plan.circuits.iter().map(|circuit| (circuit, supply.ways_of(circuit))).collect();
        let ways = ways.iter().map(|(circuit, ways)| (*circuit, ways));
        Self::along(plan, ways, |point| supply.to(point).source)
    }

    /// The same with the supply paths of the circuits already known.
    pub(super) fn along<'w>(
        plan: &'a Plan,
        ways: impl Iterator<Item = (&'a Circuit, &'w [SupplyWays<'a>; 2])>,
        source_of: impl Fn(&'a PointId) -> Option<&'a PointId>,
    ) -> Self
    where
        'a: 'w,
    {
        let points: HashMap<&PointId, _> = plan.points.iter().map(|point| (&point.id, &point.body)).collect();
        let of_source = |source: Option<&PointId>| {
            let own = source.and_then(|source| points.get(source)?.nominal());
            own.unwrap_or(plan.job.nominal_v).quantity()
        };
        let (mut circuits, mut devices) = (HashMap::default(), HashMap::default());
        let mut feeders: HashMap<&FeederId, ElectricPotential> = HashMap::default();
        for (circuit, [out, back]) in ways {
            let nominal = of_source(out.source);
            circuits.insert(&circuit.id, nominal);
            circuit.devices().for_each(|device| {
                devices.entry(device).or_insert(nominal);
            });
            for feeder in out.feeders.iter().chain(&back.feeders) {
                let held = feeders.entry(&feeder.id).or_insert(nominal);
                *held = held.min(nominal);
            }
        }
        let positive = plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive);
        for feeder in positive {
            feeders.entry(&feeder.id).or_insert_with(|| of_source(source_of(&feeder.from)));
        }
        Self { job: plan.job.nominal_v.quantity(), circuits, feeders, devices }
    }

    /// The nominal voltage of a circuit.
    pub fn of_circuit(&self, circuit: &Circuit) -> ElectricPotential {
        self.circuits.get(&circuit.id).copied().unwrap_or(self.job)
    }

    /// The nominal voltage of a feeder.
    pub fn of_feeder(&self, feeder: &Feeder) -> ElectricPotential {
        self.feeders.get(&feeder.id).copied().unwrap_or(self.job)
    }

    /// The nominal voltage of a device: that of the first circuit that feeds it.
    pub fn of_device(&self, device: &DeviceId) -> ElectricPotential {
        self.devices.get(device).copied().unwrap_or(self.job)
    }
}
