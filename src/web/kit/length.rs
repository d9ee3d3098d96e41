//! Lengths as people type them: `7.1`, `7,1 m`, `710 cm`, `23 ft 4 in`, `23' 4"`.
//!
//! A number alone is in the shop's unit. A typed unit overrides that.

use crate::trade::units::{self, Units};

/// The unit for numbers without a unit and for shown lengths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Meters.
    #[default]
    Meter,
    /// Feet.
    Foot,
}

/// Meters in a foot, exactly.
const FOOT: f64 = 0.3048;

impl LengthUnit {
    /// The unit as fields and figures show it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Meter => "m",
            Self::Foot => "ft",
        }
    }

    /// A length in meters as a number in this unit.
    pub fn number(self, meters: f64) -> f64 {
        meters / self.in_meters()
    }

    /// A length in meters as a field shows it: with as few decimals as give the same length when read back.
    pub fn text(self, meters: f64) -> String {
        let mut texts = (2..4).map(|decimals| self.with_decimals(meters, decimals));
        let exact = texts.find(|text| self::meters(text, self) == Some(tenth_mm(meters)));
        exact.unwrap_or_else(|| self.with_decimals(meters, 4))
    }

    fn with_decimals(self, meters: f64, decimals: usize) -> String {
        let text = format!("{:.decimals$}", self.number(meters));
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    /// A length in meters as pages show it: `5.4 m`, `17 ft 8 5/8 in`, as on a tape.
    pub fn said(self, meters: f64) -> String {
        units::meters(meters).text(match self {
            Self::Meter => Units::Metric,
            Self::Foot => Units::Us,
        })
    }

    fn in_meters(self) -> f64 {
        match self {
            Self::Meter => 1.0,
            Self::Foot => FOOT,
        }
    }
}

/// Reads a length into meters, to a tenth of a millimeter; `None` where it cannot be read.
pub fn meters(text: &str, alone: LengthUnit) -> Option<f64> {
    let text = text.trim().to_lowercase().replace(',', ".").replace('′', "'").replace(['″', '”'], "\"");
    let mut rest = text.as_str();
    let (mut total, mut pieces, mut smallest) = (0.0, 0, f64::INFINITY);
    while !rest.is_empty() {
        let (number, unit, after) = piece(rest)?;
        let unit = match unit {
            "" if pieces == 0 && after.is_empty() => alone.in_meters(),
            named => unit_in_meters(named)?,
        };
        // Feet come before inches and meters before centimeters; no unit comes twice.
        if unit >= smallest {
            return None;
        }
        (total, pieces, smallest, rest) = (total + number * unit, pieces + 1, unit, after);
    }
    (pieces > 0).then(|| tenth_mm(total))
}

/// Rounds to a tenth of a millimeter: nobody measures wire closer, and 12 ft converted to meters stays 12 ft.
fn tenth_mm(meters: f64) -> f64 {
    (meters * 1e4).round() / 1e4
}

/// Splits off a number and the unit after it.
fn piece(text: &str) -> Option<(f64, &str, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let number = text[..end].parse().ok()?;
    let rest = text[end..].trim_start();
    let end = rest.find(|c: char| c.is_ascii_digit() || c.is_whitespace()).unwrap_or(rest.len());
    Some((number, &rest[..end], rest[end..].trim_start()))
}

fn unit_in_meters(word: &str) -> Option<f64> {
    match word {
        "m" => Some(1.0),
        "cm" => Some(0.01),
        "mm" => Some(0.001),
        "ft" | "'" | "feet" | "foot" => Some(FOOT),
        "in" | "\"" | "''" | "inch" | "inches" => Some(FOOT / 12.0),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_as_people_type_them() {
        let read = |text| meters(text, LengthUnit::Meter).map(|length| (length * 1e4).round() / 1e4);
        assert_eq!(read("7.1"), Some(7.1));
        assert_eq!(read(" 7,1 m "), Some(7.1));
        assert_eq!(read("710cm"), Some(7.1));
        assert_eq!(read("7 m 10 cm"), Some(7.1));
        assert_eq!(read("23 ft 4 in"), Some(7.112));
        assert_eq!(read("23' 4\""), Some(7.112));
        assert_eq!(read("23'4.5"), None, "inches without their unit are not guessed at");
        assert_eq!(meters("23", LengthUnit::Foot), Some(7.0104));
    }

    #[test]
    fn a_length_shown_in_a_field_reads_back_as_it_was() {
        assert_eq!(LengthUnit::Meter.text(4.3), "4.3");
        assert_eq!(LengthUnit::Foot.text(0.1778), "0.5833", "seven inches");
        for tenths_mm in (0..200_000).step_by(37) {
            let length = f64::from(tenths_mm) / 1e4;
            for unit in [LengthUnit::Meter, LengthUnit::Foot] {
                assert_eq!(meters(&unit.text(length), unit), Some(length), "{}", unit.text(length));
            }
        }
    }

    #[test]
    fn feet_are_said_as_a_tape_has_them() {
        let said = [5.4, 3.0 * FOOT, 0.1778, 0.0, 11.996 * FOOT].map(|meters| LengthUnit::Foot.said(meters));
        assert_eq!(said, ["17 ft 8 5/8 in", "3 ft", "7 in", "0 in", "11 ft 11 15/16 in"]);
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in ["", "m", "7 7", "4 in 23 ft", "7.1.2", "1 ft 2 ft", "-3", "long", "7 yd", "NaN", "inf"] {
            assert_eq!(meters(text, LengthUnit::Meter), None, "{text}");
        }
    }
}
