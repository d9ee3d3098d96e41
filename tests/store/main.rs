//! The store on real databases: each test has a data folder of its own, freshly migrated, with keys that
//! start at another number in each table so that one cannot pass for another.

mod backup;
mod events;
mod fixture;
mod jobs;
mod people;
mod plan;
