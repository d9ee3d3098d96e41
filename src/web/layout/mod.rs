//! The boat as a place: its plan from above, and moving places on it.

pub mod drawn;
pub mod show;
pub mod spot;
