//! The pages of one circuit and of one feeder, each with everything about it on one page.
//!
//! [`show`] is the circuit's page, [`feeder`] the feeder's. [`supposed`] reads the values that somebody wants
//! to try. [`what_if`] shows their effect and saves them on request.

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
