//! Open items: what was found on any thing and is not settled. The list of them is the punch list.
//!
//! [`list`] shows them, [`found`] adds one, [`closing`] closes one with what was done.

pub mod closing;
pub mod found;
pub mod list;
