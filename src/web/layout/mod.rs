//! The boat's layout: its plan from above, moving locations on it, and the routes of wires through it.

pub mod position;
pub mod routes;
pub mod show;
