//! Boards: what goes on each, to scale, with what the checks say, a layout proposed, and a template to drill by.

pub mod drill;
pub mod list;
pub mod place;
pub mod show;
