//! Boards: the parts of each, to scale, with the findings, a proposed layout, and a drilling template.

pub mod drill;
pub mod list;
pub mod place;
pub mod show;
