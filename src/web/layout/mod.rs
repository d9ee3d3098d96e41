//! The boat as a location: its plan from above, moving locations on it, and the ways of wires through it.

pub mod show;
pub mod spot;
pub mod ways;
