//! What a kind of equipment needs beside its feed: cables, settings, a distribution point.

use serde::{Deserialize, Serialize};

use super::location::UsualLocation;
use crate::job::plan::{Cable, CableTo, Connector};
use crate::job::point::{BatterySwitchKind, PointKind};
use crate::job::value::{CableId, CapacityAh, KindId, LengthM, Name, NominalV, RatingA, SizeMm, SourceV};
use crate::trade::energy::battery::Chemistry;
use crate::trade::route::CableKind;

/// A cable that a kind of equipment needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CableNeed {
    /// What people call it.
    pub name: Name,
    /// Its kind.
    pub kind: CableKind,
    /// The kinds it may lead to, the most usual first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to: Vec<KindId>,
    /// Where it leads if the boat has none of these kinds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub or_at: Option<UsualLocation>,
    /// The length it usually comes in; left out: it is cut to length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The width of the connector that is pulled through the boat with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pulled_mm: Option<SizeMm>,
}

impl CableNeed {
    /// The cable of a plan. Its length counts as not known, because nobody has measured it.
    pub fn cable(&self, id: CableId, to: CableTo) -> Cable {
        let far_connector = self.pulled_mm.map(|width| Connector { name: None, width_mm: Some(width) });
        Cable {
            id,
            label: None,
            kind: self.kind,
            to,
            length_m: None,
            connector: None,
            far_connector,
            outside_mm: None,
            least_length_m: None,
            sealed_join: false,
        }
    }
}

/// One thing to set on a kind of equipment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KindSetting {
    /// What to set.
    pub name: Name,
    /// The unit of its value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<Name>,
    /// Where its value comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub help: Option<Name>,
}

/// The distribution point that a kind is, or that its output is. Voltages are those of the 12 V part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Distribution {
    /// The kind of point.
    pub kind: PointKind,
    /// Its total current rating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// How many positions it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub positions: Option<u16>,
    /// The current rating of each position.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position_a: Option<RatingA>,
    /// Which batteries a battery switch can join.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch_kind: Option<BatterySwitchKind>,
    /// Voltage of a source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source_v: Option<SourceV>,
    /// Nominal voltage of the output of a converter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub output_v: Option<NominalV>,
    /// Capacity of a battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_ah: Option<CapacityAh>,
    /// Chemistry of a battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemistry: Option<Chemistry>,
}
