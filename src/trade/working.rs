//! The working of a figure: what a reader needs to repeat the calculation by hand.

use std::borrow::Cow;
use std::fmt;

use serde::{Serialize, Serializer};

use super::quantity::Quantity;
use super::say::gaps;
use super::source::Source;
use super::units::{self, Units};

pub use super::rounding::{figure, keeps_to};

/// One figure, its formula, the formula with its numbers, and its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// The figure's quantity; its title is for readers.
    pub what: Quantity,
    /// The formula as text or symbols: `E = K I L / CM`.
    pub formula: &'static str,
    /// The same formula with this case's numbers and units: `10.75 x 5 A x 30 ft / 4110 CM`.
    pub numbers: Numbers,
    /// The figure with its unit: `0.39 V`.
    pub result: Numbers,
    /// The document or practice that the formula comes from.
    pub source: &'static Source,
}

impl Working {
    /// The working for one reader, in the reader's units.
    pub fn text(&self, units: Units) -> WorkingText {
        WorkingText {
            what: self.what,
            formula: self.formula,
            numbers: self.numbers.text(units),
            result: self.result.text(units),
            source: self.source,
        }
    }
}

/// A working as text for one reader.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingText {
    /// The figure's quantity.
    pub what: Quantity,
    /// The formula.
    pub formula: &'static str,
    /// The formula with this case's numbers.
    pub numbers: String,
    /// The figure with its unit.
    pub result: String,
    /// The document or practice that the formula comes from.
    pub source: &'static Source,
}

/// Numbers of a working: text, with lengths in it that each reader sees in their units. In JSON they are in meters.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbers(Vec<Piece>);

/// A piece of it.
#[derive(Debug, Clone, PartialEq)]
enum Piece {
    /// Text as it is.
    Words(Cow<'static, str>),
    /// A length in meters.
    Length(f64),
}

/// A length in a working, in meters.
pub fn length(meters: f64) -> Numbers {
    Numbers(vec![Piece::Length(meters)])
}

impl Numbers {
    /// Fixed text with a value in each `{}`.
    pub fn filled<const N: usize>(template: &'static str, values: [Self; N]) -> Self {
        debug_assert_eq!(gaps(template), N, "{template}");
        let mut fixed = template.split("{}");
        let mut all = Self::from(fixed.next().unwrap_or_default());
        for (value, after) in values.into_iter().zip(fixed) {
            all.0.extend(value.0);
            all.0.push(Piece::Words(Cow::Borrowed(after)));
        }
        all
    }

    /// Terms with a sign between each two.
    pub fn joined(terms: impl IntoIterator<Item = Self>, sign: &'static str) -> Self {
        let mut all = Vec::new();
        for term in terms {
            if !all.is_empty() {
                all.push(Piece::Words(Cow::Borrowed(sign)));
            }
            all.extend(term.0);
        }
        Self(all)
    }

    /// The text for one reader: meters with the digits of the calculation, or feet and inches as on a tape.
    pub fn text(&self, units: Units) -> String {
        let mut text = String::new();
        for piece in &self.0 {
            match (piece, units) {
                (Piece::Words(words), _) => text.push_str(words),
                (Piece::Length(meters), Units::Us) => text.push_str(&units::meters(*meters).text(units)),
                (Piece::Length(meters), Units::Metric) => text.push_str(&format!("{} m", figure(*meters))),
            }
        }
        text
    }
}

impl fmt::Display for Numbers {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(Units::Metric))
    }
}

impl Serialize for Numbers {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl From<String> for Numbers {
    fn from(words: String) -> Self {
        Self(vec![Piece::Words(Cow::Owned(words))])
    }
}

impl From<&'static str> for Numbers {
    fn from(words: &'static str) -> Self {
        Self(vec![Piece::Words(Cow::Borrowed(words))])
    }
}

impl PartialEq<&str> for Numbers {
    fn eq(&self, text: &&str) -> bool {
        self.text(Units::Metric) == *text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_a_working_are_in_the_units_of_the_viewer() {
        let terms = [3.048, 0.6096].map(|one| Numbers::filled("{} + 2 x {}", [length(one), length(0.5)]));
        let numbers = Numbers::filled("({}) x (1 + {} %)", [Numbers::joined(terms, " + "), "10".into()]);
        let metric = "(3.048 m + 2 x 0.5 m + 0.6096 m + 2 x 0.5 m) x (1 + 10 %)";
        assert_eq!(numbers, metric);
        assert_eq!(serde_json::to_value(&numbers).unwrap(), metric);
        assert_eq!(
            numbers.text(Units::Us),
            "(10 ft + 2 x 1 ft 7 11/16 in + 2 ft + 2 x 1 ft 7 11/16 in) x (1 + 10 %)"
        );
    }
}
