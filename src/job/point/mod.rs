//! Distribution points: where the conductors of the distribution meet.

mod body;
mod kind;
mod written;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::board::{Footprint, Mounting};
use super::value::{LocationId, Name, PointId, TabMm};
use crate::trade::terminal::Stud;

pub use body::{
    AtSpeed, Bar, Battery, BatterySwitch, BatterySwitchKind, Body, Charger, Converter, Engraved, Panel,
    Position, SwitchKind,
};
pub use kind::PointKind;
pub use written::{IDLE_RPM, Positions, Written, WrongFields};

/// A distribution point: where conductors of the distribution meet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "Written", into = "Written")]
#[schemars(with = "Written")]
pub struct Point {
    /// Id of the point.
    pub id: PointId,
    /// Its name; left out: its id.
    pub name: Option<Name>,
    /// Where it is mounted.
    pub location: LocationId,
    /// The stud that feeders land on. Circuits also land on it, unless a screw or tab is given for them.
    pub stud: Option<Stud>,
    /// The screw that circuits land on.
    pub screw: Option<Stud>,
    /// The width of the tab that circuits push onto.
    pub tab_mm: Option<TabMm>,
    /// Its kind, with the data of that kind.
    pub body: Body,
    /// Whether it is marked as ignition protected; `None` if not known.
    pub ignition_protected: Option<bool>,
    /// Its footprint where it is mounted.
    pub footprint: Option<Footprint>,
    /// The board it is mounted on.
    pub mounting: Option<Mounting>,
}

impl Point {
    /// The name for people: its name, or else its id.
    pub fn called(&self) -> &str {
        self.name.as_ref().map_or(self.id.as_str(), Name::as_str)
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
            PointKind::Battery => Body::Battery(Battery {
                nominal_v: written.nominal_v,
                open_circuit_v: written.source_voltage()?,
                internal_mohm: written.internal_mohm,
                capacity_ah: written.capacity_ah,
                chemistry: written.chemistry,
                cranking_a: written.cranking_a,
                peukert: written.peukert,
                floor_pct: written.floor_pct,
                low_v: written.low_v,
            }),
            PointKind::Charger => Body::Charger(Charger {
                nominal_v: written.nominal_v,
                open_circuit_v: written.source_voltage()?,
                internal_mohm: written.internal_mohm,
                rating_a: written.rating_a,
                starter_a: written.starter_a,
                curve: written.curve()?,
            }),
            PointKind::Converter => Body::Converter(Converter {
                nominal_v: written.nominal_v,
                open_circuit_v: written.source_voltage()?,
                internal_mohm: written.internal_mohm,
                rating_a: written.rating_a,
            }),
            PointKind::BatterySwitch => {
                Body::BatterySwitch(BatterySwitch { bar: written.bar()?, kind: written.switch_kind })
            }
            PointKind::PositiveBus => Body::PositiveBus(written.bar()?),
            PointKind::NegativeBus => Body::NegativeBus(written.bar()?),
            PointKind::FuseBlock => Body::FuseBlock(written.bar()?),
            PointKind::SwitchPanel => Body::SwitchPanel(written.panel()?),
            PointKind::JunctionBar => Body::JunctionBar(written.bar()?),
        };
        let Written { id, name, location, stud, screw, tab_mm, .. } = written;
        let Written { ignition_protected, footprint, mounting, .. } = written;
        Ok(Self { id, name, location, stud, screw, tab_mm, body, ignition_protected, footprint, mounting })
    }
}

impl From<Point> for Written {
    fn from(point: Point) -> Self {
        let blank = Self {
            kind: point.body.kind(),
            id: point.id,
            name: point.name,
            location: point.location,
            stud: point.stud,
            screw: point.screw,
            tab_mm: point.tab_mm,
            rating_a: point.body.rating(),
            position_a: point.body.position_rating(),
            ignition_protected: point.ignition_protected,
            positions: None,
            nominal_v: point.body.nominal(),
            switch_kind: None,
            open_circuit_v: None,
            internal_mohm: None,
            capacity_ah: None,
            chemistry: None,
            cranking_a: None,
            starter_a: None,
            peukert: None,
            floor_pct: None,
            low_v: None,
            curve: Vec::new(),
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
                curve: charger.curve,
                ..blank
            },
            Body::Converter(converter) => Self {
                open_circuit_v: Some(converter.open_circuit_v),
                internal_mohm: converter.internal_mohm,
                ..blank
            },
            Body::SwitchPanel(panel) => {
                Self { positions: Some(Positions::Labeled(panel.positions)), ..blank }
            }
            Body::BatterySwitch(BatterySwitch { bar, kind }) => {
                Self { positions: bar.positions.map(Positions::Count), switch_kind: kind, ..blank }
            }
            Body::PositiveBus(bar)
            | Body::NegativeBus(bar)
            | Body::FuseBlock(bar)
            | Body::JunctionBar(bar) => Self { positions: bar.positions.map(Positions::Count), ..blank },
        }
    }
}
