//! Figures: a number with its unit in small type, and numbers as text.

use std::fmt;

use askama::Template;
use askama::filters::HtmlSafe;

use super::length::LengthUnit;
use crate::trade::units::Units;
use crate::trade::working::figure;

/// A figure: a number with its unit in small type.
#[derive(Debug, Clone, PartialEq, Eq, Template)]
#[template(
    source = r#"<span class="figure">{{ number }}{% if !unit.is_empty() %}<span class="unit">{{ unit }}</span>{% endif %}</span>"#,
    ext = "html"
)]
pub struct Figure {
    number: String,
    unit: &'static str,
    /// The units of the lengths in its working.
    lengths: Units,
}

impl HtmlSafe for Figure {}

impl Figure {
    /// A number without rounding.
    pub fn new(number: impl fmt::Display, unit: &'static str) -> Self {
        Self { number: number.to_string(), unit, lengths: Units::Metric }
    }

    /// A length as a tape shows it.
    pub fn length(meters: f64, unit: LengthUnit) -> Self {
        Self { number: unit.said(meters), unit: "", lengths: unit.units() }
    }

    /// The same figure, with the lengths of its working in these units.
    pub fn lengths_in(self, lengths: Units) -> Self {
        Self { lengths, ..self }
    }

    /// The units of the lengths in its working: those of a length, and otherwise metric.
    pub fn units(&self) -> Units {
        self.lengths
    }

    /// A number rounded to this many decimals.
    pub fn rounded(number: f64, decimals: usize, unit: &'static str) -> Self {
        Self::new(format!("{number:.decimals$}"), unit)
    }
}

/// A number with its unit, rounded as for [`fine`].
pub fn amount(value: Option<f64>, unit: &str) -> Option<String> {
    value.map(|value| format!("{} {unit}", fine(value)))
}

/// A number rounded to what is useful to read.
pub fn fine(value: f64) -> String {
    figure(round(value))
}

/// Rounds to the hundredth: nobody needs the millivolts of a plan.
fn round(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// A figure with its unit, with the digits that a meter shows.
pub fn unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", figure((value * 1000.0).round() / 1000.0))
}

/// A figure rounded to this many decimals, with its unit.
pub fn rounded(value: f64, decimals: usize, unit: &str) -> String {
    // Rounding can give a zero with a minus sign.
    let text = format!("{value:.decimals$}");
    let text = if text.trim_start_matches(['-', '0', '.']).is_empty() { text.replace('-', "") } else { text };
    format!("{text} {unit}")
}

/// The text, or a dash if the value is not known.
pub fn or_dash(value: Option<String>) -> String {
    value.unwrap_or_else(|| "\u{2013}".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_sets_its_unit_small() {
        assert_eq!(
            Figure::rounded(0.386, 2, "V").render().unwrap(),
            r#"<span class="figure">0.39<span class="unit">V</span></span>"#
        );
    }

    #[test]
    fn figures_are_as_fine_as_a_meter_and_never_less_than_nothing() {
        assert_eq!(unit(12.345_678, "V"), "12.35 V");
        assert_eq!(rounded(-0.004, 1, "A"), "0.0 A");
        assert_eq!(rounded(-0.4, 1, "A"), "-0.4 A");
        assert_eq!(or_dash(None), "\u{2013}");
    }
}
