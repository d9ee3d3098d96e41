//! How much of the wiring a state covers: all of it, or only what is joined with one engine.

use foldhash::HashSet;

use super::conductor::Conductor;
use super::network::{CircuitModel, Solved};
use super::plan::{Circuit, Feeder, Plan};
use super::point::Point;
use super::value::{CircuitId, DeviceId, PointId};
use super::wiring::Conductors;

/// The things of a plan that a state covers, each list in the order of the plan.
#[derive(Default)]
pub struct Extent<'a> {
    pub(super) points: Vec<&'a Point>,
    pub(super) feeders: Vec<&'a Feeder>,
    pub(super) circuits: Vec<&'a Circuit>,
    pub(super) wires: Vec<&'a Conductor>,
    /// The circuits with the load of each device entered.
    loaded: HashSet<&'a CircuitId>,
}

impl<'a> Extent<'a> {
    /// The whole wiring.
    pub fn whole(plan: &'a Plan, conductors: &'a Conductors) -> Self {
        Self {
            points: plan.points.iter().collect(),
            feeders: plan.feeders.iter().collect(),
            circuits: plan.circuits.iter().collect(),
            wires: conductors.all().iter().collect(),
            loaded: loaded(plan),
        }
    }

    /// How much there is to solve: distribution points, conductors and devices.
    pub(super) fn things(&self) -> usize {
        let devices: usize = self.circuits.iter().map(|circuit| circuit.legs.len()).sum();
        self.points.len() + self.wires.len() + devices
    }

    /// Whether the current of a circuit is known: each of its loads is entered, and something feeds it.
    pub(super) fn knows(&self, solved: &Solved<'_>, circuit: &Circuit) -> bool {
        self.loaded.contains(&circuit.id) && solved.at_source(&circuit.id).is_some()
    }
}

/// The whole wiring, and the same divided where nothing joins it.
pub struct Extents<'a> {
    pub(super) whole: Extent<'a>,
    /// By the number that the network gives each piece.
    pieces: Vec<Extent<'a>>,
}

impl<'a> Extents<'a> {
    /// Divides the wiring of a plan.
    pub fn of(plan: &'a Plan, conductors: &'a Conductors, wired: &CircuitModel<'a>) -> Self {
        let whole = Extent::whole(plan, conductors);
        let mut pieces: Vec<Extent<'a>> = Vec::new();
        pieces.resize_with(wired.pieces().count(), Extent::default);
        let mut put = |piece: Option<usize>, add: &dyn Fn(&mut Extent<'a>)| {
            piece.and_then(|piece| pieces.get_mut(piece)).into_iter().for_each(add);
        };
        for point in &whole.points {
            put(wired.piece_of(&point.id), &|piece| piece.points.push(point));
        }
        for feeder in &whole.feeders {
            put(wired.piece_of(&feeder.from), &|piece| piece.feeders.push(feeder));
        }
        for circuit in &whole.circuits {
            put(wired.piece_of(&circuit.from), &|piece| piece.circuits.push(circuit));
        }
        for wire in &whole.wires {
            put(wired.piece_of_wire(&wire.id), &|piece| piece.wires.push(wire));
        }
        for circuit in whole.circuits.iter().filter(|circuit| whole.loaded.contains(&circuit.id)) {
            put(wired.piece_of(&circuit.from), &|piece| {
                piece.loaded.insert(&circuit.id);
            });
        }
        Self { whole, pieces }
    }

    /// What is joined with a point.
    pub(super) fn beside(&self, wired: &CircuitModel<'_>, point: &PointId) -> &Extent<'a> {
        wired.piece_of(point).and_then(|piece| self.pieces.get(piece)).unwrap_or(&self.whole)
    }
}

/// The circuits with the load of each device entered.
fn loaded(plan: &Plan) -> HashSet<&CircuitId> {
    let known: HashSet<&DeviceId> =
        plan.devices.iter().filter(|device| device.load.is_some()).map(|device| &device.id).collect();
    let is_loaded = |circuit: &&Circuit| circuit.devices().all(|device| known.contains(device));
    plan.circuits.iter().filter(is_loaded).map(|circuit| &circuit.id).collect()
}
