//! Boards: flat areas that devices and points are mounted on, what each takes up there, and where.
//!
//! Measures on a board count from its upper left corner, to the right and down; measures on a part
//! from its own upper left corner as it stands upright. A part that is turned is turned a quarter
//! clockwise.

mod apart;
pub mod check;
pub mod parts;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::value::is_default;
use super::value::{AheadM, BoardId, GapMm, LocationId, Name, OnBoardMm, SizeMm, StarboardM, UpM};

/// A flat area at a location that parts are mounted on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// Id of the board.
    pub id: BoardId,
    /// Name of the board.
    pub name: Name,
    /// Where it is.
    pub location: LocationId,
    /// Its width.
    pub width_mm: SizeMm,
    /// Its height.
    pub height_mm: SizeMm,
    /// Its thickness; left out where parts go on the laminate itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<SizeMm>,
    /// Thickness of the laminate right behind it, which screws reach as well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laminate_mm: Option<SizeMm>,
    /// Where it stands in the boat; left out where no distance to a part on another board has to be known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stands: Option<Stands>,
}

/// Where a board stands in the boat: its upper left corner, seen from the front, and where its front looks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stands {
    /// That corner, ahead of the transom.
    pub ahead_m: AheadM,
    /// That corner, to starboard of the centerline; to port it is negative.
    pub starboard_m: StarboardM,
    /// That corner, above the keel.
    pub up_m: UpM,
    /// Where its front looks.
    pub faces: Faces,
}

/// Where the front of a board looks, and with it its right side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Faces {
    /// Aft: its right side is to starboard.
    Aft,
    /// Ahead: its right side is to port.
    Ahead,
    /// To port: its right side is aft.
    Port,
    /// To starboard: its right side is ahead.
    Starboard,
    /// Up: its upper edge is ahead, its right side to starboard.
    Up,
    /// Down, overhead: its upper edge is ahead, its right side to port.
    Down,
}

/// A side of a part as it stands upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Its upper side.
    Top,
    /// Its right side.
    Right,
    /// Its lower side.
    #[default]
    Bottom,
    /// Its left side.
    Left,
}

/// What a device or a point takes up where it is mounted, and what it asks of its surroundings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Footprint {
    /// Its width.
    pub width_mm: SizeMm,
    /// Its height.
    pub height_mm: SizeMm,
    /// Free ground that it asks for on every side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_mm: Option<GapMm>,
    /// The side its wires leave by.
    #[serde(default, skip_serializing_if = "is_bottom")]
    pub wires_leave: Side,
    /// Room that the bend of its wires takes on that side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire_bend_mm: Option<GapMm>,
    /// Thread of the screws it is held by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw_mm: Option<SizeMm>,
    /// Its holes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Hole>,
    /// Whether it has to stand upright.
    #[serde(default, skip_serializing_if = "is_default")]
    pub upright: bool,
    /// Whether it gets hot.
    #[serde(default, skip_serializing_if = "is_default")]
    pub hot: bool,
    /// Whether splashes do it no harm.
    #[serde(default, skip_serializing_if = "is_default")]
    pub splash_ok: bool,
    /// Whether it is a compass or has one in it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub compass: bool,
    /// How far its manufacturer wants it from a compass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compass_safe_mm: Option<GapMm>,
    /// Whether it has a magnet in it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub magnetic: bool,
}

/// A hole of a part, by its middle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// From the part's left edge.
    pub x_mm: OnBoardMm,
    /// From the part's upper edge.
    pub y_mm: OnBoardMm,
    /// Its diameter; left out: the pilot hole of the part's screws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub d_mm: Option<SizeMm>,
}

/// The board a part goes on, and where on it once that is settled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mounting {
    /// The board.
    pub board: BoardId,
    /// Where on it; left out: not settled yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Corner>,
}

/// Where a part is on its board.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// From the board's left edge to the part's left edge.
    pub x_mm: OnBoardMm,
    /// From the board's upper edge to the part's upper edge.
    pub y_mm: OnBoardMm,
    /// Whether the part is turned a quarter clockwise.
    #[serde(default, skip_serializing_if = "is_default")]
    pub turned: bool,
}

fn is_bottom(side: &Side) -> bool {
    *side == Side::Bottom
}
