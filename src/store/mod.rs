//! SQLite: the only floor with SQL.
//!
//! [`Store::read`] gives a view to read from, [`Store::write`] a transaction in somebody's name; the
//! functions of this floor take one or the other, so nothing can be changed outside a transaction or
//! without a line in the log. A plan is kept as items and a history as records, both documents of any kind
//! ([`item`], [`record`]); a [`ChangeSet`] changes several items at once, and [`undo`] undoes any change by its
//! number. What forms edit is [`Versioned`]: a save that started from an older version is refused with what is
//! there now. Changes, records and the log are only ever added to, which the database itself enforces. Nothing
//! here reads a clock.

pub mod backup;
mod change;
mod change_rows;
mod column;
mod customer;
pub mod doctor;
mod document;
mod error;
pub mod file;
pub mod folder;
mod hash;
pub mod item;
pub mod jobs;
pub mod keys;
pub mod labels;
pub mod log;
mod manifest;
pub mod people;
pub mod photos;
pub mod plan;
mod pool;
pub mod record;
pub mod restore;
mod row;
pub mod shop;
pub mod sign_in;
pub mod switch;
mod token;
pub mod undo;
mod upgrade;
mod versioned;

pub use change::ChangeSet;
pub use column::{JobId, PersonId, PhotoId, SignInId, Version};
pub use error::{Error, Result, Stale};
pub use hash::Hashed;
pub use manifest::{Entry, Manifest};
pub use pool::{Actor, Store, Write, known_schema};
pub use token::Token;
pub use versioned::Versioned;
