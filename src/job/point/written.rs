//! A distribution point as files write it: flat, with the fields of its kind. Fields that do not fit are
//! errors.

use std::fmt;

use schemars::JsonSchema;
use serde::de::value::SeqAccessDeserializer;
use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;

use super::body::{AtSpeed, Bar, BatterySwitchKind, Panel, Position};
use super::kind::PointKind;
use crate::job::board::{Footprint, Mounting};
use crate::job::value::{
    CapacityAh, CurrentA, FloorPct, InternalMohm, LocationId, Name, NominalV, Peukert, PointId, RatingA, Rpm,
    SourceV, TabMm,
};
use crate::trade::energy::battery::Chemistry;
use crate::trade::terminal::Stud;

/// A distribution point in the job file: the fields of every kind in one object.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Id of the point.
    pub id: PointId,
    /// Name of the point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Its kind.
    pub kind: PointKind,
    /// Where it is mounted.
    pub location: LocationId,
    /// The stud that feeders land on. Circuits also land on it, unless a screw or tab is given for them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stud: Option<Stud>,
    /// The screw that circuits land on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw: Option<Stud>,
    /// The width of the tab that circuits push onto.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_mm: Option<TabMm>,
    /// Its total current rating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// Positions: a count, or the labeled positions of a switch panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub positions: Option<Positions>,
    /// The current rating of each position.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position_a: Option<RatingA>,
    /// The kind of a battery switch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch_kind: Option<BatterySwitchKind>,
    /// Nominal voltage of the side that a source feeds; left out: that of the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nominal_v: Option<NominalV>,
    /// Voltage of a source at rest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open_circuit_v: Option<SourceV>,
    /// Internal resistance of a source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub internal_mohm: Option<InternalMohm>,
    /// Capacity of a battery at the 20-hour rate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_ah: Option<CapacityAh>,
    /// Chemistry of a battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemistry: Option<Chemistry>,
    /// Cold cranking amperes of a battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cranking_a: Option<CurrentA>,
    /// Current of an engine's starter while it cranks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starter_a: Option<CurrentA>,
    /// The manufacturer's Peukert exponent; left out: the usual one of its chemistry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peukert: Option<Peukert>,
    /// The minimum state of charge that its manufacturer recommends; left out: the usual one of its
    /// chemistry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_pct: Option<FloorPct>,
    /// The voltage under load at which it counts as empty; left out: 1.75 V a cell for a lead-acid battery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_v: Option<SourceV>,
    /// Output current of an alternator at several engine speeds; left out: its rating.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub curve: Vec<AtSpeed>,
    /// What older files have instead of the curve: the output current of an alternator while its engine
    /// idles.
    #[serde(default, skip_serializing)]
    pub idle_a: Option<CurrentA>,
    /// Whether it is marked as ignition protected; left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition_protected: Option<bool>,
    /// Its footprint where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footprint: Option<Footprint>,
    /// The board it is mounted on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
}

/// The engine speed in revolutions per minute for idling, in plans from before the curve. Those plans state
/// only that the engine idles (from memory: outboards idle at 600 to 900).
pub const IDLE_RPM: f64 = 700.0;

/// Positions: a count, or a list with labels.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Positions {
    /// A count of positions without labels.
    Count(u16),
    /// The positions of a switch panel.
    Labeled(Vec<Position>),
}

/// Reads positions by the type of the value, so that an error inside the list names its own field.
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
        Deserialize::deserialize(SeqAccessDeserializer::new(list)).map(Positions::Labeled)
    }
}

impl<'de> Deserialize<'de> for Positions {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(PositionsIn)
    }
}

/// A distribution point whose fields do not fit its kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum WrongFields {
    /// A field that the kind requires.
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
    /// Labeled positions on a kind that has only a count.
    #[error("the field 'positions' of a {kind} is a count: expected a whole number")]
    NotCounted {
        /// The kind of point.
        kind: &'static str,
    },
    /// A curve with the same speed twice, or a curve together with the field that it replaced.
    #[error(
        "the field 'curve' has {0} twice: expected each speed of the engine once, and no 'idle_a' beside it"
    )]
    CurveTwice(String),
    /// A count of positions on a switch panel.
    #[error(
        "the field 'positions' of a switch-panel is a list: expected one object with a label for each position"
    )]
    NotLabeled,
}

impl Written {
    /// The fields with a value, besides id, name, kind and location.
    pub(super) fn filled(&self) -> impl Iterator<Item = &'static str> {
        [
            ("rating_a", self.rating_a.is_some()),
            ("positions", self.positions.is_some()),
            ("position_a", self.position_a.is_some()),
            ("nominal_v", self.nominal_v.is_some()),
            ("switch_kind", self.switch_kind.is_some()),
            ("open_circuit_v", self.open_circuit_v.is_some()),
            ("internal_mohm", self.internal_mohm.is_some()),
            ("capacity_ah", self.capacity_ah.is_some()),
            ("chemistry", self.chemistry.is_some()),
            ("cranking_a", self.cranking_a.is_some()),
            ("starter_a", self.starter_a.is_some()),
            ("peukert", self.peukert.is_some()),
            ("floor_pct", self.floor_pct.is_some()),
            ("low_v", self.low_v.is_some()),
            ("curve", !self.curve.is_empty() || self.idle_a.is_some()),
        ]
        .into_iter()
        .filter_map(|(field, filled)| filled.then_some(field))
    }

    pub(super) fn source_voltage(&self) -> Result<SourceV, WrongFields> {
        self.open_circuit_v.ok_or(WrongFields::Missing { field: "open_circuit_v", kind: self.kind.word() })
    }

    /// The curve with the slowest speed first.
    pub(super) fn curve(&self) -> Result<Vec<AtSpeed>, WrongFields> {
        let at_idle = |a| Some(AtSpeed { rpm: Rpm::try_from(IDLE_RPM).ok()?, a });
        let mut curve = self.curve.clone();
        match self.idle_a {
            Some(_) if !curve.is_empty() => {
                return Err(WrongFields::CurveTwice("what it gives at idle".to_owned()));
            }
            idle => curve.extend(idle.and_then(at_idle)),
        }
        curve.sort_by(|one, other| one.rpm.number().total_cmp(&other.rpm.number()));
        match curve.windows(2).find(|pair| pair[0].rpm == pair[1].rpm) {
            Some(pair) => Err(WrongFields::CurveTwice(format!("{} rpm", pair[0].rpm.number()))),
            None => Ok(curve),
        }
    }

    pub(super) fn bar(&self) -> Result<Bar, WrongFields> {
        let counted = |positions| Bar { rating_a: self.rating_a, positions, position_a: self.position_a };
        match &self.positions {
            None => Ok(counted(None)),
            Some(Positions::Count(count)) => Ok(counted(Some(*count))),
            Some(Positions::Labeled(_)) => Err(WrongFields::NotCounted { kind: self.kind.word() }),
        }
    }

    pub(super) fn panel(&self) -> Result<Panel, WrongFields> {
        match &self.positions {
            Some(Positions::Labeled(positions)) => {
                Ok(Panel { rating_a: self.rating_a, positions: positions.clone() })
            }
            Some(Positions::Count(_)) => Err(WrongFields::NotLabeled),
            None => Err(WrongFields::Missing { field: "positions", kind: self.kind.word() }),
        }
    }
}
