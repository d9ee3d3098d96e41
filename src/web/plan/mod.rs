//! The plan: locations, raceways, distribution points, devices, circuits, feeders and modes: add, change, remove.
//!
//! Every kind of thing has a file that declares its form ([`edit::Thing`]): each field once, with its path in the
//! job file, its label and its type. This one list fills, reads and shows the form. The handlers that create,
//! change and remove are the same for all kinds, in [`edit`]. A list page shows the things of one kind; each row
//! leads to its form. [`wishes`] adds devices of usual kinds from a list. [`file`](mod@file) imports a whole job from
//! a job file and exports it.

mod added;
pub mod board;
pub mod choices;
pub mod circuit;
pub mod circuits;
#[cfg(test)]
mod corrections;
pub mod device;
pub mod devices;
pub mod edit;
pub mod feeder;
pub mod feeders;
pub mod file;
pub mod footprint;
mod inputs;
pub mod location;
pub mod locations;
pub mod measure;
mod measured;
pub mod mode;
pub mod modes;
mod next_id;
pub mod point;
pub mod points;
mod proposal_form;
mod proposal_rows;
pub mod propose;
pub mod raceway;
mod refusal;
pub mod removed;
pub mod removed_list;
pub mod routed;
pub mod row;
#[cfg(test)]
mod tests;
mod wire;
mod wished;
pub mod wishes;
