//! The pages of one job.

pub mod checked;
pub mod happened;
pub mod intake;
mod intake_form;
mod opened;
pub mod overview;

pub use happened::Happened;
pub use opened::Opened;
