//! The plan: locations, raceways, points, devices, circuits, feeders and modes, created, changed and removed.
//!
//! Every kind of thing has a file that says how its form is filled, read and shown ([`edit::Thing`]); the
//! handlers that create, change and remove are the same for all and stand in [`edit`]. A list page shows
//! the things of a kind as the trade sees them, each row leading to its form. [`file`](mod@file) takes a whole job in
//! as a job file and gives it out again.

pub mod board;
pub mod choices;
pub mod circuit;
pub mod circuits;
pub mod device;
pub mod devices;
pub mod edit;
pub mod feeder;
pub mod feeders;
pub mod file;
pub mod footprint;
pub mod location;
pub mod locations;
pub mod mode;
pub mod modes;
mod next_id;
pub mod point;
pub mod points;
mod protection;
pub mod raceway;
mod refusal;
pub mod removed;
pub mod removed_list;
pub mod routed;
pub mod row;
mod wire;
