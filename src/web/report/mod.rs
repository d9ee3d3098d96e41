//! What the boat's customer takes home, and the log behind it.

mod annex;
mod left;
pub mod log;
mod proven;
pub mod show;
