//! No shape of a job within the limits aborts the program.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod files;
mod limits;
mod shapes;

#[path = "../hard_shapes/mod.rs"]
mod hard_shapes;
