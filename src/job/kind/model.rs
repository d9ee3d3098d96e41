//! A kind of equipment.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::connection::Connection;
use super::figure::{Cited, Figure};
use super::load::{FiguresAt, LoadRange, SupplyVolts, is_high};
use super::location::UsualLocation;
use super::needs::{CableNeed, Distribution, KindSetting};
use super::space::Space;
use super::use_of::{Duty, Feed, Group, Ignition};
use crate::job::plan::{Inrush, Purpose};
use crate::job::point::SwitchKind;
use crate::job::value::{
    DropPct, KindId, Label, LeastV, Name, NominalV, Prose, RatingA, WeightKg, is_default,
};
use crate::trade::lights::LightKind;
use crate::trade::source::Source;

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

impl Kind {
    /// Every name that it is typed by: its own name first.
    pub fn typed_names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(&self.name).chain(&self.names).map(|name| name.as_str())
    }

    /// Whether it only stands for the kinds that it needs, such as a set of navigation lights.
    pub fn is_set(&self) -> bool {
        self.load.is_none() && self.cables.is_empty() && self.point.is_none() && !self.needs.is_empty()
    }

    /// Whether a plan holds it as a device. A distribution point that draws nothing is none, nor is a fuse or breaker,
    /// which belongs to a wire.
    pub fn is_device(&self) -> bool {
        let draws_or_plugs = self.load.is_some() || !self.cables.is_empty();
        draws_or_plugs || !(self.point.is_some() || self.is_set() || self.group == Group::Distribution)
    }

    /// Whether it needs a side of 12 V on a boat of this voltage.
    pub fn needs_12_v(&self, nominal: NominalV) -> bool {
        self.supply == SupplyVolts::Only12 && is_high(nominal)
    }

    /// Its figures on a side of this nominal voltage. A kind for 12 V only has those of 12 V.
    ///
    /// A version for 24 V has the same power: half the current, and the next fuse over half the rating. A part for
    /// both voltages keeps its fuse and its least voltage.
    pub fn figures(&self, nominal: NominalV) -> FiguresAt {
        let at_12 = FiguresAt {
            load: self.load,
            start: self.start,
            max_fuse_a: self.max_fuse_a,
            least_v: self.least_v,
        };
        at_12.on_side(self.supply, nominal)
    }

    /// The source of a figure; `None` if the kind has no such figure.
    pub fn source_of(&self, figure: Figure) -> Option<&'static Source> {
        let own = self.marks.get(&figure).map(|cited| cited.0);
        self.has(figure).then(|| own.unwrap_or_else(|| figure.usual_source()))
    }

    /// Whether the kind has a figure.
    fn has(&self, figure: Figure) -> bool {
        match figure {
            Figure::Load => self.load.is_some(),
            Figure::Start => self.start.is_some(),
            Figure::MaxFuse => self.max_fuse_a.is_some(),
            Figure::DropLimit => self.drop_limit_pct.is_some(),
            Figure::LeastVolts => self.least_v.is_some(),
            Figure::Duty => self.duty.is_some(),
            Figure::Inputs => self.inputs.is_some(),
            Figure::Light => self.light.is_some(),
            Figure::Ignition => self.is_device(),
            Figure::Color => self.color.is_some(),
            Figure::Space => self.space.is_some(),
            Figure::Weight => self.weight_kg.is_some(),
            Figure::Point => self.point.is_some(),
        }
    }
}
