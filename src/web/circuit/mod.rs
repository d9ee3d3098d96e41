//! The pages of one circuit and of one feeder: the whole story of each, on one page.
//!
//! [`show`] is the circuit's page, [`feeder`] the feeder's. [`supposed`] reads what somebody would like to
//! try, [`what_if`] shows what would come of it and saves it when asked.

pub mod feeder;
mod figured;
mod figures;
pub mod keep;
mod path;
pub mod show;
mod stops;
mod story;
mod supposed;
pub mod what_if;
