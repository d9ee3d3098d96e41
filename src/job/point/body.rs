//! The kind of a distribution point, with the data that only this kind has.

use super::kind::PointKind;
use crate::job::value::{
    CapacityAh, CurrentA, FloorPct, InternalMohm, Label, NominalV, Peukert, RatingA, Rpm, SourceV,
};
use crate::trade::energy::battery::{Chemistry, SupposedResistance, supposed_resistance};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCharge, ElectricCurrent, ElectricalResistance};

/// The kind of a distribution point, with the data that only this kind has.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A battery: a source between two posts.
    Battery(Battery),
    /// A charger or alternator: a source that runs in some modes.
    Charger(Charger),
    /// A converter between two voltages, as the source on its output side.
    Converter(Converter),
    /// A battery switch.
    BatterySwitch(BatterySwitch),
    /// A positive bus bar.
    PositiveBus(Bar),
    /// A negative bus bar.
    NegativeBus(Bar),
    /// A fuse block.
    FuseBlock(Bar),
    /// A switch panel.
    SwitchPanel(Panel),
    /// A junction bar: isolated positions, one per circuit.
    JunctionBar(Bar),
}

/// A battery.
#[derive(Debug, Clone, PartialEq)]
pub struct Battery {
    /// Nominal voltage of its side of the boat; left out: that of the job.
    pub nominal_v: Option<NominalV>,
    /// Voltage at rest.
    pub open_circuit_v: SourceV,
    /// Internal resistance; left out, it is supposed ([`Battery::supposed`]).
    pub internal_mohm: Option<InternalMohm>,
    /// Capacity at the 20-hour rate.
    pub capacity_ah: Option<CapacityAh>,
    /// Its chemistry.
    pub chemistry: Option<Chemistry>,
    /// Cold cranking amperes.
    pub cranking_a: Option<CurrentA>,
    /// The manufacturer's Peukert exponent.
    pub peukert: Option<Peukert>,
    /// The minimum state of charge that its manufacturer recommends.
    pub floor_pct: Option<FloorPct>,
    /// The voltage under load at which it counts as empty.
    pub low_v: Option<SourceV>,
}

impl Battery {
    /// Its internal resistance, given or supposed.
    pub fn internal(&self) -> Option<ElectricalResistance> {
        let given = self.internal_mohm.map(InternalMohm::quantity);
        given.or_else(|| self.supposed().map(|supposed| supposed.resistance))
    }

    /// The internal resistance that is supposed from its other figures if it is not given.
    pub fn supposed(&self) -> Option<SupposedResistance> {
        if self.internal_mohm.is_some() {
            return None;
        }
        let (cranking, capacity) = (self.cranking_a.map(CurrentA::quantity), self.capacity_ah);
        let capacity = capacity.map(|given| ElectricCharge::new::<ampere_hour>(given.number()));
        supposed_resistance(self.chemistry, cranking, capacity, self.open_circuit_v.quantity())
    }
}

/// A charger or alternator.
#[derive(Debug, Clone, PartialEq)]
pub struct Charger {
    /// Nominal voltage of its side of the boat; left out: that of the job.
    pub nominal_v: Option<NominalV>,
    /// Voltage that it regulates to.
    pub open_circuit_v: SourceV,
    /// Internal resistance.
    pub internal_mohm: Option<InternalMohm>,
    /// Maximum output current.
    pub rating_a: Option<RatingA>,
    /// Current of the starter on the same posts while it cranks, if this point is an engine.
    pub starter_a: Option<CurrentA>,
    /// Output current of an alternator at several engine speeds, the slowest first.
    pub curve: Vec<AtSpeed>,
}

/// Output current of an alternator at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AtSpeed {
    /// Revolutions per minute of the engine. The alternator itself turns faster because of its pulley.
    pub rpm: Rpm,
    /// The output current.
    pub a: CurrentA,
}

impl Charger {
    /// The maximum output current at an engine speed: from its curve, and never more than its rating.
    ///
    /// Between two points of the curve it is interpolated linearly. Above the last point it stays at that
    /// current. Below the first point it is zero, because a manufacturer's curve begins where an alternator
    /// begins to charge. `None` if neither a curve nor a rating is known.
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

/// The output of a converter between two voltages. Its input is a device on the other side.
#[derive(Debug, Clone, PartialEq)]
pub struct Converter {
    /// Nominal voltage of its output side; left out: that of the job.
    pub nominal_v: Option<NominalV>,
    /// Output voltage.
    pub open_circuit_v: SourceV,
    /// Internal resistance; left out: none, because it regulates its output.
    pub internal_mohm: Option<InternalMohm>,
    /// Maximum output current.
    pub rating_a: Option<RatingA>,
}

/// A bar, block or switch: its rating and, if it has them, its number of positions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bar {
    /// Its total current rating.
    pub rating_a: Option<RatingA>,
    /// How many positions it has.
    pub positions: Option<u16>,
    /// The current rating of each position.
    pub position_a: Option<RatingA>,
}

/// A battery switch.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatterySwitch {
    /// Its rating and positions.
    pub bar: Bar,
    /// Which batteries it can join; `None` if not known.
    pub kind: Option<BatterySwitchKind>,
}

/// The kinds of battery switch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BatterySwitchKind {
    /// One contact: on and off.
    OnOff,
    /// Battery 1, battery 2, or both joined, to one output.
    OneTwoBoth,
    /// Two contacts that switch together, and a position that joins them.
    DualCircuit,
}

impl BatterySwitchKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::OnOff, Self::OneTwoBoth, Self::DualCircuit];

    /// The text for this kind.
    pub fn words(self) -> &'static str {
        match self {
            Self::OnOff => "on, off",
            Self::OneTwoBoth => "1, 2, both, off",
            Self::DualCircuit => "dual circuit with a combine position",
        }
    }

    /// Whether it keeps two batteries apart in normal use.
    pub fn parts_batteries(self) -> bool {
        self != Self::OnOff
    }
}

/// A switch panel.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Panel {
    /// Its total current rating.
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
    /// The kind of switch there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch: Option<SwitchKind>,
    /// Whether a lamp shows that it is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub indicator: Option<bool>,
    /// How many separate circuits its contacts switch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub poles: Option<u16>,
    /// The current rating of the switch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// The label beside each throw of a switch with two on positions.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub throws: Vec<Label>,
}

impl Position {
    /// A position with only a label.
    pub fn labeled(label: Label) -> Self {
        Self {
            label,
            engraved: None,
            switch: None,
            indicator: None,
            poles: None,
            rating_a: None,
            throws: Vec::new(),
        }
    }
}

/// How the label of a position is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Engraved {
    /// Engraved or printed: it cannot be changed.
    Fixed,
    /// A plate or insert: it can be replaced.
    Free,
}

/// The kind of switch on a position of a switch panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SwitchKind {
    /// On and off.
    OnOff,
    /// On while someone holds it.
    Momentary,
    /// On in both throws, off in the middle.
    OnOffOn,
    /// A breaker that also serves as the switch.
    Breaker,
}

impl SwitchKind {
    /// The text for this kind of switch.
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
            Self::Converter(_) => PointKind::Converter,
            Self::BatterySwitch(_) => PointKind::BatterySwitch,
            Self::PositiveBus(_) => PointKind::PositiveBus,
            Self::NegativeBus(_) => PointKind::NegativeBus,
            Self::FuseBlock(_) => PointKind::FuseBlock,
            Self::SwitchPanel(_) => PointKind::SwitchPanel,
            Self::JunctionBar(_) => PointKind::JunctionBar,
        }
    }

    /// The nominal voltage that a source states for its side.
    pub fn nominal(&self) -> Option<NominalV> {
        match self {
            Self::Battery(battery) => battery.nominal_v,
            Self::Charger(charger) => charger.nominal_v,
            Self::Converter(converter) => converter.nominal_v,
            _ => None,
        }
    }

    /// Its total current rating, if known.
    pub fn rating(&self) -> Option<RatingA> {
        match self {
            Self::Battery(_) => None,
            Self::Charger(charger) => charger.rating_a,
            Self::Converter(converter) => converter.rating_a,
            Self::SwitchPanel(panel) => panel.rating_a,
            Self::BatterySwitch(switch) => switch.bar.rating_a,
            Self::PositiveBus(bar)
            | Self::NegativeBus(bar)
            | Self::FuseBlock(bar)
            | Self::JunctionBar(bar) => bar.rating_a,
        }
    }

    /// The current rating of each position, if it has one and it is known.
    pub fn position_rating(&self) -> Option<RatingA> {
        match self {
            Self::Battery(_) | Self::Charger(_) | Self::Converter(_) | Self::SwitchPanel(_) => None,
            Self::BatterySwitch(switch) => switch.bar.position_a,
            Self::PositiveBus(bar)
            | Self::NegativeBus(bar)
            | Self::FuseBlock(bar)
            | Self::JunctionBar(bar) => bar.position_a,
        }
    }

    /// How many positions it has, if known.
    pub fn position_count(&self) -> Option<usize> {
        match self {
            Self::Battery(_) | Self::Charger(_) | Self::Converter(_) => None,
            Self::SwitchPanel(panel) => Some(panel.positions.len()),
            Self::BatterySwitch(switch) => switch.bar.positions.map(usize::from),
            Self::PositiveBus(bar)
            | Self::NegativeBus(bar)
            | Self::FuseBlock(bar)
            | Self::JunctionBar(bar) => bar.positions.map(usize::from),
        }
    }
}
