//! The boat's layout: its plan from above, moving locations on it, and the routes of wires through it.

pub mod show;
pub mod spot;
pub mod ways;
