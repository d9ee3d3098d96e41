//! The SQLite database: the only layer with SQL.
//!
//! [`Store::read`] returns a view for reading, and [`Store::write`] a transaction in a person's name. Every
//! function of this layer takes one of them. So nothing can be changed outside a transaction or without a line in
//! the log.
//!
//! A plan is stored as items and a history as records. Both are documents of any kind ([`item`], [`record`]). A
//! [`ChangeSet`] changes several items at once, and [`undo`] undoes any change by its number.
//!
//! Data that forms edit is [`Versioned`]: a save that started from an older version is refused, and the present
//! state is returned. Changes, records and the log are only added to; the database itself enforces this. Nothing
//! here reads a clock.

pub mod backup;
mod change;
mod change_rows;
mod column;
mod customer;
pub mod deletion;
pub mod doctor;
mod document;
mod error;
pub mod file;
pub mod folder;
pub mod grants;
mod hash;
pub mod item;
pub mod job_size;
pub mod job_state;
pub mod job_summary;
pub mod jobs;
pub mod keys;
pub mod labels;
pub mod log;
mod manifest;
pub mod mark;
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
pub mod turns;
pub mod undo;
mod upgrade;
mod versioned;
pub mod work;

pub use change::ChangeSet;
pub use column::{JobId, PersonId, PhotoId, SignInId, Version};
pub use error::{Error, Result, Stale};
pub use hash::Hashed;
pub use manifest::{Entry, Manifest};
pub use pool::{Actor, Store, Write, known_schema};
pub use token::Token;
pub use versioned::Versioned;
