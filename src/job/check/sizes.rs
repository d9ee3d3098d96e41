//! The sizes of a plan's conductors, given or chosen.

use super::report::Report;
use crate::job::conductor::{Conductor, Of};
use crate::job::network::CircuitModel;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId};
use crate::job::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::dc_network::Unusable;
use foldhash::HashMap;

/// The sizes of a plan's conductors, given or chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizes {
    pub(super) circuits: HashMap<CircuitId, Size>,
    pub(super) feeders: HashMap<FeederId, Size>,
}

impl Sizes {
    /// The sizes that a report gives.
    pub fn of(report: &Report) -> Self {
        let circuits =
            report.circuits.iter().filter_map(|(id, circuit)| Some((id.clone(), circuit.conductor.size?)));
        let feeders =
            report.feeders.iter().filter_map(|(id, feeder)| Some((id.clone(), feeder.conductor.size?)));
        Self { circuits: circuits.collect(), feeders: feeders.collect() }
    }

    /// The size of a conductor: its own, or that of its circuit or feeder.
    pub fn get(&self, conductor: &Conductor) -> Option<Size> {
        conductor.size.or_else(|| match &conductor.of {
            Of::Circuit(id) => self.circuits.get(id).copied(),
            Of::Feeder(id) => self.feeders.get(id).copied(),
        })
    }

    /// The size of a circuit or feeder.
    pub(super) fn of_wire(&self, wire: &Subject) -> Option<Size> {
        match wire.kind {
            SubjectKind::Circuit => self.circuits.get(&wire.id.parse().ok()?).copied(),
            SubjectKind::Feeder => self.feeders.get(&wire.id.parse().ok()?).copied(),
            _ => None,
        }
    }

    /// The network of the plan with these sizes.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn wire<'a>(&self, plan: &'a Plan, conductors: &'a Conductors) -> Result<CircuitModel<'a>, Unusable> {
        CircuitModel::new(plan, conductors, |conductor| self.get(conductor))
    }
}
