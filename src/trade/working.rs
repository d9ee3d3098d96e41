//! The working of a figure: what anyone needs to do the sum again by hand.

use serde::Serialize;

use super::source::Source;

/// One figure, the formula behind it, the formula with its numbers, and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// What the figure is, in the trade's words: `allowable current`.
    pub what: &'static str,
    /// The formula in words or symbols: `E = K I L / CM`.
    pub formula: &'static str,
    /// The same formula with this case's numbers and units: `10.75 x 5 A x 30 ft / 4110 CM`.
    pub numbers: String,
    /// The figure with its unit: `0.39 V`.
    pub result: String,
    /// The document or practice the formula comes from.
    pub source: &'static Source,
}

/// A figure as people read it: at least four significant digits, no trailing noughts, no exponent.
pub fn figure(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 1000.0 => 0,
        size if size >= 100.0 => 1,
        size if size >= 10.0 => 2,
        size if size >= 1.0 => 3,
        size if size >= 0.1 => 4,
        size if size >= 0.01 => 5,
        _ => 6,
    };
    // Whole numbers, which are many, need no rounding; the exact way to digits is slow.
    let text = if value.fract() == 0.0 { value.to_string() } else { format!("{value:.decimals$}") };
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    // Nought has no sign for people.
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Whether a value keeps to a limit that it may just reach.
///
/// A limit of the law is in inches and a job's lengths are in metres, so exactly 7 in has to pass
/// however it was written: one part in a thousand million is allowed for the arithmetic.
pub fn keeps_to(value: f64, limit: f64) -> bool {
    value <= limit * (1.0 + 1e-9)
}
