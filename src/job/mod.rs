//! The job as plain data, its phases, its events and the job file.
//!
//! [`plan::Plan`] is what was planned, [`event::History`] what happened; everything else on this
//! floor is derived from the two, without clock, database or web.

pub mod event;
pub mod load;
pub mod phase;
pub mod point;
pub mod step;
pub mod subject;
pub mod value;
