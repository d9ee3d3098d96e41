//! The test of faults: what the program owes its people when the power goes, the disk fills, another
//! process sits on the database or the clock jumps back.
//!
//! `DRIPLOOP_KILLS=2000 tests/run --test faults` tries longer than the 200 kills of an ordinary run. Half as many
//! restores are killed.

#![allow(clippy::expect_used, reason = "a test fails by panicking")]

#[path = "../shop_server/mod.rs"]
mod shop_server;

mod kills;
mod restores;
mod surroundings;

/// How many kills are tried.
fn kills() -> u32 {
    std::env::var("DRIPLOOP_KILLS").map_or(200, |text| text.parse().expect("a number of kills"))
}
