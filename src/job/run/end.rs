//! The ends of a piece, and where they come to lie.

use crate::job::conductor::Landing;
use crate::job::plan::Plan;
use crate::job::value::LocationId;

/// One end of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceEnd {
    /// Its id, which records use.
    pub id: String,
    /// Its printed text, unless the shop's rule gives another.
    pub label: String,
    /// What it lands on.
    pub at: At,
}

/// What an end lands on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum At {
    /// On a distribution point or device.
    Landing(Landing),
    /// At a location. What it is plugged into there is not known.
    Location(LocationId),
}

impl At {
    /// The location, if the plan has the distribution point or device.
    pub fn location<'a>(&'a self, plan: &'a Plan) -> Option<&'a LocationId> {
        match self {
            Self::Landing(landing) => landing.location(plan),
            Self::Location(id) => Some(id),
        }
    }

    /// The id of the thing or location.
    pub fn id(&self) -> &str {
        match self {
            Self::Landing(landing) => landing.id(),
            Self::Location(id) => id.as_str(),
        }
    }

    /// The name of the thing or location; its id if the plan does not have it.
    pub fn called<'a>(&'a self, plan: &'a Plan) -> &'a str {
        let name = match self {
            Self::Landing(Landing::Device(id)) => plan.device(id).map(|device| device.name.as_str()),
            Self::Landing(Landing::Point { id, .. }) => plan.point(id).map(|point| point.called()),
            Self::Location(id) => plan.location(id).map(|location| location.name.as_str()),
        };
        name.unwrap_or(self.id())
    }

    /// The name of its location.
    pub fn location_name<'a>(&'a self, plan: &'a Plan) -> Option<&'a str> {
        let id = self.location(plan)?;
        Some(plan.location(id).map_or(id.as_str(), |location| location.name.as_str()))
    }

    /// Its position on a switch panel or fuse block; 0 if it has none.
    pub fn position(&self) -> u16 {
        match self {
            Self::Landing(Landing::Point { position, .. }) => position.unwrap_or(0),
            _ => 0,
        }
    }
}

impl std::fmt::Display for At {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Landing(landing) => landing.fmt(f),
            Self::Location(id) => id.fmt(f),
        }
    }
}
