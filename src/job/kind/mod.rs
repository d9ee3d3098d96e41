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
mod needs;
mod space;
mod use_of;

#[cfg(test)]
mod sound;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::plan::{Inrush, Purpose};
use super::point::SwitchKind;
use super::value::{DropPct, KindId, Label, LeastV, Name, Prose, RatingA, WeightKg, is_default};
use crate::trade::lights::LightKind;

pub use catalog::{Catalog, CatalogError};
pub use connection::Connection;
pub use figure::{Cited, Figure};
pub use load::{FiguresAt, LoadRange, SupplyVolts};
pub use location::UsualLocation;
pub use needs::{CableNeed, Distribution, KindSetting};
pub use space::Space;
pub use use_of::{Duty, Feed, Group, Ignition};

/// A kind of equipment: what it is called, and the figures that are usual for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// Id of the kind.
    pub id: KindId,
    /// Its name.
    pub name: Name,
    /// Other names that people type for it, in the singular.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<Name>,
    /// The label of its switch or fuse, as an owner would say it.
    pub label: Label,
    /// The group of circuits it belongs to.
    pub group: Group,
    /// How it is fed.
    #[serde(default, skip_serializing_if = "is_default")]
    pub feed: Feed,
    /// The kind of its switch, if it is not a plain one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch: Option<SwitchKind>,
    /// Where it is usually mounted, the most usual first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub usually_at: Vec<UsualLocation>,
    /// Other kinds that it does not work without.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub needs: Vec<KindId>,
    /// The voltages that it is made for.
    #[serde(default, skip_serializing_if = "is_default")]
    pub supply: SupplyVolts,
    /// The current it draws at 12 V while it works; left out if it draws none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<LoadRange>,
    /// The current it draws at 12 V while it starts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<Inrush>,
    /// The largest fuse that manufacturers usually allow, at 12 V.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max_fuse_a: Option<RatingA>,
    /// Its maximum voltage drop, in percent of nominal voltage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit_pct: Option<DropPct>,
    /// The least voltage that it needs, at 12 V.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_v: Option<LeastV>,
    /// Whether it is on for a short time only.
    #[serde(default, skip_serializing_if = "is_default")]
    pub short_time: bool,
    /// The share of the time that it draws its load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duty: Option<Duty>,
    /// How many separate supplies it takes, each with its own negative; left out: one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inputs: Option<u16>,
    /// Its signal cables and control wires.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cables: Vec<CableNeed>,
    /// How conductors are connected to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connection: Option<Connection>,
    /// What it is for, where that decides how it is fed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// Its function as a navigation light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<LightKind>,
    /// Whether it needs ignition protection, and whether it usually has it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub ignition: Ignition,
    /// Color of its positive wire by the table of the trade; left out: orange, an accessory feed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub color: Option<Label>,
    /// The space it needs where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub space: Option<Space>,
    /// Its weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight_kg: Option<WeightKg>,
    /// Whether it is fitted through the hull below the waterline.
    #[serde(default, skip_serializing_if = "is_default")]
    pub through_hull: bool,
    /// What must be set on it, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settings: Vec<KindSetting>,
    /// How to see that it works, in one sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test: Option<Prose>,
    /// What must not be switched on or done at its test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<Prose>,
    /// The laws that concern it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub laws: Vec<Cited>,
    /// The distribution point that it is, or that its output is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<Distribution>,
    /// The sources of figures that do not have the usual source ([`Figure::usual_source`]).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub marks: BTreeMap<Figure, Cited>,
}
