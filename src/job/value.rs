//! The typed values of a job: ids, names, and quantities with bounds.
//!
//! Each bound is declared once, with the text of the error when a file or a form breaks it.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Error, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;
use uom::si::f64::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Force, Length, Mass, Power,
    Ratio, ThermodynamicTemperature, Time,
};
use uom::si::{
    angular_velocity::revolution_per_minute, electric_current::ampere, electric_potential::volt,
    electrical_resistance::milliohm, electrical_resistance::ohm, force::newton, length::meter,
    length::millimeter, mass::kilogram, power::watt, ratio::percent, ratio::ratio,
    thermodynamic_temperature::degree_celsius, time::hour, time::second,
};

/// A value that its field does not accept.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("'{got}' is not valid here: expected {expected}")]
pub struct BadValue {
    /// What was given.
    pub got: String,
    /// What was expected, as a text.
    pub expected: &'static str,
}

/// Reads a number. For anything else the error gives what this field expects.
struct NumberIn<T> {
    words: &'static str,
    make: fn(f64) -> Result<T, BadValue>,
}

impl<T> Visitor<'_> for NumberIn<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<T, E> {
        (self.make)(number).map_err(E::custom)
    }

    // A whole number above 2^53 loses its last digits here, but it is far outside every bound.
    #[allow(clippy::cast_precision_loss)]
    fn visit_u64<E: Error>(self, number: u64) -> Result<T, E> {
        self.visit_f64(number as f64)
    }

    #[allow(clippy::cast_precision_loss)]
    fn visit_i64<E: Error>(self, number: i64) -> Result<T, E> {
        self.visit_f64(number as f64)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        Err(E::custom(BadValue { got: text.to_owned(), expected: self.words }))
    }
}

/// Reads a text. For anything else the error gives what this field expects.
struct TextIn<T> {
    words: &'static str,
    make: fn(String) -> Result<T, BadValue>,
}

impl<T> Visitor<'_> for TextIn<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        (self.make)(text.to_owned()).map_err(E::custom)
    }
}

/// Declares numbers with a unit and bounds: `Name = Quantity in unit, low..=high, "words";`.
macro_rules! bounded {
    ($($(#[$doc:meta])* $name:ident = $quantity:ident in $unit:ident, $low:literal..=$high:literal, $words:literal;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
        #[serde(into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// The lowest and the highest number that the field accepts.
            pub const LIMITS: [f64; 2] = [$low, $high];

            /// The number in the unit of the field.
            pub fn number(self) -> f64 {
                self.0
            }

            /// The physical quantity.
            pub fn quantity(self) -> $quantity {
                $quantity::new::<$unit>(self.0)
            }
        }

        impl TryFrom<f64> for $name {
            type Error = BadValue;

            fn try_from(number: f64) -> Result<Self, BadValue> {
                // This also refuses NaN, which is in no range.
                if ($low..=$high).contains(&number) {
                    Ok(Self(number))
                } else {
                    Err(BadValue { got: number.to_string(), expected: $words })
                }
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(NumberIn { words: $words, make: Self::try_from })
            }
        }

        impl FromStr for $name {
            type Err = BadValue;

            /// Reads a number as people type it, with a decimal comma or a decimal point.
            fn from_str(text: &str) -> Result<Self, BadValue> {
                let bad = || BadValue { got: text.to_owned(), expected: $words };
                let number: f64 = text.trim().replace(',', ".").parse().map_err(|_| bad())?;
                Self::try_from(number).map_err(|_| bad())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({"type": "number", "minimum": $low, "maximum": $high, "description": $words})
            }
        }
    )+};
}

/// A length of the plan in meters, with its limits for an error in the reader's units.
pub trait PlanLength: TryFrom<f64, Error = BadValue> {
    /// What it is: `a boat's beam`.
    const WHAT: &'static str;

    /// Its lowest and its highest number of meters.
    const LIMITS_M: [f64; 2];
}

/// Declares what each length is.
macro_rules! plan_lengths {
    ($($name:ident, $what:literal;)+) => {$(
        impl PlanLength for $name {
            const WHAT: &'static str = $what;
            const LIMITS_M: [f64; 2] = Self::LIMITS;
        }
    )+};
}

plan_lengths! {
    BoatLengthM, "a boat's length";
    BeamM, "a boat's beam";
    LengthM, "a length";
    AheadM, "a distance ahead of the transom";
    UpM, "a height above the keel";
}

bounded! {
    /// Length of a boat in meters.
    BoatLengthM = Length in meter, 2.0..=30.0, "a boat's length in meters from 2 to 30";
    /// Beam of a boat in meters.
    BeamM = Length in meter, 0.5..=10.0, "a boat's beam in meters from 0.5 to 10";
    /// Length of wire or raceway in meters; 0 for locations that touch.
    LengthM = Length in meter, 0.0..=200.0, "a length in meters from 0 to 200";
    /// Distance ahead of the transom; negative for an outboard's bracket behind it.
    AheadM = Length in meter, -3.0..=30.0, "meters ahead of the transom from -3 to 30";
    /// Distance to starboard of the centerline; negative to port.
    StarboardM = Length in meter, -5.0..=5.0, "meters to starboard of the centerline from -5 (port) to 5";
    /// Height above the keel.
    UpM = Length in meter, 0.0..=15.0, "meters above the keel from 0 to 15";
    /// A bore, a side or a thickness in millimeters.
    SizeMm = Length in millimeter, 0.1..=10000.0, "a size in millimeters from 0.1 to 10000";
    /// Clearance or distance in millimeters.
    GapMm = Length in millimeter, 0.0..=3000.0, "a distance in millimeters from 0 to 3000";
    /// Distance from an edge of its board or part, in millimeters.
    OnBoardMm = Length in millimeter, 0.0..=10000.0, "millimeters from the edge from 0 to 10000";
    /// Nominal voltage of the boat's direct current.
    NominalV = ElectricPotential in volt, 6.0..=60.0, "a nominal direct voltage in volts from 6 to 60";
    /// Voltage of a source.
    SourceV = ElectricPotential in volt, 1.0..=80.0, "a source voltage in volts from 1 to 80";
    /// The least voltage that a device needs.
    LeastV = ElectricPotential in volt, 1.0..=80.0, "a least voltage in volts from 1 to 80";
    /// A current that a load draws or a source supplies.
    CurrentA = ElectricCurrent in ampere, 0.001..=2000.0, "a current in amperes from 0.001 to 2000";
    /// Rating of a fuse, a breaker or a distribution point.
    RatingA = ElectricCurrent in ampere, 0.1..=2000.0, "a rating in amperes from 0.1 to 2000";
    /// Interrupt rating of a fuse or breaker.
    InterruptA = ElectricCurrent in ampere, 10.0..=200000.0, "an interrupting rating in amperes from 10 to 200000";
    /// Speed of an engine.
    Rpm = AngularVelocity in revolution_per_minute, 100.0..=10000.0, "an engine's speed in turns a minute from 100 to 10000";
    /// Power of a load.
    PowerW = Power in watt, 0.001..=50000.0, "a power in watts from 0.001 to 50000";
    /// Resistance of a load.
    LoadOhm = ElectricalResistance in ohm, 0.0001..=1000000.0, "a load resistance in ohms from 0.0001 to 1000000";
    /// Resistance of a contact or a fuse.
    Milliohm = ElectricalResistance in milliohm, 0.0..=10000.0, "a resistance in milliohms from 0 to 10000";
    /// Internal resistance of a source. It is never zero: such a source would drive any current into a short
    /// circuit.
    InternalMohm = ElectricalResistance in milliohm, 0.01..=10000.0, "an internal resistance in milliohms from 0.01 to 10000, or nothing where it is not known";
    /// Ambient temperature.
    AmbientC = ThermodynamicTemperature in degree_celsius, -20.0..=80.0, "a temperature in C from -20 to 80";
    /// Insulation temperature rating of a conductor.
    InsulationC = ThermodynamicTemperature in degree_celsius, 60.0..=200.0, "an insulation temperature in C from 60 to 200";
    /// Capacity of a battery at its 20-hour rate, in ampere-hours.
    CapacityAh = Ratio in ratio, 1.0..=5000.0, "a capacity in ampere-hours from 1 to 5000";
    /// A Peukert exponent.
    Peukert = Ratio in ratio, 1.0..=2.0, "a Peukert exponent from 1 to 2";
    /// Minimum state of charge of a bank in percent.
    FloorPct = Ratio in percent, 0.0..=95.0, "a state of charge in percent from 0 to 95";
    /// A drop limit in percent of nominal voltage.
    DropPct = Ratio in percent, 0.1..=20.0, "a voltage drop in percent from 0.1 to 20";
    /// Allowance for bends and trimming of a wire, in percent.
    WastePct = Ratio in percent, 0.0..=100.0, "a waste in percent from 0 to 100";
    /// A share of time or load.
    Share = Ratio in ratio, 0.0..=1.0, "a share from 0 to 1";
    /// Hours of one day.
    Hours = Time in hour, 0.0..=24.0, "hours from 0 to 24";
    /// Seconds of a short event, such as a motor's start.
    Seconds = Time in second, 0.001..=600.0, "seconds from 0.001 to 600";
    /// Speed of a boat in knots.
    SpeedKn = Ratio in ratio, 0.5..=100.0, "a speed in knots from 0.5 to 100";
    /// A meter's volts; negative with reversed leads.
    MeterV = ElectricPotential in volt, -80.0..=80.0, "a reading in volts from -80 to 80";
    /// A meter's amperes.
    MeterA = ElectricCurrent in ampere, -2000.0..=2000.0, "a reading in amperes from -2000 to 2000";
    /// A meter's ohms.
    MeterOhm = ElectricalResistance in ohm, 0.0..=100000000.0, "a reading in ohms from 0 to 100000000";
    /// Width of a tab that a push-on terminal sits on.
    TabMm = Length in millimeter, 2.0..=12.0, "the width of a tab in millimeters from 2 to 12";
    /// Force of a pull test on a crimp.
    PullN = Force in newton, 1.0..=10000.0, "a force in newtons from 1 to 10000";
    /// Weight of a part.
    WeightKg = Mass in kilogram, 0.001..=2000.0, "a weight in kilograms from 0.001 to 2000";
    /// Money, in the shop's currency.
    Money = Ratio in ratio, 0.0..=10000000.0, "an amount of money from 0 to 10000000";
}

impl Default for Share {
    /// All of the time.
    fn default() -> Self {
        Self(1.0)
    }
}

/// Declares texts with a rule for their characters and their length.
macro_rules! text {
    ($($(#[$doc:meta])* $name:ident = $rule:expr, $pattern:literal, $words:expr;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[serde(into = "String")]
        pub struct $name(Arc<str>);

        impl $name {
            /// The text itself.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// The text itself, shared.
            pub fn shared(&self) -> Arc<str> {
                Arc::clone(&self.0)
            }
        }

        impl TryFrom<String> for $name {
            type Error = BadValue;

            fn try_from(text: String) -> Result<Self, BadValue> {
                let rule: fn(&str) -> bool = $rule;
                if rule(&text) { Ok(Self(text.into())) } else { Err(BadValue { got: text, expected: $words }) }
            }
        }

        impl FromStr for $name {
            type Err = BadValue;

            fn from_str(text: &str) -> Result<Self, BadValue> {
                Self::try_from(text.trim().to_owned())
            }
        }

        impl From<$name> for String {
            fn from(value: $name) -> String {
                value.0.as_ref().to_owned()
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(TextIn { words: $words, make: Self::try_from })
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }

        impl JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({"type": "string", "pattern": $pattern, "description": $words})
            }
        }
    )+};
}

const ID_WORDS: &str = "an id of 1 to 32 letters, digits, '-' or '_' that begins with a letter or digit";

fn is_id(text: &str) -> bool {
    text.len() <= 32
        && text.starts_with(|c: char| c.is_ascii_alphanumeric())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
}

const PROPOSED_ID_WORDS: &str =
    "an id of 1 to 48 letters, digits, '-' or '_' that begins with a letter or digit";

fn is_proposed_id(text: &str) -> bool {
    let (head, rest) = text.split_at_checked(32).unwrap_or((text, ""));
    is_id(head) && rest.len() <= 16 && rest.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
}

fn is_line(text: &str, most: usize) -> bool {
    !text.trim().is_empty() && text.chars().count() <= most && !text.chars().any(char::is_control)
}

fn is_prose(text: &str) -> bool {
    text.chars().count() <= 4000 && !text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
}

text! {
    /// The short id of a location: `bow-locker`.
    LocationId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a raceway: `tube-port`.
    RacewayId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a distribution point: `fb1`.
    PointId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a feeder: `F1`.
    FeederId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a device: `nav`.
    DeviceId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a cable: `radar`.
    CableId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a circuit: `C01`.
    CircuitId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a board: `helm-inside`.
    BoardId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a mode: `running`.
    ModeId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of a kind of equipment: `vhf-radio`.
    KindId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The short id of an item of removed equipment: `old-07`.
    RemovedId = is_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,31}$", ID_WORDS;
    /// The id of what a proposal gave: `circuit-C01`.
    ProposedId = is_proposed_id, "^[A-Za-z0-9][A-Za-z0-9_-]{0,47}$", PROPOSED_ID_WORDS;
    /// A name on one line.
    Name = |text| is_line(text, 120), r"^.{1,120}$", "one line of 1 to 120 characters";
    /// The label of a switch position or a wire, as it is engraved or printed.
    Label = |text| is_line(text, 24), r"^.{1,24}$", "a label of 1 to 24 characters";
    /// Free text on several lines.
    Prose = is_prose, r"^[\s\S]{0,4000}$", "text of at most 4000 characters";
}

pub(super) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_inclusive_and_refuse_what_is_no_number() {
        assert_eq!(LengthM::try_from(0.0).unwrap().number(), 0.0);
        assert_eq!("4,3".parse::<LengthM>().unwrap().number(), 4.3);
        assert!(LengthM::try_from(-0.1).is_err());
        assert!(LengthM::try_from(f64::NAN).is_err());
        assert_eq!(
            "x".parse::<LengthM>().unwrap_err().to_string(),
            "'x' is not valid here: expected a length in meters from 0 to 200"
        );
    }

    #[test]
    fn ids_are_plain() {
        assert!("C01".parse::<CircuitId>().is_ok() && "bow-locker".parse::<LocationId>().is_ok());
        for bad in ["", "-a", "a b", "é", "a/b", &"x".repeat(33)] {
            assert!(LocationId::try_from(bad.to_owned()).is_err(), "{bad}");
        }
    }
}
