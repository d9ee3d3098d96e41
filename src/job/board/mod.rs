//! Boards: flat areas for mounting devices and distribution points, the footprint of each part, and its
//! position.
//!
//! Positions on a board count from its upper left corner, to the right and down. Positions on a part count
//! from its own upper left corner in its upright position. A turned part is turned a quarter clockwise.

mod apart;
pub mod check;
pub mod parts;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::value::is_default;
use super::value::{AheadM, BoardId, GapMm, LocationId, Name, OnBoardMm, SizeMm, StarboardM, UpM};

/// A flat area at a location, on which parts are mounted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// Id of the board.
    pub id: BoardId,
    /// Name of the board.
    pub name: Name,
    /// The location it is at.
    pub location: LocationId,
    /// Its width.
    pub width_mm: SizeMm,
    /// Its height.
    pub height_mm: SizeMm,
    /// Its thickness; left out if the parts are mounted on the laminate itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<SizeMm>,
    /// Thickness of the laminate directly behind it, which screws also reach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laminate_mm: Option<SizeMm>,
    /// Its position in the boat; left out if no distance to a part on another board is needed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stands: Option<Stands>,
}

/// The position of a board in the boat: its upper left corner, seen from the front, and where its front
/// faces.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stands {
    /// Distance of that corner ahead of the transom.
    pub ahead_m: AheadM,
    /// Distance of that corner to starboard of the centerline; negative to port.
    pub starboard_m: StarboardM,
    /// Height of that corner above the keel.
    pub up_m: UpM,
    /// The direction its front faces.
    pub faces: Faces,
}

/// The direction that the front of a board faces, which also decides where its right side is.
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

/// A side of a part in its upright position.
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

/// The space that a device or distribution point needs where it is mounted, and its needs there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Footprint {
    /// Its width.
    pub width_mm: SizeMm,
    /// Its height.
    pub height_mm: SizeMm,
    /// Clearance that it needs on every side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance_mm: Option<GapMm>,
    /// The side where its wires leave.
    #[serde(default, skip_serializing_if = "is_bottom")]
    pub wires_leave: Side,
    /// Space for the bend of its wires on that side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire_bend_mm: Option<GapMm>,
    /// Thread of the screws that hold it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw_mm: Option<SizeMm>,
    /// Its holes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Hole>,
    /// Whether it must be mounted upright.
    #[serde(default, skip_serializing_if = "is_default")]
    pub upright: bool,
    /// Whether it gets hot.
    #[serde(default, skip_serializing_if = "is_default")]
    pub hot: bool,
    /// Whether splashes do not harm it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub splash_ok: bool,
    /// Whether it is or contains a compass.
    #[serde(default, skip_serializing_if = "is_default")]
    pub compass: bool,
    /// The distance from a compass that its manufacturer requires.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compass_safe_mm: Option<GapMm>,
    /// Whether it contains a magnet.
    #[serde(default, skip_serializing_if = "is_default")]
    pub magnetic: bool,
}

/// A hole of a part, given by its center.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Distance from the part's left edge.
    pub x_mm: OnBoardMm,
    /// Distance from the part's upper edge.
    pub y_mm: OnBoardMm,
    /// Its diameter; left out: that of the pilot hole for the part's screws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub d_mm: Option<SizeMm>,
}

/// The board a part is mounted on, and its position there once decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mounting {
    /// The board.
    pub board: BoardId,
    /// Its position on the board; left out: not decided yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Corner>,
}

/// The position of a part on its board.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Distance from the board's left edge to the part's left edge.
    pub x_mm: OnBoardMm,
    /// Distance from the board's upper edge to the part's upper edge.
    pub y_mm: OnBoardMm,
    /// Whether the part is turned a quarter clockwise.
    #[serde(default, skip_serializing_if = "is_default")]
    pub turned: bool,
}

fn is_bottom(side: &Side) -> bool {
    *side == Side::Bottom
}
