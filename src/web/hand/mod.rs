//! A wire in the hand: the pages somebody holds while pulling, labelling and crimping.
//!
//! [`find`] is where one stands and looks a wire up, [`wire`] the page of one wire and of each of its ends.

pub mod find;
mod now;
mod stand;
pub mod wire;
