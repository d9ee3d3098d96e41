//! One open item that keeps a step on hold.

use uuid::Uuid;

use super::lack::Lack;
use super::need::Who;
use crate::job::event::Release;
use crate::job::step::StepKey;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::say::Statement;
use crate::trade::units::Units;

/// One open item that a step waits for.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold<'a> {
    /// What it is.
    pub obstacle: Obstacle,
    /// The text for people.
    pub text: Statement,
    /// Who may let the step pass.
    pub by: Who,
    /// The release, if there is one.
    pub released: Option<&'a Release>,
}

/// What keeps a step on hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Obstacle {
    /// A step that is open.
    Step(StepKey),
    /// The boat is not isolated.
    NotIsolated,
    /// The boat is isolated, or the fuse is out.
    NotPowered,
    /// The person did most of the work.
    SamePerson,
    /// A sample crimp that failed, by the key of its finding.
    Sample(String),
    /// A `stop` finding, by its key.
    Stop(String),
    /// An open item that nobody closed, by its id.
    OpenItem(Uuid),
    /// The step's own measurement.
    Lack(Lack),
}

impl Obstacle {
    /// The key for a release or a judgment; `None` if nothing can release it.
    pub fn key(&self) -> Option<String> {
        match self {
            Self::Step(step) => Some(step.to_string()),
            Self::Sample(key) | Self::Stop(key) => Some(key.clone()),
            Self::OpenItem(id) => Some(Subject::new(SubjectKind::OpenItem, id).to_string()),
            Self::Lack(_) | Self::NotIsolated | Self::NotPowered | Self::SamePerson => None,
        }
    }
}

impl Hold<'_> {
    /// Whether a record can let the step pass.
    pub fn can_be_released(&self) -> bool {
        self.by <= Who::Manager && matches!(self.obstacle, Obstacle::Step(_) | Obstacle::Sample(_))
    }

    /// The text, in metric units.
    pub fn words(&self) -> String {
        self.text.text(Units::Metric)
    }
}
