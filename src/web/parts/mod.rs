//! Pieces of page that several families show.

pub mod activity;
pub mod bench;
pub mod boat_plan;
pub mod corner;
pub mod finding;
pub mod fitting;
pub mod found;
pub mod labels;
pub mod linked;
pub mod measured;
pub mod photo;
pub mod proof;
pub mod pulls;
pub mod raceway;
pub mod relabel;
pub mod settled;
pub mod step;
pub mod switches;
pub mod take_back;
pub mod tick;
pub mod wire_row;
pub mod wires;
pub mod workings;
