//! Boards: whether parts fit, keep their distances, and are held by their screws.
//!
//! Lengths are millimeters as `f64`, because boards are drawn and cut in millimeters. This module uses no
//! other unit of length.

mod pack;
mod part;
mod rect;
mod screw;
mod solid;
mod spacing;

pub use pack::{EXACT, LaidItem, Looks, Packing, Rectangle, pack, pack_within, to_move};
pub use part::{BoardPart, GroundKind, PartSide};
pub use rect::Rect;
pub use screw::{Ground, Hold, SCREWS, Screw, hold};
pub use solid::{Extent, Solid};
pub use spacing::{Apart, compass_between, heat_between, may_disturb, splash};
