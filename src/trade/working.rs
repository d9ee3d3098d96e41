//! The working of a figure: what anyone needs to do the sum again by hand.

use serde::Serialize;

use super::quantity::Quantity;
use super::source::Source;

/// One figure, the formula behind it, the formula with its numbers, and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// What the figure is; its title is for people.
    pub what: Quantity,
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
        _ => 6_i32,
    };
    // In units of its last place it is a whole number, and those are quick to write: the exact way from a
    // binary fraction to decimals is slow, and a check writes thousands of figures.
    let scale = 10_f64.powi(decimals);
    let units = (value.abs() * scale).round();
    if units >= MOST_UNITS || units.is_nan() {
        return value.to_string();
    }
    // Positive and far under the largest integer.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let (whole, part) = ((units / scale) as u64, (units % scale) as u64);
    // Nought has no sign for people.
    let sign = if value < 0.0 && units > 0.0 { "-" } else { "" };
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let mut text = format!("{sign}{whole}.{part:0width$}", width = decimals.unsigned_abs() as usize);
    text.truncate(text.trim_end_matches('0').len());
    text
}

/// A double tells whole numbers apart up to some nine thousand million million.
const MOST_UNITS: f64 = 9e15;

/// Whether a value keeps to a limit that it may just reach.
///
/// A limit of the law is in inches and a job's lengths are in meters, so exactly 7 in has to pass
/// however it was written: one part in a thousand million is allowed for the arithmetic.
pub fn keeps_to(value: f64, limit: f64) -> bool {
    value <= limit * (1.0 + 1e-9)
}
