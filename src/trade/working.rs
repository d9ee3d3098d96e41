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
