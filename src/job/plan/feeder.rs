//! Feeders between points, and the fuse or breaker at the head of a feeder or circuit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::f64::ElectricCurrent;

use crate::job::value::is_default;
use crate::job::value::{
    CurrentA, FeederId, InsulationC, InterruptA, Label, LengthM, Milliohm, PointId, RacewayId, RatingA,
    Seconds,
};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;
use crate::trade::protection::opening::{self, Opener};

/// Which side of the supply a conductor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Polarity {
    /// The protected, ungrounded side.
    Positive,
    /// The return.
    Negative,
}

impl Polarity {
    /// The polarity as files and pages write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Positive => "positive",
            Self::Negative => "negative",
        }
    }
}

/// A conductor between two points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feeder {
    /// Id of the feeder.
    pub id: FeederId,
    /// What its wire and lists show; left out: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// The point the current comes from.
    pub from: PointId,
    /// The point it goes to.
    pub to: PointId,
    /// Which side it belongs to.
    pub polarity: Polarity,
    /// Its size; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// What its insulation stands.
    pub insulation_c: InsulationC,
    /// Its length one way; it overrides the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The raceways it takes, from its beginning on; left out: choose them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<RacewayId>,
    /// Whether it lies in a jacket or enclosure all the way to its protection.
    #[serde(default, skip_serializing_if = "is_default")]
    pub jacketed: bool,
    /// How many current-carrying conductors lie in its bundle, itself counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Whether it feeds a cranking motor, which practice leaves unprotected.
    #[serde(default, skip_serializing_if = "is_default")]
    pub cranking: bool,
    /// Its color, in words; left out: red, or black of a negative.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub color: Option<Label>,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
}

impl Feeder {
    /// What its wire and lists show: its label, or else its id.
    pub fn label_text(&self) -> &str {
        self.label.as_ref().map_or(self.id.as_str(), Label::as_str)
    }
}

/// A fuse or breaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Its family.
    pub kind: Family,
    /// Its rating; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// How far along the conductor it sits from the source of power. A charger limits its own current, so that
    /// on its feeder the source of power is the battery, or what leads to it, at the other end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_source_m: Option<LengthM>,
    /// The current it can interrupt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interrupt_a: Option<InterruptA>,
    /// Its own resistance with its holder; none counted where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance_mohm: Option<Milliohm>,
    /// What its manufacturer says of when it opens.
    #[serde(default, skip_serializing_if = "is_default")]
    pub curve: ManufacturerCurve,
}

impl Protection {
    /// One of which nothing but its kind is known.
    pub fn of(kind: Family) -> Self {
        Self {
            kind,
            rating_a: None,
            from_source_m: None,
            interrupt_a: None,
            resistance_mohm: None,
            curve: ManufacturerCurve::default(),
        }
    }

    /// What tells when it opens, at the rating it has or gets; a manufacturer's curve that cannot be so does not count.
    pub fn opener(&self, rating: ElectricCurrent) -> Opener {
        self.as_said(rating).believed()
    }

    /// The same with the manufacturer's curve as it is given.
    pub fn as_said(&self, rating: ElectricCurrent) -> Opener {
        let point =
            |said: CurvePoint| opening::TimeAtCurrent { current: said.a.quantity(), time: said.s.quantity() };
        Opener {
            family: self.kind,
            rating,
            carries: self.curve.carries.map(point),
            opens: self.curve.opens.map(point),
        }
    }
}

/// Two points of a manufacturer's curve, by which a surge and a short circuit are judged.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ManufacturerCurve {
    /// A current that it carries, at least for the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carries: Option<CurvePoint>,
    /// A current at which it has opened, at the latest after the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opens: Option<CurvePoint>,
}

/// A current and a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    /// The current.
    pub a: CurrentA,
    /// The time.
    pub s: Seconds,
}
