//! The store on real databases: each test has a data folder of its own, freshly migrated, with keys that
//! start at another number in each table so that one cannot pass for another.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod alternators;
mod backup;
mod command_line;
mod events;
mod fixture;
mod internal_resistance;
mod jobs;
mod people;
mod plan;
mod property;
mod renumbered;
mod undo;
