//! The pages of one job.

pub mod intake;
pub mod overview;
pub mod photos;
pub mod undo;
