//! Lengths as people type them: `7.1`, `7,1 m`, `710 cm`, `23 ft 4 in`, `12' 3 1/2"`, `3-1/2"`.
//!
//! A number alone is in the shop's unit. A typed unit overrides that.

use crate::trade::units::{self, FOOT_M, Units};

/// The unit for numbers without a unit and for shown lengths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Meters.
    #[default]
    Meter,
    /// Feet.
    Foot,
}

impl LengthUnit {
    /// A length in meters as a field shows it: feet and inches as on a tape, or meters with as few decimals as
    /// give the same length when read back.
    pub fn text(self, meters: f64) -> String {
        match self {
            Self::Foot => self.said(meters),
            Self::Meter => {
                let mut texts = (2..4).map(|decimals| with_decimals(meters, decimals));
                let exact = texts.find(|text| self::meters(text, self) == Some(tenth_mm(meters)));
                exact.unwrap_or_else(|| with_decimals(meters, 4))
            }
        }
    }

    /// A length in meters as pages show it: `5.4 m`, `17 ft 8 5/8 in`, as on a tape.
    pub fn said(self, meters: f64) -> String {
        units::meters(meters).text(self.units())
    }

    /// A length as people type it, for hints and errors.
    pub fn example(self) -> &'static str {
        match self {
            Self::Meter => "7.1 m or 23 ft 4 in",
            Self::Foot => "12 ft 3 1/2 in",
        }
    }

    /// The units of a shop whose lengths are in this unit.
    pub fn units(self) -> Units {
        match self {
            Self::Meter => Units::Metric,
            Self::Foot => Units::Us,
        }
    }

    fn in_meters(self) -> f64 {
        match self {
            Self::Meter => 1.0,
            Self::Foot => FOOT_M,
        }
    }
}

fn with_decimals(meters: f64, decimals: usize) -> String {
    let text = format!("{meters:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Reads a length into meters, to a tenth of a millimeter; `None` where it cannot be read.
pub fn meters(text: &str, alone: LengthUnit) -> Option<f64> {
    let text = plain(text);
    let (sign, mut rest) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.as_str()),
    };
    let (mut total, mut pieces, mut smallest) = (0.0, 0, f64::INFINITY);
    while !rest.is_empty() {
        let (number, after) = number(rest)?;
        let (unit, after) = unit(after);
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
    (pieces > 0).then(|| tenth_mm(sign * total))
}

/// Rounds to a tenth of a millimeter: nobody measures wire closer, and 12 ft converted to meters stays 12 ft.
fn tenth_mm(meters: f64) -> f64 {
    (meters * 1e4).round() / 1e4
}

/// The text with the characters of a keyboard: typographic primes, quotes, minus signs and fractions replaced.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.trim().to_lowercase().chars() {
        match letter {
            ',' => plain.push('.'),
            '\u{2032}' | '\u{2019}' | '\u{2018}' | '\u{2b9}' => plain.push('\''),
            '\u{2033}' | '\u{201d}' | '\u{201c}' | '\u{2ba}' => plain.push('"'),
            '\u{2044}' => plain.push('/'),
            '\u{2212}' | '\u{2013}' | '\u{2010}' | '\u{2011}' => plain.push('-'),
            letter => match FRACTIONS.iter().find(|(sign, _)| *sign == letter) {
                Some((_, fraction)) => plain.extend([" ", fraction]),
                None => plain.push(letter),
            },
        }
    }
    plain.trim().to_owned()
}

/// The fractions of a tape that have a character of their own.
const FRACTIONS: [(char, &str); 7] = [
    ('\u{bd}', "1/2"),
    ('\u{bc}', "1/4"),
    ('\u{be}', "3/4"),
    ('\u{215b}', "1/8"),
    ('\u{215c}', "3/8"),
    ('\u{215d}', "5/8"),
    ('\u{215e}', "7/8"),
];

/// Splits off a number: `12.29`, `1/2`, `3 1/2` or `3-1/2`.
fn number(text: &str) -> Option<(f64, &str)> {
    let (first, rest) = decimal(text)?;
    if let Some(rest) = rest.strip_prefix('/') {
        let (part, rest) = decimal(rest)?;
        return Some((quotient(first, part)?, rest));
    }
    let mixed = || {
        let (over, rest) = decimal(rest.trim_start_matches([' ', '-']))?;
        let (part, rest) = decimal(rest.strip_prefix('/')?)?;
        Some((first + quotient(over, part)?, rest))
    };
    Some(mixed().unwrap_or((first, rest)))
}

/// Splits off a number without a fraction.
fn decimal(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    Some((text[..end].parse().ok()?, &text[end..]))
}

fn quotient(over: f64, part: f64) -> Option<f64> {
    (part > 0.0).then(|| over / part)
}

/// Splits off the unit after a number, and the space or hyphen before the next number: `12'-3"`.
fn unit(text: &str) -> (&str, &str) {
    let text = text.trim_start();
    let ends = |c: char| c.is_ascii_digit() || c.is_whitespace() || c == '-';
    let (unit, after) = text.split_at(text.find(ends).unwrap_or(text.len()));
    let after = after.trim_start();
    let next = after.strip_prefix('-').map(str::trim_start).filter(|next| !next.is_empty());
    (unit.trim_end_matches('.'), next.unwrap_or(after))
}

fn unit_in_meters(word: &str) -> Option<f64> {
    match word {
        "m" => Some(1.0),
        "cm" => Some(0.01),
        "mm" => Some(0.001),
        "ft" | "'" | "feet" | "foot" => Some(FOOT_M),
        "in" | "\"" | "''" | "inch" | "inches" => Some(FOOT_M / 12.0),
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
        for tenths_mm in (-20_000..200_000).step_by(37) {
            let length = f64::from(tenths_mm) / 1e4;
            let text = LengthUnit::Meter.text(length);
            assert_eq!(meters(&text, LengthUnit::Meter), Some(length), "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn a_length_in_feet_reads_back_to_the_nearest_sixteenth(length in -3.0_f64..200.0) {
            let text = LengthUnit::Foot.text(length);
            let back = meters(&text, LengthUnit::Foot).unwrap();
            proptest::prop_assert!((back - length).abs() <= FOOT_M / 12.0 / 32.0 + 1e-4, "{text}: {back}");
            proptest::prop_assert_eq!(LengthUnit::Foot.text(back), text, "what was read is shown the same");
        }

        #[test]
        fn any_sixteenth_reads_the_same_however_it_is_typed(feet in 0_u32..600, parts in 0_u32..192) {
            let (inches, over) = (parts / 16, parts % 16);
            let same = f64::from(feet * 192 + parts) / 192.0 * FOOT_M;
            for text in [
                format!("{feet}' {inches} {over}/16\""),
                format!("{feet} ft {inches}-{over}/16 in"),
                format!("{feet}\u{2032}{inches}.{:04}\u{2033}", over * 625),
                format!("{}/16 in", feet * 192 + parts),
                format!("{:.5}", same / FOOT_M),
            ] {
                let read = meters(&text, LengthUnit::Foot).unwrap();
                proptest::prop_assert!((read - same).abs() < 1e-4, "{text}: {read} is not {same}");
            }
        }

        #[test]
        fn nothing_that_is_typed_stops_the_program(text in "\\PC{0,16}") {
            let _ = meters(&text, LengthUnit::Foot);
        }
    }

    #[test]
    fn feet_and_inches_are_read_as_people_type_them() {
        let inches = |text| {
            meters(text, LengthUnit::Foot).map(|length| (length / FOOT_M * 12.0 * 16.0).round() / 16.0)
        };
        for text in [
            "12' 3 1/2\"",
            "12 ft 3.5 in",
            "12ft 3 1/2in",
            "12'3-1/2\"",
            "12'-3 1/2\"",
            "12 FT. 3\u{bd} IN.",
            "12\u{2032} 3\u{bd}\u{2033}",
            "12\u{2019} 3 1\u{2044}2\u{201d}",
            "12 feet, 3 1/2 inches",
            "147.5 in",
            "147 1/2\"",
            "12.2917",
            "12 7/24",
            "374.65 cm",
        ] {
            assert_eq!(inches(text), Some(147.5), "{text}");
        }
        assert_eq!(inches("3-1/2\""), Some(3.5));
        assert_eq!(inches("\u{215e} in"), Some(0.875));
        assert_eq!(inches("3/4"), Some(9.0), "a number alone is in feet");
        assert_eq!(inches("-1 ft 6 in"), Some(-18.0));
        assert_eq!(inches("\u{2212}1.5"), Some(-18.0));
    }

    #[test]
    fn feet_are_said_as_a_tape_has_them() {
        let said =
            [5.4, 3.0 * FOOT_M, 0.1778, 0.0, 11.996 * FOOT_M].map(|meters| LengthUnit::Foot.said(meters));
        assert_eq!(said, ["17 ft 8 5/8 in", "3 ft", "7 in", "0 in", "11 ft 11 15/16 in"]);
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in ["", "m", "7 7", "4 in 23 ft", "7.1.2", "1 ft 2 ft", "long", "7 yd", "NaN", "inf"] {
            assert_eq!(meters(text, LengthUnit::Meter), None, "{text}");
        }
        for text in
            ["3-", "--3", "-", "1/0", "1/", "/2", "3 1/2/4", "12' 3 1/2", "3-1 in", "'", "12' -", "1 2 3 in"]
        {
            assert_eq!(meters(text, LengthUnit::Foot), None, "{text}");
        }
    }
}
