//! Where something that holds a job is shown and can be corrected.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::hold::Obstacle;
use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::trade::finding::Level;

/// Where something that holds a job is shown and can be corrected.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// A step, with its measurements.
    Step(StepKey),
    /// The steps of a phase.
    Phase(Phase),
    /// The thing that a finding is about, by the key of the finding.
    Finding(String),
    /// The findings of a level.
    Findings(Level),
    /// The list of open items.
    OpenItems,
    /// One open item.
    OpenItem(Uuid),
}

impl Obstacle {
    /// Where an open item can be closed; `None` for a measurement, which is taken at the step itself, and
    /// for the person.
    pub fn place(&self) -> Option<Place> {
        match self {
            Self::Step(step) => Some(Place::Step(step.clone())),
            Self::NotIsolated => Some(Place::Step(StepKey::of_boat(Action::Isolate))),
            Self::NotPowered => Some(Place::Phase(Phase::PowerUpTest)),
            Self::Stop(key) | Self::Sample(key) => Some(Place::Finding(key.clone())),
            Self::OpenItem(id) => Some(Place::OpenItem(*id)),
            Self::Lack(_) | Self::SamePerson => None,
        }
    }
}
