//! A real browser at work: the whole job from intake to report, and every page on three sizes of screen.
//!
//! Screenshots go to `target/screens`, for people to look at.

#![allow(clippy::expect_used, reason = "a test fails by panicking")]

#[path = "../shop_server/mod.rs"]
mod shop_server;

mod boat_plan;
mod driver;
mod kept;
mod offline;
mod pages;
mod taps;
mod walk;
mod wifi;
