//! Calculations of the whole supply: its diagram, its distribution and modes, its energy, its lights, its sizes.

pub mod energy;
pub mod lights;
pub mod one_line;
pub mod sizing;
mod sizing_row;
pub mod supply;
pub mod worksheet;
