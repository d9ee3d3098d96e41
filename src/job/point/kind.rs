//! The kinds of point, and the fields that go with each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The kind of a point, as files, forms and the database write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PointKind {
    /// See [`Body::Battery`].
    Battery,
    /// See [`Body::Charger`].
    Charger,
    /// See [`Body::BatterySwitch`].
    BatterySwitch,
    /// See [`Body::PositiveBus`].
    PositiveBus,
    /// See [`Body::NegativeBus`].
    NegativeBus,
    /// See [`Body::FuseBlock`].
    FuseBlock,
    /// See [`Body::SwitchPanel`].
    SwitchPanel,
    /// See [`Body::JunctionBar`].
    JunctionBar,
}

impl PointKind {
    /// Whether it has two posts between which it gives a voltage.
    pub fn is_source(self) -> bool {
        matches!(self, Self::Battery | Self::Charger)
    }

    /// Every kind, in the order of a supply: sources first.
    pub const ALL: [Self; 8] = [
        Self::Battery,
        Self::Charger,
        Self::BatterySwitch,
        Self::PositiveBus,
        Self::NegativeBus,
        Self::FuseBlock,
        Self::SwitchPanel,
        Self::JunctionBar,
    ];

    /// The kind as files and forms write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Battery => "battery",
            Self::Charger => "charger",
            Self::BatterySwitch => "battery-switch",
            Self::PositiveBus => "positive-bus",
            Self::NegativeBus => "negative-bus",
            Self::FuseBlock => "fuse-block",
            Self::SwitchPanel => "switch-panel",
            Self::JunctionBar => "junction-bar",
        }
    }

    /// The fields that go with the kind, beyond id, name, kind and location.
    pub fn fields(self) -> &'static [&'static str] {
        match self {
            Self::Battery => &[
                "open_circuit_v",
                "internal_mohm",
                "capacity_ah",
                "chemistry",
                "cranking_a",
                "peukert",
                "floor_pct",
                "low_v",
            ],
            Self::Charger => &["open_circuit_v", "internal_mohm", "rating_a", "starter_a", "curve"],
            _ => &["rating_a", "positions"],
        }
    }
}
