//! The space that a kind of equipment needs where it is mounted.

use serde::{Deserialize, Serialize};

use crate::job::board::{Footprint, Side};
use crate::job::value::{GapMm, SizeMm, is_default};

/// The space that a kind needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Space {
    /// Its width, its height, and its depth behind or before the board.
    pub mm: [SizeMm; 3],
    /// Clearance that it needs on every side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_mm: Option<GapMm>,
    /// Space for the bend of its wires.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bend_mm: Option<GapMm>,
    /// Thread of the screws that hold it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw_mm: Option<SizeMm>,
    /// Whether it is cut into a dash or wall instead of standing on a board.
    #[serde(default, skip_serializing_if = "is_default")]
    pub flush: bool,
    /// Whether it must be mounted upright.
    #[serde(default, skip_serializing_if = "is_default")]
    pub upright: bool,
    /// Whether it gets hot.
    #[serde(default, skip_serializing_if = "is_default")]
    pub hot: bool,
    /// Whether splashes do not harm it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub splash_ok: bool,
    /// Whether it contains a compass.
    #[serde(default, skip_serializing_if = "is_default")]
    pub compass: bool,
    /// The usual distance from a compass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compass_safe_mm: Option<GapMm>,
    /// Whether it contains a magnet.
    #[serde(default, skip_serializing_if = "is_default")]
    pub magnetic: bool,
}

impl Space {
    /// Its footprint on a board. Its holes are not known before the part is there.
    pub fn footprint(&self) -> Footprint {
        let [width_mm, height_mm, _] = self.mm;
        Footprint {
            width_mm,
            height_mm,
            clearance_mm: self.clear_mm,
            wires_leave: Side::Bottom,
            wire_bend_mm: self.bend_mm,
            screw_mm: self.screw_mm,
            holes: Vec::new(),
            upright: self.upright,
            hot: self.hot,
            splash_ok: self.splash_ok,
            compass: self.compass,
            compass_safe_mm: self.compass_safe_mm,
            magnetic: self.magnetic,
        }
    }
}
