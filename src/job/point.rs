//! Points: the places in the distribution where conductors meet.

use std::fmt;

use schemars::JsonSchema;
use serde::de::value::SeqAccessDeserializer;
use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;

use super::board::{Footprint, Mounting};
use super::value::{
    CapacityAh, CurrentA, FloorPct, Label, Milliohm, Name, Peukert, PlaceId, PointId, RatingA, SourceV, TabMm,
};
use crate::trade::terminal::Stud;

/// A place in the distribution where conductors meet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "Written", into = "Written")]
#[schemars(with = "Written")]
pub struct Point {
    /// Id of the point.
    pub id: PointId,
    /// Its name; the id where it has none.
    pub name: Option<Name>,
    /// Where it is mounted.
    pub place: PlaceId,
    /// The stud that feeders land on, and circuits as well where nothing else is said of them.
    pub stud: Option<Stud>,
    /// The screw that circuits land on.
    pub screw: Option<Stud>,
    /// The width of the tab that circuits are pushed on.
    pub tab_mm: Option<TabMm>,
    /// What it is.
    pub body: Body,
    /// What it takes up where it is mounted.
    pub footprint: Option<Footprint>,
    /// The board it goes on.
    pub mounting: Option<Mounting>,
}

impl Point {
    /// The name people call it by.
    pub fn called(&self) -> &str {
        self.name.as_ref().map_or(self.id.as_str(), Name::as_str)
    }
}

/// What a point is, with what only that kind has.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A battery: two posts with a source between them.
    Battery(Battery),
    /// A charger or alternator: a source that runs in some modes.
    Charger(Charger),
    /// A battery switch.
    BatterySwitch(Bar),
    /// A positive bus bar.
    PositiveBus(Bar),
    /// A negative bus bar.
    NegativeBus(Bar),
    /// A fuse block.
    FuseBlock(Bar),
    /// A switch panel.
    SwitchPanel(Panel),
    /// A junction bar: isolated positions, one a circuit.
    JunctionBar(Bar),
}

/// A battery.
#[derive(Debug, Clone, PartialEq)]
pub struct Battery {
    /// Voltage at rest.
    pub open_circuit_v: SourceV,
    /// Internal resistance; without it no short-circuit current is known.
    pub internal_mohm: Option<Milliohm>,
    /// Capacity at the 20-hour rate.
    pub capacity_ah: Option<CapacityAh>,
    /// What it is made of.
    pub chemistry: Option<Chemistry>,
    /// Cold cranking amperes.
    pub cranking_a: Option<CurrentA>,
    /// The maker's Peukert exponent.
    pub peukert: Option<Peukert>,
    /// The state of charge that its maker wants it kept above.
    pub floor_pct: Option<FloorPct>,
    /// The voltage under load at which it counts as empty.
    pub low_v: Option<SourceV>,
}

/// A charger or alternator.
#[derive(Debug, Clone, PartialEq)]
pub struct Charger {
    /// Voltage it regulates to.
    pub open_circuit_v: SourceV,
    /// Internal resistance.
    pub internal_mohm: Option<Milliohm>,
    /// Most current it gives.
    pub rating_a: Option<RatingA>,
    /// What the starter on the same posts draws while it cranks, where this is an engine.
    pub starter_a: Option<CurrentA>,
    /// What it gives while its engine idles.
    pub idle_a: Option<CurrentA>,
}

/// A bar, block or switch: a rating and, where it has them, numbered positions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bar {
    /// What it may carry in all.
    pub rating_a: Option<RatingA>,
    /// How many positions it has.
    pub positions: Option<u16>,
}

/// A switch panel.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Panel {
    /// What it may carry in all.
    pub rating_a: Option<RatingA>,
    /// Its positions, in order.
    pub positions: Vec<Position>,
}

/// A position of a switch panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// The label engraved or printed on it.
    pub label: Label,
    /// Whether the label can be changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engraved: Option<Engraved>,
    /// What switch sits there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch: Option<SwitchKind>,
    /// Whether a lamp shows that it is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub indicator: Option<bool>,
    /// What the switch may carry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// What is written beside each throw of a switch that is on both ways.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub throws: Vec<Label>,
}

impl Position {
    /// A position of which nothing but the label is known.
    pub fn labelled(label: Label) -> Self {
        Self { label, engraved: None, switch: None, indicator: None, rating_a: None, throws: Vec::new() }
    }
}

/// How a position's label is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Engraved {
    /// Engraved or printed: it stays.
    Fixed,
    /// A plate or insert: it can be exchanged.
    Free,
}

/// What a position of a switch panel is operated by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SwitchKind {
    /// On and off.
    OnOff,
    /// On while it is held.
    Momentary,
    /// On both ways, off in the middle.
    OnOffOn,
    /// A breaker that is switched by hand.
    Breaker,
}

impl SwitchKind {
    /// The switch in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::OnOff => "on, off",
            Self::Momentary => "momentary",
            Self::OnOffOn => "on, off, on",
            Self::Breaker => "breaker",
        }
    }
}

/// What a battery is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Chemistry {
    /// Flooded lead-acid.
    Flooded,
    /// Gel lead-acid.
    Gel,
    /// Absorbed glass mat lead-acid.
    Agm,
    /// Lithium iron phosphate.
    Lifepo4,
}

/// The kind of a point, as files, forms and the database write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// See [`Body::Battery`].
    Battery,
    /// See [`Body::Charger`].
    Charger,
    /// See [`Body::BatterySwitch`].
    BatterySwitch,
    /// See [`Body::PositiveBus`].
    PositiveBus,
    /// See [`Body::NegativeBus`].
    NegativeBus,
    /// See [`Body::FuseBlock`].
    FuseBlock,
    /// See [`Body::SwitchPanel`].
    SwitchPanel,
    /// See [`Body::JunctionBar`].
    JunctionBar,
}

/// A point as the job file writes it: every kind's fields side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Id of the point.
    pub id: PointId,
    /// Name of the point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// What it is.
    pub kind: Kind,
    /// Where it is mounted.
    pub place: PlaceId,
    /// The stud that feeders land on, and circuits as well where nothing else is said of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stud: Option<Stud>,
    /// The screw that circuits land on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw: Option<Stud>,
    /// The width of the tab that circuits are pushed on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_mm: Option<TabMm>,
    /// What it may carry in all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// Positions: a count, or the labelled positions of a switch panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub positions: Option<Positions>,
    /// Voltage of a source at rest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open_circuit_v: Option<SourceV>,
    /// Internal resistance of a source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub internal_mohm: Option<Milliohm>,
    /// Capacity of a battery at the 20-hour rate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_ah: Option<CapacityAh>,
    /// What a battery is made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemistry: Option<Chemistry>,
    /// Cold cranking amperes of a battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cranking_a: Option<CurrentA>,
    /// What the starter of an engine draws while it cranks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starter_a: Option<CurrentA>,
    /// The maker's Peukert exponent; the usual one of its kind where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peukert: Option<Peukert>,
    /// The state of charge that its maker wants it kept above; the usual one of its kind where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_pct: Option<FloorPct>,
    /// The voltage under load at which it counts as empty; 1.75 V a cell of a lead-acid battery where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_v: Option<SourceV>,
    /// What an alternator gives while its engine idles; its rating where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub idle_a: Option<CurrentA>,
    /// What it takes up where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footprint: Option<Footprint>,
    /// The board it goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
}

/// Positions: a count, or a list with labels.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Positions {
    /// So many positions without labels.
    Count(u16),
    /// The positions of a switch panel.
    Labelled(Vec<Position>),
}

/// Reads positions by what stands there, so that an error inside the list names its own field.
struct PositionsIn;

impl<'de> Visitor<'de> for PositionsIn {
    type Value = Positions;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a count of positions from 0 to 65535, or a list of positions with a label each")
    }

    fn visit_u64<E: serde::de::Error>(self, count: u64) -> Result<Positions, E> {
        let refused = |_| E::invalid_value(serde::de::Unexpected::Unsigned(count), &self);
        u16::try_from(count).map(Positions::Count).map_err(refused)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Positions, A::Error> {
        Deserialize::deserialize(SeqAccessDeserializer::new(list)).map(Positions::Labelled)
    }
}

impl<'de> Deserialize<'de> for Positions {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(PositionsIn)
    }
}

/// A point whose fields do not go with its kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum WrongFields {
    /// A field the kind cannot do without.
    #[error("the field '{field}' is missing: a {kind} needs it")]
    Missing {
        /// The field.
        field: &'static str,
        /// The kind of point.
        kind: &'static str,
    },
    /// A field the kind does not have.
    #[error("the field '{field}' does not go with a {kind}")]
    Foreign {
        /// The field.
        field: &'static str,
        /// The kind of point.
        kind: &'static str,
    },
    /// Labelled positions on what only has a count.
    #[error("the field 'positions' of a {kind} is a count: expected a whole number")]
    NotCounted {
        /// The kind of point.
        kind: &'static str,
    },
    /// A count of positions on a switch panel.
    #[error(
        "the field 'positions' of a switch-panel is a list: expected one object with a label for each position"
    )]
    NotLabelled,
}

impl Kind {
    /// Every kind, in the order of a supply: sources first.
    pub const ALL: [Self; 8] = [
        Self::Battery,
        Self::Charger,
        Self::BatterySwitch,
        Self::PositiveBus,
        Self::NegativeBus,
        Self::FuseBlock,
        Self::SwitchPanel,
        Self::JunctionBar,
    ];

    /// The kind as files and forms write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Battery => "battery",
            Self::Charger => "charger",
            Self::BatterySwitch => "battery-switch",
            Self::PositiveBus => "positive-bus",
            Self::NegativeBus => "negative-bus",
            Self::FuseBlock => "fuse-block",
            Self::SwitchPanel => "switch-panel",
            Self::JunctionBar => "junction-bar",
        }
    }

    /// The fields that go with the kind, beyond id, name, kind and place.
    pub fn fields(self) -> &'static [&'static str] {
        match self {
            Self::Battery => &[
                "open_circuit_v",
                "internal_mohm",
                "capacity_ah",
                "chemistry",
                "cranking_a",
                "peukert",
                "floor_pct",
                "low_v",
            ],
            Self::Charger => &["open_circuit_v", "internal_mohm", "rating_a", "starter_a", "idle_a"],
            _ => &["rating_a", "positions"],
        }
    }
}

impl Body {
    /// The kind without its data.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Battery(_) => Kind::Battery,
            Self::Charger(_) => Kind::Charger,
            Self::BatterySwitch(_) => Kind::BatterySwitch,
            Self::PositiveBus(_) => Kind::PositiveBus,
            Self::NegativeBus(_) => Kind::NegativeBus,
            Self::FuseBlock(_) => Kind::FuseBlock,
            Self::SwitchPanel(_) => Kind::SwitchPanel,
            Self::JunctionBar(_) => Kind::JunctionBar,
        }
    }

    /// What it may carry in all, where it is known.
    pub fn rating(&self) -> Option<RatingA> {
        match self {
            Self::Battery(_) => None,
            Self::Charger(charger) => charger.rating_a,
            Self::SwitchPanel(panel) => panel.rating_a,
            Self::BatterySwitch(bar)
            | Self::PositiveBus(bar)
            | Self::NegativeBus(bar)
            | Self::FuseBlock(bar)
            | Self::JunctionBar(bar) => bar.rating_a,
        }
    }

    /// How many positions it has, where it is known.
    pub fn position_count(&self) -> Option<usize> {
        match self {
            Self::Battery(_) | Self::Charger(_) => None,
            Self::SwitchPanel(panel) => Some(panel.positions.len()),
            Self::BatterySwitch(bar)
            | Self::PositiveBus(bar)
            | Self::NegativeBus(bar)
            | Self::FuseBlock(bar)
            | Self::JunctionBar(bar) => bar.positions.map(usize::from),
        }
    }
}

impl Written {
    /// The fields beyond id, name, kind and place that are filled in.
    fn filled(&self) -> impl Iterator<Item = &'static str> {
        [
            ("rating_a", self.rating_a.is_some()),
            ("positions", self.positions.is_some()),
            ("open_circuit_v", self.open_circuit_v.is_some()),
            ("internal_mohm", self.internal_mohm.is_some()),
            ("capacity_ah", self.capacity_ah.is_some()),
            ("chemistry", self.chemistry.is_some()),
            ("cranking_a", self.cranking_a.is_some()),
            ("starter_a", self.starter_a.is_some()),
            ("peukert", self.peukert.is_some()),
            ("floor_pct", self.floor_pct.is_some()),
            ("low_v", self.low_v.is_some()),
            ("idle_a", self.idle_a.is_some()),
        ]
        .into_iter()
        .filter_map(|(field, filled)| filled.then_some(field))
    }

    fn source_voltage(&self) -> Result<SourceV, WrongFields> {
        self.open_circuit_v.ok_or(WrongFields::Missing { field: "open_circuit_v", kind: self.kind.word() })
    }

    fn bar(&self) -> Result<Bar, WrongFields> {
        match &self.positions {
            None => Ok(Bar { rating_a: self.rating_a, positions: None }),
            Some(Positions::Count(count)) => Ok(Bar { rating_a: self.rating_a, positions: Some(*count) }),
            Some(Positions::Labelled(_)) => Err(WrongFields::NotCounted { kind: self.kind.word() }),
        }
    }

    fn panel(&self) -> Result<Panel, WrongFields> {
        match &self.positions {
            Some(Positions::Labelled(positions)) => {
                Ok(Panel { rating_a: self.rating_a, positions: positions.clone() })
            }
            Some(Positions::Count(_)) => Err(WrongFields::NotLabelled),
            None => Err(WrongFields::Missing { field: "positions", kind: self.kind.word() }),
        }
    }
}

impl TryFrom<Written> for Point {
    type Error = WrongFields;

    fn try_from(written: Written) -> Result<Self, WrongFields> {
        let kind = written.kind;
        if let Some(field) = written.filled().find(|field| !kind.fields().contains(field)) {
            return Err(WrongFields::Foreign { field, kind: kind.word() });
        }
        let body = match kind {
            Kind::Battery => Body::Battery(Battery {
                open_circuit_v: written.source_voltage()?,
                internal_mohm: written.internal_mohm,
                capacity_ah: written.capacity_ah,
                chemistry: written.chemistry,
                cranking_a: written.cranking_a,
                peukert: written.peukert,
                floor_pct: written.floor_pct,
                low_v: written.low_v,
            }),
            Kind::Charger => Body::Charger(Charger {
                open_circuit_v: written.source_voltage()?,
                internal_mohm: written.internal_mohm,
                rating_a: written.rating_a,
                starter_a: written.starter_a,
                idle_a: written.idle_a,
            }),
            Kind::BatterySwitch => Body::BatterySwitch(written.bar()?),
            Kind::PositiveBus => Body::PositiveBus(written.bar()?),
            Kind::NegativeBus => Body::NegativeBus(written.bar()?),
            Kind::FuseBlock => Body::FuseBlock(written.bar()?),
            Kind::SwitchPanel => Body::SwitchPanel(written.panel()?),
            Kind::JunctionBar => Body::JunctionBar(written.bar()?),
        };
        let Written { id, name, place, stud, screw, tab_mm, footprint, mounting, .. } = written;
        Ok(Self { id, name, place, stud, screw, tab_mm, body, footprint, mounting })
    }
}

impl From<Point> for Written {
    fn from(point: Point) -> Self {
        let blank = Self {
            kind: point.body.kind(),
            id: point.id,
            name: point.name,
            place: point.place,
            stud: point.stud,
            screw: point.screw,
            tab_mm: point.tab_mm,
            rating_a: point.body.rating(),
            positions: None,
            open_circuit_v: None,
            internal_mohm: None,
            capacity_ah: None,
            chemistry: None,
            cranking_a: None,
            starter_a: None,
            peukert: None,
            floor_pct: None,
            low_v: None,
            idle_a: None,
            footprint: point.footprint,
            mounting: point.mounting,
        };
        match point.body {
            Body::Battery(battery) => Self {
                open_circuit_v: Some(battery.open_circuit_v),
                internal_mohm: battery.internal_mohm,
                capacity_ah: battery.capacity_ah,
                chemistry: battery.chemistry,
                cranking_a: battery.cranking_a,
                peukert: battery.peukert,
                floor_pct: battery.floor_pct,
                low_v: battery.low_v,
                ..blank
            },
            Body::Charger(charger) => Self {
                open_circuit_v: Some(charger.open_circuit_v),
                internal_mohm: charger.internal_mohm,
                starter_a: charger.starter_a,
                idle_a: charger.idle_a,
                ..blank
            },
            Body::SwitchPanel(panel) => {
                Self { positions: Some(Positions::Labelled(panel.positions)), ..blank }
            }
            Body::BatterySwitch(bar)
            | Body::PositiveBus(bar)
            | Body::NegativeBus(bar)
            | Body::FuseBlock(bar)
            | Body::JunctionBar(bar) => Self { positions: bar.positions.map(Positions::Count), ..blank },
        }
    }
}
