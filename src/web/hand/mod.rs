//! A wire in the hand: the pages somebody holds while pulling, labeling and crimping.
//!
//! [`find`] is where one stands and looks a wire up, [`wire`] the page of one wire and of each of its ends,
//! [`cable`] that of a factory cable;
//! [`record`] takes what is written down at an end, [`withdraw`] takes it back.

pub mod cable;
mod end;
pub mod find;
mod now;
pub mod record;
mod stand;
pub mod wire;
pub mod withdraw;
