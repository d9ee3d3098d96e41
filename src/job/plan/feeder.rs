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

/// The side of the supply that a conductor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Polarity {
    /// The protected, ungrounded side.
    Positive,
    /// The return.
    Negative,
}

impl Polarity {
    /// The name of the polarity in files and pages.
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
    /// The label on its wire and lists; left out: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// The distribution point that the current comes from.
    pub from: PointId,
    /// The distribution point it leads to.
    pub to: PointId,
    /// The side of the supply it belongs to.
    pub polarity: Polarity,
    /// Its size; left out: the program chooses it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// Its insulation temperature rating.
    pub insulation_c: InsulationC,
    /// Its length one way; it overrides the length of the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The raceways it passes, from its beginning; left out: the program chooses them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<RacewayId>,
    /// Whether it lies in a jacket or enclosure over its whole length up to its protection.
    #[serde(default, skip_serializing_if = "is_default")]
    pub jacketed: bool,
    /// How many current-carrying conductors lie in its bundle, including itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Whether it feeds a cranking motor, which is left unprotected in practice.
    #[serde(default, skip_serializing_if = "is_default")]
    pub cranking: bool,
    /// Its color, as text; left out: red, or black for a negative.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub color: Option<Label>,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
}

impl Feeder {
    /// The label on its wire and lists: its own, or else its id.
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
    /// Its rating; left out: the program chooses it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// Its distance from the source of power, along the conductor. A charger limits its own current. So on
    /// its feeder the source of power is at the other end: the battery, or what leads to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_source_m: Option<LengthM>,
    /// Its interrupt rating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interrupt_a: Option<InterruptA>,
    /// The rating of its holder, if it sits in one of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holder_a: Option<RatingA>,
    /// Whether it is marked as ignition protected; left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition_protected: Option<bool>,
    /// Its own resistance, including its holder; left out: counted as zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance_mohm: Option<Milliohm>,
    /// The manufacturer's data for when it trips or blows.
    #[serde(default, skip_serializing_if = "is_default")]
    pub curve: ManufacturerCurve,
}

impl Protection {
    /// A protection of which only the kind is known.
    pub fn of(kind: Family) -> Self {
        Self {
            kind,
            rating_a: None,
            from_source_m: None,
            interrupt_a: None,
            holder_a: None,
            ignition_protected: None,
            resistance_mohm: None,
            curve: ManufacturerCurve::default(),
        }
    }

    /// The data for when it trips or blows, at its given or chosen rating. An impossible manufacturer's
    /// curve does not count.
    pub fn opener(&self, rating: ElectricCurrent) -> Opener {
        self.as_said(rating).believed()
    }

    /// The same, with the manufacturer's curve as given.
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

/// Two points of a manufacturer's time-current curve, for judging a surge and a short circuit.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ManufacturerCurve {
    /// A current that it carries for at least the given time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carries: Option<CurvePoint>,
    /// A current at which it trips or blows within the given time.
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
