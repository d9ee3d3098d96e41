//! What a point is, with what only that kind of point has.

use super::kind::PointKind;
use crate::job::value::{
    CapacityAh, CurrentA, FloorPct, InternalMohm, Label, Peukert, RatingA, Rpm, SourceV,
};
use crate::trade::energy::battery::Chemistry;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

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
    pub internal_mohm: Option<InternalMohm>,
    /// Capacity at the 20-hour rate.
    pub capacity_ah: Option<CapacityAh>,
    /// What it is made of.
    pub chemistry: Option<Chemistry>,
    /// Cold cranking amperes.
    pub cranking_a: Option<CurrentA>,
    /// The manufacturer's Peukert exponent.
    pub peukert: Option<Peukert>,
    /// The state of charge that its manufacturer wants it kept above.
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
    pub internal_mohm: Option<InternalMohm>,
    /// Most current it gives.
    pub rating_a: Option<RatingA>,
    /// What the starter on the same posts draws while it cranks, where this is an engine.
    pub starter_a: Option<CurrentA>,
    /// What an alternator gives at speeds of its engine, the slowest first.
    pub curve: Vec<AtSpeed>,
}

/// What an alternator gives at a speed of its engine.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AtSpeed {
    /// Turns of the engine a minute, not of the alternator, which its pulley makes faster.
    pub rpm: Rpm,
    /// What it gives.
    pub a: CurrentA,
}

impl Charger {
    /// The most it gives: with the engine at a speed by its curve, and never more than its rating.
    ///
    /// Between two points of the curve it is on the line between them; over the last no more than there, and under the
    /// first nothing, because a manufacturer's curve begins where an alternator begins to give. None where neither a curve
    /// nor a rating is known.
    pub fn gives(&self, engine: Option<Rpm>) -> Option<ElectricCurrent> {
        let rating = self.rating_a.map(|rating| rating.quantity());
        let by_curve = engine.filter(|_| !self.curve.is_empty()).map(|engine| self.by_curve(engine));
        match (by_curve, rating) {
            (Some(by_curve), Some(rating)) => Some(by_curve.min(rating)),
            (by_curve, rating) => by_curve.or(rating),
        }
    }

    fn by_curve(&self, engine: Rpm) -> ElectricCurrent {
        let amperes = |point: &AtSpeed| point.a.number();
        let (under, over): (Vec<_>, Vec<_>) = self.curve.iter().partition(|point| point.rpm <= engine);
        ElectricCurrent::new::<ampere>(match (under.last(), over.first()) {
            (None, _) => 0.0,
            (Some(under), None) => amperes(under),
            (Some(under), Some(over)) => {
                let part = (engine.number() - under.rpm.number()) / (over.rpm.number() - under.rpm.number());
                amperes(under) + part * (amperes(over) - amperes(under))
            }
        })
    }
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
    pub fn labeled(label: Label) -> Self {
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

impl Body {
    /// The kind without its data.
    pub fn kind(&self) -> PointKind {
        match self {
            Self::Battery(_) => PointKind::Battery,
            Self::Charger(_) => PointKind::Charger,
            Self::BatterySwitch(_) => PointKind::BatterySwitch,
            Self::PositiveBus(_) => PointKind::PositiveBus,
            Self::NegativeBus(_) => PointKind::NegativeBus,
            Self::FuseBlock(_) => PointKind::FuseBlock,
            Self::SwitchPanel(_) => PointKind::SwitchPanel,
            Self::JunctionBar(_) => PointKind::JunctionBar,
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
