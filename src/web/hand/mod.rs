//! A wire in the hand: the pages somebody holds while pulling, labeling and crimping.
//!
//! [`find`] is where one stands and looks a wire up, [`wire`] the page of one wire or cable and of each of its
//! ends;
//! [`record`] takes what is written down at an end, [`withdraw`] takes it back.

mod end;
mod facts;
pub mod find;
mod now;
pub mod record;
mod stand;
pub mod wire;
pub mod withdraw;
