//! The pages of one job.

pub mod findings;
pub mod intake;
mod intake_form;
pub mod overview;
pub mod photos;
pub mod state;
pub mod undo;
