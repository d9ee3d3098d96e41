//! Quantities as a reader sees them: in the shop's units, rounded to what a tape or a meter can show.
//!
//! Inside the program a quantity has one unit, which its constructor names. Only [`Amount::text`] converts it
//! to feet and inches, pounds or degrees Fahrenheit.

use serde::{Deserialize, Serialize};
use uom::si::area::square_millimeter;

use super::conductor::{Size, System};
use super::rounding::keeps_to;
use super::rules::RuleSet;

/// The units of a shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Feet, inches, pounds of force, degrees Fahrenheit.
    Us,
    /// Meters, newtons, degrees Celsius.
    Metric,
}

impl Units {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Us, Self::Metric];

    /// The units as forms and the database write them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }

    /// The units in plain text, for a list to choose from.
    pub fn said(self) -> &'static str {
        match self {
            Self::Us => "Feet, inches and AWG",
            Self::Metric => "Meters and mm²",
        }
    }

    /// The units for a plan without a shop, by its rule set.
    pub fn of_rules(rules: RuleSet) -> Self {
        match rules {
            RuleSet::Us => Self::Us,
            RuleSet::Iso => Self::Metric,
        }
    }
}

/// The kind of a quantity, with the unit of its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Measure {
    /// A length along a wire or the boat, m.
    Length,
    /// A size of hardware or a distance on a board, mm whatever the shop's units.
    Hardware,
    /// An area of a board, mm2.
    Surface,
    /// The area of a conductor's copper, mm2.
    Copper,
    /// Electric current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// A share in percent.
    Percent,
    /// Temperature, C.
    Temperature,
    /// Force, N.
    Force,
    /// Charge, Ah.
    Charge,
    /// A time in seconds, s.
    Seconds,
    /// A time in hours, h.
    Hours,
    /// Speed, kn.
    Knots,
    /// A number of things.
    Count,
}

/// A number with its quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    value: f64,
    measure: Measure,
    limit: Option<f64>,
}

/// Declares a constructor for each kind of quantity.
macro_rules! constructors {
    ($($(#[$doc:meta])* $name:ident, $measure:ident;)+) => {$(
        $(#[$doc])*
        pub const fn $name(value: f64) -> Amount {
            Amount { value, measure: Measure::$measure, limit: None }
        }
    )+};
}

constructors! {
    /// A length along a wire or the boat, in meters.
    meters, Length;
    /// A size of hardware or a distance on a board, in millimeters.
    mm, Hardware;
    /// An area of a board, in square millimeters.
    surface_mm2, Surface;
    /// The area of a conductor's copper, in square millimeters.
    copper_mm2, Copper;
    /// A current, in amperes.
    amps, Current;
    /// A voltage, in volts.
    volts, Voltage;
    /// A share, in percent.
    percent, Percent;
    /// A temperature of the air or a battery, in degrees Celsius.
    celsius, Temperature;
    /// A force, in newtons.
    newtons, Force;
    /// A charge, in ampere-hours.
    amp_hours, Charge;
    /// A time, in seconds.
    seconds, Seconds;
    /// A time, in hours.
    hours, Hours;
    /// A speed, in knots.
    knots, Knots;
}

/// A number of things.
pub fn count(things: usize) -> Amount {
    // Counts above 2^53 do not occur.
    #[allow(clippy::cast_precision_loss)]
    Amount { value: things as f64, measure: Measure::Count, limit: None }
}

/// Meters in a foot, exactly.
pub const FOOT_M: f64 = 0.3048;
/// Newtons in a pound of force.
const POUND_N: f64 = 4.448_221_615_260_5;
/// Square millimeters in a square inch, exactly.
const SQUARE_INCH_MM2: f64 = 645.16;
/// The smallest division of an inch on a tape.
const TAPE_PART: u32 = 16;
/// The largest number of extra steps of precision used to show that a value differs from its limit.
const FINER_STEPS: u32 = 3;

impl Amount {
    /// The same value with its limit in the same unit. If the two differ, the displayed texts differ too.
    pub fn beside(self, limit: f64) -> Self {
        Self { limit: Some(limit), ..self }
    }

    /// The quantity for a reader: `17 ft 8 5/8 in`, `5.4 m`, `12.5 A`.
    pub fn text(self, units: Units) -> String {
        let usual = self.shown(units, 0);
        let Some(limit) = self.limit else { return usual };
        let limit = Self { value: limit, ..self }.shown(units, 0);
        (0..=FINER_STEPS).map(|finer| self.shown(units, finer)).find(|text| *text != limit).unwrap_or(usual)
    }

    /// The quantity with this many more steps of precision than usual.
    fn shown(self, units: Units, finer: u32) -> String {
        let value = self.value;
        let to = |decimals: u32, unit: &str| format!("{} {unit}", number(value, decimals + finer));
        match (self.measure, units) {
            (Measure::Length, Units::Us) => feet_and_inches(value, TAPE_PART << finer),
            (Measure::Length, Units::Metric) => metric_length(value, finer),
            (Measure::Hardware, _) => to(u32::from(value.abs() < 100.0), "mm"),
            (Measure::Surface, Units::Us) => {
                format!("{} in\u{b2}", number((value / SQUARE_INCH_MM2).ceil(), 0))
            }
            (Measure::Surface, Units::Metric) => format!("{} cm\u{b2}", number((value / 100.0).ceil(), 0)),
            (Measure::Copper, _) => copper(value, units).unwrap_or_else(|| to(1, "mm2")),
            (Measure::Current, _) => to(finer_when_small(value), "A"),
            (Measure::Voltage, _) => to(2, "V"),
            (Measure::Percent, _) => to(u32::from(value.abs() < 100.0), "%"),
            // Data sheets and the plan use degrees Celsius.
            (Measure::Temperature, Units::Us) => {
                format!("{} \u{b0}F ({})", number(value * 1.8 + 32.0, finer), to(0, "\u{b0}C"))
            }
            (Measure::Temperature, Units::Metric) => to(0, "\u{b0}C"),
            (Measure::Force, Units::Us) => format!("{} lbf", number(value / POUND_N, finer)),
            (Measure::Force, Units::Metric) => to(0, "N"),
            (Measure::Charge, _) => to(u32::from(value.abs() < 100.0), "Ah"),
            (Measure::Seconds, _) => to(finer_when_small(value), "s"),
            (Measure::Hours, _) => to(1, "h"),
            (Measure::Knots, _) => to(1, "kn"),
            (Measure::Count, _) => number(value, 0),
        }
    }
}

/// A clamp meter shows tenths of an ampere, and hundredths below one; a stopwatch is similar.
fn finer_when_small(value: f64) -> u32 {
    match value.abs() {
        size if size >= 100.0 => 0,
        size if size >= 1.0 => 1,
        _ => 2,
    }
}

/// A number with at most this many decimals, without trailing zeros.
fn number(value: f64, decimals: u32) -> String {
    let text = format!("{value:.decimals$}", decimals = decimals as usize);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    // Zero has no sign.
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// From half a meter up: meters to the centimeter, always with tenths. Below: millimeters.
fn metric_length(meters: f64, finer: u32) -> String {
    if (meters * 1000.0).round().abs() < 500.0 {
        return format!("{} mm", number(meters * 1000.0, finer));
    }
    let text = number(meters, 2 + finer);
    if text.contains('.') { format!("{text} m") } else { format!("{text}.0 m") }
}

/// Feet, inches and a fraction of an inch, as a tape shows them.
fn feet_and_inches(meters: f64, part: u32) -> String {
    let parts_in_foot = f64::from(12 * part);
    let all = (meters / FOOT_M * parts_in_foot).round();
    let sign = if all < 0.0 { "-" } else { "" };
    let (feet, rest) = ((all.abs() / parts_in_foot).trunc(), all.abs() % parts_in_foot);
    let (inches, over) = ((rest / f64::from(part)).trunc(), rest % f64::from(part));
    let mut words = Vec::new();
    if feet > 0.0 {
        words.push(format!("{feet} ft"));
    }
    match (inches > 0.0, over > 0.0) {
        (true, true) => words.push(format!("{inches} {} in", fraction(over, part))),
        (true, false) => words.push(format!("{inches} in")),
        (false, true) => words.push(format!("{} in", fraction(over, part))),
        (false, false) if feet > 0.0 => {}
        (false, false) => words.push("0 in".to_owned()),
    }
    format!("{sign}{}", words.join(" "))
}

/// A number of parts of an inch as a fraction in lowest terms: `5/8`.
fn fraction(over: f64, part: u32) -> String {
    let (mut over, mut part) = (over, part);
    while part > 1 && over % 2.0 == 0.0 {
        (over, part) = (over / 2.0, part / 2);
    }
    format!("{over}/{part}")
}

/// The thinnest gauge with this much copper, if the shop uses gauges and one has it.
fn copper(mm2: f64, units: Units) -> Option<String> {
    let has = |size: &Size| keeps_to(mm2, size.area().get::<square_millimeter>());
    let gauge = || Size::all(System::Awg).find(has).map(|size| size.to_string());
    if units == Units::Us { gauge() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn both(quantity: Amount) -> [String; 2] {
        [quantity.text(Units::Us), quantity.text(Units::Metric)]
    }

    #[test]
    fn a_length_is_shown_as_a_tape_shows_it() {
        let us = |meters_| meters(meters_).text(Units::Us);
        assert_eq!(us(5.4), "17 ft 8 5/8 in");
        assert_eq!(us(3.0 * FOOT_M), "3 ft");
        assert_eq!(us(0.1778), "7 in");
        assert_eq!(us(FOOT_M / 24.0), "1/2 in");
        assert_eq!(us(FOOT_M * 25.0 / 24.0), "1 ft 1/2 in");
        assert_eq!(us(0.0), "0 in");
        assert_eq!(us(11.9999 * FOOT_M), "12 ft", "a carry goes through inches into feet");
        assert_eq!(us(-FOOT_M), "-1 ft");
        let metric = |meters_| meters(meters_).text(Units::Metric);
        assert_eq!(metric(5.4), "5.4 m");
        assert_eq!(metric(4.0), "4.0 m");
        assert_eq!(metric(3.254), "3.25 m");
        assert_eq!(metric(0.1778), "178 mm");
        assert_eq!(metric(0.9996), "1.0 m");
        assert_eq!(metric(0.0), "0 mm");
    }

    #[test]
    fn the_nearest_sixteenth_is_never_more_than_half_of_one_away() {
        for tenths_mm in (0..60_000).step_by(7) {
            let length = f64::from(tenths_mm) / 1e4;
            let text = meters(length).text(Units::Us);
            let shown = text.split(' ').fold((0.0, 0.0), |(all, last): (f64, f64), word| match word {
                "ft" => (all + last * 12.0, 0.0),
                "in" => (all + last, 0.0),
                _ => match word.split_once('/') {
                    Some((over, part)) => {
                        (all, last + over.parse::<f64>().unwrap() / part.parse::<f64>().unwrap())
                    }
                    None => (all, last + word.parse::<f64>().unwrap()),
                },
            });
            let inches = length / FOOT_M * 12.0;
            assert!((shown.0 - inches).abs() <= 1.0 / 32.0 + 1e-9, "{text} for {inches} in");
        }
    }

    #[test]
    fn figures_are_rounded_to_what_a_meter_shows() {
        assert_eq!(both(amps(12.504)), ["12.5 A", "12.5 A"]);
        assert_eq!(amps(1849.6).text(Units::Us), "1850 A");
        assert_eq!(amps(0.054).text(Units::Us), "0.05 A");
        assert_eq!(amps(7.5).text(Units::Metric), "7.5 A");
        assert_eq!(volts(0.4652).text(Units::Us), "0.47 V");
        assert_eq!(volts(12.0).text(Units::Us), "12 V");
        assert_eq!(percent(3.0).text(Units::Us), "3 %");
        assert_eq!(percent(10.44).text(Units::Us), "10.4 %");
        assert_eq!(both(celsius(0.0)), ["32 \u{b0}F (0 \u{b0}C)", "0 \u{b0}C"]);
        assert_eq!(both(newtons(66.7)), ["15 lbf", "67 N"]);
        assert_eq!(both(mm(4.2)), ["4.2 mm", "4.2 mm"]);
        assert_eq!(both(copper_mm2(20.0)), ["4 AWG", "20 mm2"]);
        assert_eq!(both(copper_mm2(500.0)), ["500 mm2", "500 mm2"], "no gauge has so much");
        assert_eq!(both(surface_mm2(12_010.0)), ["19 in\u{b2}", "121 cm\u{b2}"]);
        assert_eq!(count(12).text(Units::Us), "12");
        assert_eq!(volts(-0.0004).text(Units::Us), "0 V");
    }

    #[test]
    fn a_value_over_its_limit_does_not_read_like_the_limit() {
        assert_eq!(percent(10.02).beside(10.0).text(Units::Us), "10.02 %");
        assert_eq!(percent(12.04).beside(10.0).text(Units::Us), "12 %");
        assert_eq!(amps(150.2).beside(150.0).text(Units::Us), "150.2 A");
        assert_eq!(meters(0.1783).beside(0.1778).text(Units::Us), "7 1/32 in");
        assert_eq!(meters(0.1783).beside(0.1779).text(Units::Metric), "178.3 mm");
        assert_eq!(amps(10.0).beside(10.0).text(Units::Us), "10 A", "the same is shown the same");
    }
}
