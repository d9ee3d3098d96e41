//! What holds a boat, on the floor and in the list of its findings.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod floor;
mod list;
mod shop;
#[path = "../worker/mod.rs"]
mod worker;
