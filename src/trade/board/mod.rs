//! Boards: whether parts fit, keep their distances, and are held by their screws.
//!
//! Measures are millimeters as `f64`, as boards are drawn and cut: everything here is lengths of one kind.

mod pack;
mod part;
mod rect;
mod screw;
mod solid;
mod spacing;

pub use pack::{EXACT, Item, Laid, Packing, pack, to_move};
pub use part::{Part, Room, Side};
pub use rect::Rect;
pub use screw::{Ground, Hold, SCREWS, Screw, hold};
pub use solid::{Range, Solid};
pub use spacing::{Apart, compass_between, heat_between, splash};
