//! Equipment removed from the boat, and what happens to it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{DeviceId, LocationId, Money, Name, Prose, RemovedId};

/// One item of removed equipment, and what happens to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RemovedEquipment {
    /// Its id, which its tag shows.
    pub id: RemovedId,
    /// What it is.
    pub name: Name,
    /// Where it was removed from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub location: Option<LocationId>,
    /// What happens to it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub fate: Fate,
    /// Whether it works; left out: not tested yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<Tested>,
    /// The result of the test, or what was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<Prose>,
    /// Its price when new, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worth_new: Option<Money>,
    /// The device in the plan, if this item is fitted to the boat again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceId>,
}

/// What happens to removed equipment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Not decided yet.
    #[default]
    Unsure,
    /// Cleaned and fitted again.
    Keep,
    /// Sold for the customer.
    Sell,
    /// Thrown away.
    Scrap,
}

impl Fate {
    /// All choices, in the order in which forms list them.
    pub const ALL: [Self; 4] = [Self::Unsure, Self::Keep, Self::Sell, Self::Scrap];

    /// The text for this choice.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unsure => "Not decided yet",
            Self::Keep => "Keep and clean",
            Self::Sell => "Sell",
            Self::Scrap => "Scrap",
        }
    }
}

/// The result of testing removed equipment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tested {
    /// It works.
    Works,
    /// It works in part or sometimes.
    Doubtful,
    /// It does not work.
    Dead,
}

impl Tested {
    /// All results.
    pub const ALL: [Self; 3] = [Self::Works, Self::Doubtful, Self::Dead];

    /// The text for this result.
    pub fn words(self) -> &'static str {
        match self {
            Self::Works => "Works",
            Self::Doubtful => "Doubtful",
            Self::Dead => "Does not work",
        }
    }
}
