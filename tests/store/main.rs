//! The store on real databases: each test has a data folder of its own, freshly migrated, with keys that
//! start at another number in each table so that one cannot pass for another.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod backup;
mod command_line;
mod fixture;
mod imported;
mod jobs;
mod model;
mod people;
mod plan;
mod property;
mod records;
mod sealed;
mod undo;
mod upgrade;
mod work;
