//! The plan's pages through the router: what is created, changed, removed, refused, and read in from a file.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod boards;
mod change;
mod create;
mod file;
mod fixture;
mod layout;
mod lengths;
mod open_items;
mod proposed;
mod remove;
mod removed;
mod wishes;
