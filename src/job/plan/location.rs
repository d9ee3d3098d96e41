//! Locations on the boat and the raceways between them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{AheadM, LengthM, LocationId, Name, RacewayId, SizeMm, StarboardM, UpM};

/// A named spot on the boat where things are mounted or wires end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Location {
    /// Id of the location.
    pub id: LocationId,
    /// Name of the location.
    pub name: Name,
    /// Where it is on the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// From the mouth of a raceway to where wires land here; left out: as the job has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Whether it is in an engine space.
    #[serde(default, skip_serializing_if = "is_default")]
    pub engine_space: bool,
    /// Whether water reaches it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wet: bool,
    /// Whether it lies below the waterline, so that what is mounted there is sealed against the sea.
    #[serde(default, skip_serializing_if = "is_default")]
    pub below_waterline: bool,
    /// How many holes of the old fittings are left to close; left out: not counted yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub old_holes: Option<u16>,
    /// What closes them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_with: Option<HoleFill>,
}

/// What closes a hole that nothing uses any more.
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
    /// The means in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Plug => "a plug",
            Self::Sealant => "sealant",
            Self::Glass => "glass and resin",
        }
    }
}

impl Location {
    /// What there is to close at it, in words: `6 old holes, with glass and resin`.
    pub fn holes_to_close(&self) -> String {
        let count = match self.old_holes {
            None => "old holes not counted yet".to_owned(),
            Some(1) => "1 old hole".to_owned(),
            Some(many) => format!("{many} old holes"),
        };
        self.closed_with.map_or_else(|| count.clone(), |means| format!("{count}, with {}", means.words()))
    }
}

/// A spot on the boat, measured from the middle of the transom at the keel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Ahead of the transom.
    pub ahead_m: AheadM,
    /// To starboard of the centerline; to port it is negative.
    pub starboard_m: StarboardM,
    /// Above the keel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_m: Option<UpM>,
}

/// A way between two locations that wire can take.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Raceway {
    /// Id of the raceway.
    pub id: RacewayId,
    /// The two locations it joins.
    pub between: [LocationId; 2],
    /// What it is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Its measured length; left out: by where its two locations are on the drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// Its inner diameter, for a tube or a hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore_mm: Option<SizeMm>,
    /// What it is.
    pub kind: RacewayKind,
    /// Whether it runs through an engine space.
    #[serde(default, skip_serializing_if = "is_default")]
    pub engine_space: bool,
    /// Whether water stands or runs in it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wet: bool,
    /// What it was found like.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<Condition>,
    /// Whether a pull string was left in it at strip-out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_string: Option<PullString>,
}

/// What a raceway is.
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

/// What a raceway was found like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Clear and sound.
    Good,
    /// Usable, with something to mend: a sharp edge, a missing clip.
    Worn,
    /// Nothing more can be pulled through it.
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
    /// None is needed: the way is open.
    NotNeeded,
}
