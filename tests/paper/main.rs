//! The floor of paper: what comes out of the press, measured and read by other programs.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod code;
mod labels;
mod pdf;
mod template;
