//! How a conductor is joined to a lead of a device's own.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a conductor is joined to a device's own lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Join {
    /// A crimped butt connector under adhesive-lined heat shrink.
    SealedButt,
    /// A crimped butt connector that water can enter.
    Butt,
    /// A twist-on connector, as found in old work.
    WireNut,
}

impl Join {
    /// Every one, the best first.
    pub const ALL: [Self; 3] = [Self::SealedButt, Self::Butt, Self::WireNut];

    /// The join in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::SealedButt => "sealed butt connector on its own lead",
            Self::Butt => "butt connector on its own lead, not sealed",
            Self::WireNut => "twist-on connector on its own lead",
        }
    }
}
