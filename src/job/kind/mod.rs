//! The kinds of equipment a boat is fitted with, and what is usual for each.
//!
//! A kind has the figures that a plan needs before anybody has read a nameplate. Each figure has a source, and nearly
//! all are common practice. A device made from a kind is therefore a proposal: nothing about it counts as measured.
//! The data is in `catalog.toml`. A shop can add kinds of its own ([`Catalog::with`]).

mod catalog;
mod connection;
mod figure;
mod load;
mod location;
mod made;
mod model;
mod needs;
mod space;
mod use_of;

#[cfg(test)]
mod sound;
#[cfg(test)]
mod tests;

pub use catalog::{Catalog, CatalogError};
pub use connection::Connection;
pub use figure::{Cited, Figure};
pub use load::{FiguresAt, LoadRange, SupplyVolts};
pub use location::UsualLocation;
pub use model::Kind;
pub use needs::{CableNeed, Distribution, KindSetting};
pub use space::Space;
pub use use_of::{Duty, Feed, Group, Ignition};
