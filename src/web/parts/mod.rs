//! Pieces of page that several families show.

pub mod bench;
pub mod boat_plan;
pub mod factory;
pub mod finding;
pub mod fitting;
pub mod labels;
pub mod linked;
pub mod measured;
pub mod proof;
pub mod pulls;
pub mod relabel;
pub mod settled;
pub mod step;
pub mod switches;
pub mod wires;
