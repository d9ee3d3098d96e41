//! Driploop: one binary that carries a boat's strip-out and rewire from intake to the customer's report.
//!
//! The floors, from the ground up; a floor never names one above it:
//!
//! - [`cli`]: the command line.
//! - [`web`]: the pages.
//! - [`paper`]: documents as PDF.
//! - [`drawing`]: drawings as SVG.
//! - [`store`]: the shop's SQLite file, the only floor with SQL.
//! - [`shop`]: rules across jobs: people and their roles.
//! - [`job`]: the job as plain data, its phases, gates and ticks, and the job file.
//! - [`trade`]: the computations of the trade, pure, without I/O.

pub mod cli;
pub mod drawing;
pub mod job;
pub mod paper;
pub mod shop;
pub mod store;
pub mod trade;
pub mod web;
