//! The id of a piece, whichever kind it is.

use std::borrow::Borrow;
use std::fmt;

use serde::Serialize;

use crate::job::conductor::ConductorId;
use crate::job::value::CableId;

/// The id of a wire or cable. No wire and cable of a plan have the same one.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct PieceId(String);

impl PieceId {
    /// The text itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for PieceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl From<&ConductorId> for PieceId {
    fn from(id: &ConductorId) -> Self {
        Self(id.to_string())
    }
}

impl From<&CableId> for PieceId {
    fn from(id: &CableId) -> Self {
        Self(id.to_string())
    }
}

/// A report is looked up by the text of an id, from an address or a step.
impl Borrow<str> for PieceId {
    fn borrow(&self) -> &str {
        &self.0
    }
}
