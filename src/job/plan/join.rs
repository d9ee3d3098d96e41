//! How a conductor is joined to a lead that belongs to a device.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a conductor is joined to a lead that belongs to a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Join {
    /// A crimped butt connector under adhesive-lined heat shrink.
    SealedButt,
    /// A crimped butt connector that water can enter.
    Butt,
    /// A twist-on connector, as found in old installations.
    WireNut,
}

impl Join {
    /// All kinds of join, the best first.
    pub const ALL: [Self; 3] = [Self::SealedButt, Self::Butt, Self::WireNut];

    /// The text for this join.
    pub fn words(self) -> &'static str {
        match self {
            Self::SealedButt => "sealed butt connector on its own lead",
            Self::Butt => "butt connector on its own lead, not sealed",
            Self::WireNut => "twist-on connector on its own lead",
        }
    }
}
