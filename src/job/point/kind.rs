//! The kinds of distribution point, and the fields of each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

/// The kind of a distribution point, as files, forms and the database write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema, IntoStaticStr)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum PointKind {
    /// See [`Battery`](super::Body::Battery).
    Battery,
    /// See [`Charger`](super::Body::Charger).
    Charger,
    /// See [`Converter`](super::Body::Converter).
    Converter,
    /// See [`BatterySwitch`](super::Body::BatterySwitch).
    BatterySwitch,
    /// See [`PositiveBus`](super::Body::PositiveBus).
    PositiveBus,
    /// See [`NegativeBus`](super::Body::NegativeBus).
    NegativeBus,
    /// See [`FuseBlock`](super::Body::FuseBlock).
    FuseBlock,
    /// See [`SwitchPanel`](super::Body::SwitchPanel).
    SwitchPanel,
    /// See [`JunctionBar`](super::Body::JunctionBar).
    JunctionBar,
}

impl PointKind {
    /// Whether it is a source: it gives a voltage between its two posts.
    pub fn is_source(self) -> bool {
        matches!(self, Self::Battery | Self::Charger | Self::Converter)
    }

    /// Every kind, in the order of the supply: sources first.
    pub const ALL: [Self; 9] = [
        Self::Battery,
        Self::Charger,
        Self::Converter,
        Self::BatterySwitch,
        Self::PositiveBus,
        Self::NegativeBus,
        Self::FuseBlock,
        Self::SwitchPanel,
        Self::JunctionBar,
    ];

    /// Whether it supplies loads by itself. A charger does only where nothing else does.
    pub fn supplies(self) -> bool {
        matches!(self, Self::Battery | Self::Converter)
    }

    /// The name of the kind in files and forms.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// The fields of this kind, besides id, name, kind and location.
    pub fn fields(self) -> &'static [&'static str] {
        match self {
            Self::Battery => &[
                "nominal_v",
                "open_circuit_v",
                "internal_mohm",
                "capacity_ah",
                "chemistry",
                "cranking_a",
                "peukert",
                "floor_pct",
                "low_v",
            ],
            Self::Charger => {
                &["nominal_v", "open_circuit_v", "internal_mohm", "rating_a", "starter_a", "curve"]
            }
            Self::Converter => &["nominal_v", "open_circuit_v", "internal_mohm", "rating_a"],
            Self::SwitchPanel => &["rating_a", "positions"],
            Self::BatterySwitch => &["rating_a", "positions", "position_a", "switch_kind"],
            _ => &["rating_a", "positions", "position_a"],
        }
    }
}
