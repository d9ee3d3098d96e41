//! Feeders between points, and the fuse or breaker at the head of a feeder or circuit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::{FeederId, InsulationC, InterruptA, LengthM, Milliohm, PassageId, PointId, RatingA};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;

/// Which side of the supply a conductor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Polarity {
    /// The protected, ungrounded side.
    Positive,
    /// The return.
    Negative,
}

impl Polarity {
    /// The polarity as files and pages write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Positive => "positive",
            Self::Negative => "negative",
        }
    }
}

/// A conductor between two points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feeder {
    /// Id of the feeder.
    pub id: FeederId,
    /// The point the current comes from.
    pub from: PointId,
    /// The point it goes to.
    pub to: PointId,
    /// Which side it belongs to.
    pub polarity: Polarity,
    /// Its size; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// What its insulation stands.
    pub insulation_c: InsulationC,
    /// Its length one way; it overrides the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The passages it takes, from its beginning on; left out: choose them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<PassageId>,
    /// Whether it lies in a sheath or enclosure all the way to its protection.
    #[serde(default, skip_serializing_if = "is_false")]
    pub sheathed: bool,
    /// How many current-carrying conductors lie in its bundle, itself counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Whether it feeds a cranking motor, which practice leaves unprotected.
    #[serde(default, skip_serializing_if = "is_false")]
    pub cranking: bool,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
}

/// A fuse or breaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Its family.
    pub kind: Family,
    /// Its rating; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// How far along the conductor it sits from the source of power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_source_m: Option<LengthM>,
    /// The current it can interrupt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interrupt_a: Option<InterruptA>,
    /// Its own resistance with its holder; none counted where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance_mohm: Option<Milliohm>,
}
