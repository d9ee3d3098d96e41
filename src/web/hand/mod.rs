//! Work on a wire: the pages that a person uses while pulling, labeling and crimping.
//!
//! [`my_work`] is the first page of a technician. [`find`] is the page to choose a location and find a wire. [`wire`] is the page of one wire or cable and of each
//! of its ends. [`record`] stores what is recorded at an end, [`withdraw`] undoes it.

mod end;
mod facts;
pub mod find;
mod held;
pub mod my_work;
mod now;
mod quiet;
pub mod record;
mod stand;
pub mod wire;
pub mod withdraw;
