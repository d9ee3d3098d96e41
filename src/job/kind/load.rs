//! The currents of a kind of equipment, and how they follow from the voltage of its side.

use serde::{Deserialize, Serialize};
use thiserror::Error;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use crate::job::load::Load;
use crate::job::plan::Inrush;
use crate::job::value::{CurrentA, LeastV, LoadOhm, NominalV, PowerW, RatingA};
use crate::trade::protection::Family;

/// From this nominal voltage on, V, a side counts as one of 24 V.
const HIGH_FROM_V: f64 = 18.0;

/// The voltages that a kind is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SupplyVolts {
    /// One version for 12 V and one for 24 V, of the same power.
    #[default]
    EachVoltage,
    /// The same part works at 12 V and at 24 V.
    Wide,
    /// For 12 V only: a boat of 24 V needs a converter for it.
    #[serde(rename = "only-12")]
    Only12,
}

/// The load of small, usual and large devices of a kind, while they work.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "WrittenLoad", into = "WrittenLoad")]
pub struct LoadRange {
    /// That of a small one.
    pub low: Load,
    /// That of the usual one.
    pub typical: Load,
    /// That of a large one.
    pub high: Load,
}

/// A load in the catalog: `{ a = [1, 4, 8] }`, `{ w = [..] }` or `{ ohm = [..] }`, each small, usual, large.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLoad {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    a: Option<[CurrentA; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    w: Option<[PowerW; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ohm: Option<[LoadOhm; 3]>,
}

/// A load that is not written as the catalog needs it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum BadLoadRange {
    /// None or several of the three figures.
    #[error("a load takes one of a, w and ohm, with three figures")]
    Figures,
    /// A usual device draws less than a small one, or a large one less than the usual one.
    #[error("the three figures of a load are those of a small, a usual and a large device")]
    Order,
}

impl TryFrom<WrittenLoad> for LoadRange {
    type Error = BadLoadRange;

    fn try_from(written: WrittenLoad) -> Result<Self, BadLoadRange> {
        let loads = match written {
            WrittenLoad { a: Some(a), w: None, ohm: None } => a.map(Load::ConstantCurrent),
            WrittenLoad { a: None, w: Some(w), ohm: None } => w.map(Load::ConstantPower),
            WrittenLoad { a: None, w: None, ohm: Some(ohm) } => ohm.map(Load::Resistance),
            _ => return Err(BadLoadRange::Figures),
        };
        let [low, typical, high] = loads;
        let rises = loads.map(|load| at(load, 12.0)).is_sorted();
        if rises { Ok(Self { low, typical, high }) } else { Err(BadLoadRange::Order) }
    }
}

impl From<LoadRange> for WrittenLoad {
    /// The three loads of a range are of one kind. So the figures are those of this kind.
    fn from(LoadRange { low, typical, high }: LoadRange) -> Self {
        match (low, typical, high) {
            (Load::ConstantCurrent(low), Load::ConstantCurrent(typical), Load::ConstantCurrent(high)) => {
                Self { a: Some([low, typical, high]), ..Self::default() }
            }
            (Load::ConstantPower(low), Load::ConstantPower(typical), Load::ConstantPower(high)) => {
                Self { w: Some([low, typical, high]), ..Self::default() }
            }
            (Load::Resistance(low), Load::Resistance(typical), Load::Resistance(high)) => {
                Self { ohm: Some([low, typical, high]), ..Self::default() }
            }
            _ => Self::default(),
        }
    }
}

/// The current of a load at a voltage, A.
fn at(load: Load, volts: f64) -> f64 {
    load.current_at(ElectricPotential::new::<volt>(volts)).get::<ampere>()
}

impl LoadRange {
    /// The same load for each of the three.
    pub fn exactly(load: Load) -> Self {
        Self { low: load, typical: load, high: load }
    }

    fn map(self, change: impl Fn(Load) -> Load) -> Self {
        Self { low: change(self.low), typical: change(self.typical), high: change(self.high) }
    }
}

/// The figures of a kind at the voltage of its side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FiguresAt {
    /// The current it draws.
    pub load: Option<LoadRange>,
    /// The current it draws while it starts.
    pub start: Option<Inrush>,
    /// The largest fuse.
    pub max_fuse_a: Option<RatingA>,
    /// The least voltage.
    pub least_v: Option<LeastV>,
}

impl FiguresAt {
    /// These figures of 12 V on a side of this nominal voltage.
    pub(super) fn on_side(self, supply: SupplyVolts, nominal: NominalV) -> Self {
        match supply {
            _ if !is_high(nominal) => self,
            SupplyVolts::Only12 => self,
            SupplyVolts::Wide => Self { load: doubled(self.load), start: halved(self.start), ..self },
            SupplyVolts::EachVoltage => Self {
                load: doubled(self.load),
                start: halved(self.start),
                max_fuse_a: self.max_fuse_a.map(half_fuse),
                least_v: self.least_v.map(|least| scaled(least, 2.0)),
            },
        }
    }

    /// These figures of a device on a side of this nominal voltage, as those of its version for 12 V.
    pub(super) fn as_of_12_v(self, nominal: NominalV) -> Self {
        if !is_high(nominal) {
            return self;
        }
        Self {
            load: self.load.map(|range| range.map(|load| at_other_voltage(load, 0.5))),
            start: self.start.map(|start| Inrush { a: scaled(start.a, 2.0), ..start }),
            max_fuse_a: self.max_fuse_a.map(|rating| scaled(rating, 2.0)),
            least_v: self.least_v.map(|least| scaled(least, 0.5)),
        }
    }
}

/// Whether a side counts as one of 24 V.
pub(super) fn is_high(nominal: NominalV) -> bool {
    nominal.number() >= HIGH_FROM_V
}

fn doubled(load: Option<LoadRange>) -> Option<LoadRange> {
    load.map(|range| range.map(|load| at_other_voltage(load, 2.0)))
}

/// A load of the same power at so many times the voltage.
fn at_other_voltage(load: Load, times: f64) -> Load {
    match load {
        Load::ConstantCurrent(current) => Load::ConstantCurrent(scaled(current, 1.0 / times)),
        Load::ConstantPower(power) => Load::ConstantPower(power),
        Load::Resistance(resistance) => Load::Resistance(scaled(resistance, times * times)),
    }
}

fn halved(start: Option<Inrush>) -> Option<Inrush> {
    start.map(|start| Inrush { a: scaled(start.a, 0.5), ..start })
}

/// The value times a factor; the value itself where the field does not accept that.
fn scaled<T: TryFrom<f64> + Into<f64> + Copy>(value: T, factor: f64) -> T {
    T::try_from(value.into() * factor).unwrap_or(value)
}

/// The standard rating next over half of a rating.
fn half_fuse(rating: RatingA) -> RatingA {
    let half = rating.number() / 2.0;
    let families = [Family::BladeFuse, Family::BoltDownFuse, Family::LargeBoltDownFuse];
    let made = families.into_iter().flat_map(|family| family.made().iter().copied());
    made.filter(|made| *made >= half)
        .min_by(f64::total_cmp)
        .and_then(|made| made.try_into().ok())
        .unwrap_or(rating)
}
