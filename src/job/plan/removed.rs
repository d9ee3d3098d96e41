//! What came off the boat and what becomes of it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{DeviceId, LocationId, Money, Name, Prose, RemovedId};

/// One thing that came off the boat, and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RemovedEquipment {
    /// Its id, for its tag.
    pub id: RemovedId,
    /// What it is.
    pub name: Name,
    /// Where it came off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub location: Option<LocationId>,
    /// What becomes of it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub fate: Fate,
    /// Whether it works; left out: not tested yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<Tested>,
    /// What the test or a look at it showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<Prose>,
    /// What it costs new, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worth_new: Option<Money>,
    /// The device that it is on the boat again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceId>,
}

/// What becomes of a thing that came off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Nobody has decided.
    #[default]
    Unsure,
    /// Cleaned, and fitted again.
    Keep,
    /// Sold for the boat's customer.
    Sell,
    /// Thrown away.
    Scrap,
}

impl Fate {
    /// All, in the order they are asked about.
    pub const ALL: [Self; 4] = [Self::Unsure, Self::Keep, Self::Sell, Self::Scrap];

    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unsure => "Not decided yet",
            Self::Keep => "Keep and clean",
            Self::Sell => "Sell",
            Self::Scrap => "Scrap",
        }
    }
}

/// What a test of a thing that came off showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tested {
    /// It works.
    Works,
    /// It works in part, or only now and then.
    Doubtful,
    /// It does not work.
    Dead,
}

impl Tested {
    /// All.
    pub const ALL: [Self; 3] = [Self::Works, Self::Doubtful, Self::Dead];

    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Works => "Works",
            Self::Doubtful => "Doubtful",
            Self::Dead => "Does not work",
        }
    }
}
