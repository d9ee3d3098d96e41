//! Inputs and groups that the forms of several kinds share.

use std::str::FromStr;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::edit::Edit;
use crate::job::value::{
    BadValue, CurrentA, InsulationC, InterruptA, Label, LengthM, Milliohm, PlanLength, RacewayId, RatingA,
    Seconds, StarboardM,
};
use crate::trade::color;
use crate::trade::conductor::Size;
use crate::trade::protection::Family;
use crate::web::kit::form::declared::{FieldGroup, FieldRows, Input, RowLayout, TypedText, chosen, listed};
use crate::web::kit::form::{Refusal, word};
use crate::web::kit::length::LengthUnit;

/// The id: typed once, then fixed.
pub fn id<T: FromStr<Err: Refusal> + Serialize>() -> Input<Edit> {
    Input::fixed::<T>("id", "Id").required().hint("Short, for labels and lists. It cannot be changed later.")
}

/// A distance to either side of the centerline, as two inputs of one value: the distance and the side.
///
/// The value at `path` is positive to starboard and negative to port.
pub fn aside(path: &'static str, distance: &'static str, side: &'static str) -> [Input<Edit>; 2] {
    [
        Input::length::<Aside>(path, "From the centerline").named(distance).write_by(write_distance),
        Input::select::<BoatSide>(path, "To which side", |_| {
            listed(&[(BoatSide::Starboard, "Starboard"), (BoatSide::Port, "Port")])
        })
        .named(side)
        .write_by(write_side)
        .read_by(read_side)
        .beside(),
    ]
}

/// A side of the boat, seen facing forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum BoatSide {
    Port,
    Starboard,
}

/// A distance from the centerline without its side.
#[derive(Debug, Clone, Copy, Serialize)]
struct Aside(StarboardM);

impl TryFrom<f64> for Aside {
    type Error = BadValue;

    fn try_from(meters: f64) -> Result<Self, BadValue> {
        let bad = || BadValue { got: meters.to_string(), expected: "at most 5 m from the centerline" };
        let [least, most] = Self::LIMITS_M;
        let within = StarboardM::try_from(meters).ok().filter(|_| (least..=most).contains(&meters));
        within.map(Self).ok_or_else(bad)
    }
}

impl PlanLength for Aside {
    const WHAT: &'static str = "a distance from the centerline";
    const LIMITS_M: [f64; 2] = [0.0, StarboardM::LIMITS[1]];
}

fn write_distance(starboard: &Value, unit: LengthUnit) -> Option<String> {
    starboard.as_f64().map(|meters| unit.text(meters.abs()))
}

fn write_side(starboard: &Value, _: LengthUnit) -> Option<String> {
    word(if starboard.as_f64()? < 0.0 { BoatSide::Port } else { BoatSide::Starboard })
}

/// Adds the sign to the distance that was read before.
fn read_side(typed: &TypedText<'_>) -> Result<Value, String> {
    let side = chosen::<BoatSide>(typed)?;
    let sign = if side == "port" { -1.0 } else { 1.0 };
    Ok(typed.so_far.and_then(Value::as_f64).map_or(Value::Null, |meters| Value::from(sign * meters)))
}

/// The fuse or breaker of a circuit or a feeder.
pub fn protection() -> FieldGroup<Edit> {
    let both = "Give the current and the time, or neither.";
    FieldGroup::new("Fuse or breaker").inputs([
        Input::select::<Family>("protection.kind", "Kind", Edit::families)
            .needed("Choose what it is: the figures below need it."),
        Input::number::<RatingA>("protection.rating_a", "Rating", "A").hint("Empty: to be chosen"),
        Input::length::<LengthM>("protection.from_source_m", "Distance from the source")
            .help("fuses#distance-from-the-source")
            .hint("Along the wire. You can type 7 in or 18 cm.")
            .hint_in_feet("Along the wire. Such as 6 1/2 in"),
        Input::number::<InterruptA>("protection.interrupt_a", "Interrupt rating (AIC)", "A")
            .help("fuses#interrupt-rating")
            .hint("Printed on the part"),
        Input::number::<RatingA>("protection.holder_a", "Rating of its holder", "A")
            .hint("Where it sits in a holder of its own"),
        Input::answer("protection.ignition_protected", "Ignition protected").help("locations#vapor"),
        Input::number::<Milliohm>("protection.resistance_mohm", "Resistance with its holder", "m\u{2126}"),
        Input::number::<CurrentA>("protection.curve.carries.a", "Carries without blowing or tripping", "A")
            .help("fuses#time-current-curve")
            .named("protection.carries.a")
            .needed(both)
            .hint(
                "From the time-current curve, for a motor\u{2019}s start: a current no lower than the surge",
            ),
        Input::number::<Seconds>("protection.curve.carries.s", "Carries it for at least", "s")
            .named("protection.carries.s")
            .needed(both),
        Input::number::<CurrentA>("protection.curve.opens.a", "Blows or trips at", "A")
            .help("fuses#time-current-curve")
            .named("protection.opens.a")
            .needed(both)
            .hint("From the time-current curve, for a short circuit at the far end"),
        Input::number::<Seconds>("protection.curve.opens.s", "Blows or trips within", "s")
            .named("protection.opens.s")
            .needed(both),
    ])
}

/// The size of a wire.
pub fn size() -> Input<Edit> {
    Input::select::<Size>("size", "Size", |edit| edit.sizes("Choose it for me"))
}

/// The maximum temperature of a wire's insulation.
pub fn insulation() -> Input<Edit> {
    Input::number::<InsulationC>("insulation_c", "Insulation temperature rating", "\u{b0}C")
        .help("circuits#insulation-temperature-rating")
        .required()
        .hint("Printed on the jacket, such as 105")
}

/// A color of a wire.
pub fn wire_color(path: &'static str, label: &'static str) -> Input<Edit> {
    Input::text::<Label>(path, label)
        .suggest(|| color::TABLE.iter().map(|known| (known.color, known.of)).collect())
}

/// How many conductors are bundled.
pub fn bundle() -> Input<Edit> {
    Input::number::<u16>("bundle", "Conductors in its bundle", "")
        .help("circuits#bundle")
        .hint("Count those that carry current, its own included")
}

/// The route, if it is set by hand.
pub fn route(hint: &'static str) -> FieldGroup<Edit> {
    let raceway = Input::select::<RacewayId>("", "Raceway", Edit::raceways);
    let rows = FieldRows::new("route", RowLayout::Single, [raceway]).spare(2, "More raceways");
    FieldGroup::new("Route").hint(hint).rows(rows)
}
