//! The test of faults: what the program owes its people when the power goes, the disk fills, another
//! process sits on the database, the clock jumps back, or somebody sends more than a shop ever does.
//!
//! Where others are attacked, a bystander goes on with his day. His longest wait and the server's peak of memory are
//! printed: `tests/run --test faults -- --nocapture`.
//!
//! `DRIPLOOP_KILLS=2000 tests/run --test faults` tries longer than the 200 kills of an ordinary run. Half as many
//! restores are killed.

#![allow(clippy::expect_used, reason = "a test fails by panicking")]

#[path = "../shop_server/mod.rs"]
mod shop_server;

#[path = "../hard_shapes/mod.rs"]
mod hard_shapes;

mod bystander;
mod crowds;
mod heavy;
mod kills;
mod pictures;
mod restores;
mod surroundings;

/// How many kills are tried.
fn kills() -> u32 {
    std::env::var("DRIPLOOP_KILLS").map_or(200, |text| text.parse().expect("a number of kills"))
}
