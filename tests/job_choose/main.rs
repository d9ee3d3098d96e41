//! Sizes and ratings left open, chosen by the check itself.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod batteries;
mod boats;
mod exhaustive;
mod hopeless;
mod small_boat;
