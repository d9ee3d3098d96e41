//! Driploop: one program for a boat's strip-out and rewire, from intake to the customer's report.
//!
//! The layers, from top to bottom. A layer never uses one above it.
//!
//! - [`cli`]: the command line.
//! - [`web`]: the pages.
//! - [`paper`]: documents as PDF.
//! - [`drawing`]: drawings as SVG.
//! - [`store`]: the shop's SQLite file, the only layer with SQL.
//! - [`shop`]: rules across jobs: people and their roles.
//! - [`job`]: the job as plain data, its phases, hold points and ticks, and the job file.
//! - [`trade`]: the calculations of the trade: pure functions without I/O.

pub mod cli;
pub mod drawing;
pub mod job;
pub mod paper;
pub mod shop;
pub mod store;
pub mod trade;
pub mod web;
