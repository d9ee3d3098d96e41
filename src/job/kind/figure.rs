//! Where the figures of a kind come from.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantArray};
use thiserror::Error;

use super::Kind;
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

impl Kind {
    /// The source of a figure; `None` if the kind has no such figure.
    pub fn source_of(&self, figure: Figure) -> Option<&'static Source> {
        let own = self.marks.get(&figure).map(|cited| cited.0);
        self.has(figure).then(|| own.unwrap_or_else(|| figure.usual_source()))
    }

    /// Whether the kind has a figure.
    fn has(&self, figure: Figure) -> bool {
        match figure {
            Figure::Load => self.load.is_some(),
            Figure::Start => self.start.is_some(),
            Figure::MaxFuse => self.max_fuse_a.is_some(),
            Figure::DropLimit => self.drop_limit_pct.is_some(),
            Figure::LeastVolts => self.least_v.is_some(),
            Figure::Duty => self.duty.is_some(),
            Figure::Inputs => self.inputs.is_some(),
            Figure::Light => self.light.is_some(),
            Figure::Ignition => self.is_device(),
            Figure::Color => self.color.is_some(),
            Figure::Space => self.space.is_some(),
            Figure::Weight => self.weight_kg.is_some(),
            Figure::Point => self.point.is_some(),
        }
    }
}
