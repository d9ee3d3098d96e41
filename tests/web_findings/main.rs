//! What holds a boat, on the floor and in the list of its findings.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

#[path = "../boat_shop/mod.rs"]
mod boat_shop;
mod floor;
mod list;
mod shop;
mod stories;
#[path = "../worker/mod.rs"]
mod worker;
