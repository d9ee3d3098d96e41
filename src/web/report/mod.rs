//! The report for the customer, and the log.

mod annex;
mod left;
pub mod log;
mod proven;
mod said;
pub mod show;
