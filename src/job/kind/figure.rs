//! Where the figures of a kind come from.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantArray};
use thiserror::Error;

use crate::trade::source::{self, Source};

/// A figure of a kind, or a group of figures with one source.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Figure {
    /// The current it draws.
    Load,
    /// The current it draws while it starts.
    Start,
    /// The largest fuse.
    MaxFuse,
    /// The maximum voltage drop.
    DropLimit,
    /// The least voltage.
    LeastVolts,
    /// The share of the time it draws its load.
    Duty,
    /// The number of its supplies.
    Inputs,
    /// The arc and the color of a navigation light.
    Light,
    /// Ignition protection.
    Ignition,
    /// The color of its wire.
    Color,
    /// Its dimensions and clearances.
    Space,
    /// Its weight.
    Weight,
    /// Ratings and positions of a distribution point.
    Point,
}

impl Figure {
    /// The source of this figure where a kind names no other.
    pub fn usual_source(self) -> &'static Source {
        match self {
            Self::DropLimit => &source::DROP_LIMITS,
            Self::Light => &source::RULE_21,
            Self::Ignition => &source::CFR_410,
            Self::Color => &source::WIRE_COLORS,
            _ => &source::KIND_PRACTICE,
        }
    }
}

/// A source, written by its name in the [table of sources](crate::trade::source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Cited(pub &'static Source);

/// A name that is not in the table of sources.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the source '{0}' is not in the table of sources")]
pub struct UnknownSource(String);

impl TryFrom<String> for Cited {
    type Error = UnknownSource;

    fn try_from(key: String) -> Result<Self, UnknownSource> {
        source::named(&key).map(Self).ok_or(UnknownSource(key))
    }
}

impl From<Cited> for String {
    fn from(cited: Cited) -> Self {
        cited.0.key.to_owned()
    }
}
