//! Locations on the boat and the raceways between them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{AheadM, LengthM, LocationId, Name, RacewayId, SizeMm, StarboardM, UpM};

/// A named location on the boat where things are mounted or wires end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Location {
    /// Id of the location.
    pub id: LocationId,
    /// Name of the location.
    pub name: Name,
    /// Its position on the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// From the opening of a raceway to where wires land here; left out: the value of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Whether it is in an engine space.
    #[serde(default, skip_serializing_if = "is_default")]
    pub engine_space: bool,
    /// Whether water reaches it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wet: bool,
    /// Whether it lies below the waterline, so that everything mounted there must be sealed against the
    /// sea.
    #[serde(default, skip_serializing_if = "is_default")]
    pub below_waterline: bool,
    /// Whether gasoline or propane vapor can gather there; left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vapor: Option<Vapor>,
    /// How many holes of removed fittings are still open; left out: not counted yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub old_holes: Option<u16>,
    /// What closes them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_with: Option<HoleFill>,
}

/// Whether gasoline or propane vapor can gather at a location.
///
/// 33 CFR 183.410 (b) and (c), read: how a component is isolated from a source of gasoline. 33 CFR 183.605,
/// from memory: what is open to the atmosphere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Vapor {
    /// It can gather: an enclosed space with an engine, a tank, a fuel line or a gas bottle, or one that is
    /// joined to it.
    Gathers,
    /// It cannot: the space is open to the atmosphere, with at least 2 ft to any source of fuel.
    Open,
    /// It cannot: a bulkhead, or a deck below it, separates the space from every source of fuel.
    Isolated,
}

impl Vapor {
    /// Every answer.
    pub const ALL: [Self; 3] = [Self::Gathers, Self::Open, Self::Isolated];

    /// The text for this answer.
    pub fn words(self) -> &'static str {
        match self {
            Self::Gathers => "can gather",
            Self::Open => "cannot: open to the air",
            Self::Isolated => "cannot: separated by a bulkhead or deck",
        }
    }
}

/// What closes a hole that is no longer used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HoleFill {
    /// A plug that is pushed or screwed in.
    Plug,
    /// Sealant alone.
    Sealant,
    /// Glass and resin, ground flush.
    Glass,
}

impl HoleFill {
    /// The text for this method.
    pub fn words(self) -> &'static str {
        match self {
            Self::Plug => "a plug",
            Self::Sealant => "sealant",
            Self::Glass => "glass and resin",
        }
    }
}

impl Location {
    /// The holes to close here, as text: `6 old holes, with glass and resin`.
    pub fn holes_to_close(&self) -> String {
        let count = match self.old_holes {
            None => "old holes not counted yet".to_owned(),
            Some(1) => "1 old hole".to_owned(),
            Some(many) => format!("{many} old holes"),
        };
        self.closed_with.map_or_else(|| count.clone(), |means| format!("{count}, with {}", means.words()))
    }
}

/// A position on the boat, measured from the middle of the transom at the keel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Distance ahead of the transom.
    pub ahead_m: AheadM,
    /// Distance to starboard of the centerline; negative to port.
    pub starboard_m: StarboardM,
    /// Height above the keel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_m: Option<UpM>,
}

/// A raceway: a path for wire between two locations.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Raceway {
    /// Id of the raceway.
    pub id: RacewayId,
    /// The two locations it joins.
    pub between: [LocationId; 2],
    /// Its name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Its measured length; left out: from the positions of its two locations on the drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// Its inner diameter, for a tube or a hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore_mm: Option<SizeMm>,
    /// Its kind.
    pub kind: RacewayKind,
    /// Whether it runs through an engine space.
    #[serde(default, skip_serializing_if = "is_default")]
    pub engine_space: bool,
    /// Whether it holds water.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wet: bool,
    /// The condition it was found in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<Condition>,
    /// Whether a pull string was left in it at strip-out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_string: Option<PullString>,
}

/// The kind of a raceway.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RacewayKind {
    /// A rigging tube.
    Tube,
    /// An open tray.
    Tray,
    /// Under the gunwale.
    Gunwale,
    /// A hole through a bulkhead.
    Bulkhead,
}

/// The condition a raceway was found in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Clear and sound.
    Good,
    /// Usable, with something to repair: a sharp edge, a missing clip.
    Worn,
    /// Blocked: nothing more can be pulled through it.
    Blocked,
}

/// Whether a pull string lies in a raceway.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PullString {
    /// A pull string was left.
    Yes,
    /// None was left.
    No,
    /// None is needed: the raceway is open.
    NotNeeded,
}
