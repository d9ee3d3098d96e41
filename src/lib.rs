//! Driploop: one binary that carries a boat's strip-out and rewire from intake to the owner's report.
//!
//! The floors, from the ground up; a floor never names one above it:
//!
//! - [`trade`]: the computations of the trade, pure, without I/O.

pub mod trade;
