//! The floor of the job: its file, wiring, check, steps and hold points.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod boards;
mod cables;
mod check;
mod colors;
mod crimp;
mod cut_cables;
mod events;
mod file;
mod fixture;
mod guarding;
mod labels;
mod length;
mod mounting;
mod moved;
mod panel;
mod properties;
mod routing;
mod sources;
mod statements;
mod termination;
mod wires;
mod wiring;
