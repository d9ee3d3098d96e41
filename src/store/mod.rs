//! SQLite: the only floor with SQL, one file per aggregate.
//!
//! [`Store::read`] gives a view to read from, [`Store::write`] a transaction in somebody's name; the
//! functions of the aggregates take one or the other, so nothing can be changed outside a transaction or
//! without a line in the log. Rows that forms edit are [`Versioned`]: a save that started from an older
//! version is refused with what is there now. Ticks, readings, releases and the log are only ever added
//! to, which the database itself enforces. Nothing here reads a clock.

pub mod backup;
pub mod boards;
mod cables;
pub mod circuits;
mod column;
mod curves;
pub mod devices;
pub mod doctor;
mod edit;
mod error;
pub mod events;
mod extras;
pub mod feeders;
pub mod file;
pub mod folder;
mod hash;
pub mod history;
pub mod jobs;
pub mod keys;
pub mod labels;
mod lists;
pub mod locations;
pub mod log;
mod manifest;
pub mod modes;
mod mounted;
pub mod people;
pub mod photos;
pub mod plan;
pub mod points;
mod pool;
pub mod raceways;
pub mod removed;
pub mod restore;
mod routes;
pub mod shop;
pub mod sign_in;
pub mod switch;
mod token;
pub mod undo;
mod versioned;

pub use column::{JobId, PersonId, PhotoId, SignInId, Version};
pub use error::{Error, Stale};
pub use hash::Hashed;
pub use manifest::{Entry, Manifest};
pub use pool::{Actor, Store, Write, known_schema};
pub use token::Token;
pub use versioned::Versioned;

/// What a function of the store gives back.
pub type Result<T, E = Error> = std::result::Result<T, E>;
