//! The floor of the job: its file, wiring, check, steps and hold points.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod boards;
mod cables;
mod check;
mod choice;
mod colors;
mod connections;
mod crimp;
mod cut_cables;
mod diagnose;
mod file;
mod fixture;
mod guarding;
mod labels;
mod length;
mod mounting;
mod open_items;
mod panel;
mod properties;
mod report;
mod routing;
mod sources;
mod statements;
mod steps;
mod supports;
mod termination;
mod trials;
mod verdicts;
mod wires;
mod wiring;
mod work;
#[path = "../worker/mod.rs"]
mod worker;
mod worksheet;
