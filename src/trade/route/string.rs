//! How much pull string a pull takes.
//!
//! A string hauls the wire through every raceway that takes one, and another is tied on beside the wire, so that
//! the next pull finds a string lying there. An open way takes none. Raceways one after the other take one
//! string, which is left to tie off at both its ends: [`TAIL_M`]. Where no string lies yet, one is fed first.
//! Common practice, no source.

use serde::Serialize;
use uom::si::f64::Length;
use uom::si::length::meter;

use crate::trade::quantity::Quantity;
use crate::trade::source::PULL_STRING;
use crate::trade::working::{Working, figure};

/// What is left of a string at each of its ends, in meters, to tie it off where it cannot slip in.
pub const TAIL_M: f64 = 0.5;

/// A raceway, as a string goes through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringLeg {
    /// Its length.
    pub length: Length,
    /// Whether it takes a string; an open way does not.
    pub takes: bool,
    /// Whether a string lies in it already.
    pub there: bool,
}

/// The string of one pull.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StringNeeded {
    /// To feed in before the pull, where none lies; nothing where all is strung.
    pub feed_m: f64,
    /// To tie on beside the wire, for the next pull.
    pub beside_m: f64,
    /// The sum of what is tied on.
    pub working: Working,
    /// The sum of what is fed in, where anything is.
    pub feeding: Option<Working>,
}

impl StringNeeded {
    /// What a pull along these raceways takes; none where no raceway takes a string.
    pub fn of(legs: &[StringLeg]) -> Option<Self> {
        let beside = stretches(legs, |leg| leg.takes);
        if beside.is_empty() {
            return None;
        }
        let feed = stretches(legs, |leg| leg.takes && !leg.there);
        let (beside_m, feed_m) = (long(&beside), long(&feed));
        Some(Self {
            feed_m,
            beside_m,
            working: working(
                Quantity::StringToTie,
                "raceways in a row that take a string + what is left at each end",
                &beside,
            ),
            feeding: (!feed.is_empty()).then(|| {
                working(
                    Quantity::StringToFeed,
                    "raceways in a row where none lies yet + what is left at each end",
                    &feed,
                )
            }),
        })
    }
}

/// The lengths of raceways in a row for which something holds, row by row.
fn stretches(legs: &[StringLeg], holds: impl Fn(&StringLeg) -> bool) -> Vec<f64> {
    let rows = legs.chunk_by(|one, other| holds(one) == holds(other));
    let held = rows.filter(|row| row.first().is_some_and(&holds));
    held.map(|row| row.iter().map(|leg| leg.length.get::<meter>()).sum()).collect()
}

fn long(stretches: &[f64]) -> f64 {
    stretches.iter().map(|stretch| stretch + 2.0 * TAIL_M).sum()
}

fn working(what: Quantity, formula: &'static str, stretches: &[f64]) -> Working {
    let numbers = stretches.iter().map(|stretch| format!("{} m + 2 x {TAIL_M} m", figure(*stretch)));
    Working {
        what,
        formula,
        numbers: numbers.collect::<Vec<_>>().join(" + "),
        result: format!("{} m", figure((long(stretches) * 1000.0).round() / 1000.0)),
        source: &PULL_STRING,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leg(meters: f64, takes: bool, there: bool) -> StringLeg {
        StringLeg { length: Length::new::<meter>(meters), takes, there }
    }

    #[test]
    fn a_string_goes_through_and_is_left_at_both_ends() {
        // By hand: 4.3 + 2 x 0.5.
        let string = StringNeeded::of(&[leg(4.3, true, true)]).unwrap();
        assert!((string.beside_m - 5.3).abs() < 1e-12 && string.feed_m == 0.0, "{string:?}");
        assert_eq!(string.working.numbers, "4.3 m + 2 x 0.5 m");
        assert_eq!(string.feeding, None);
    }

    #[test]
    fn raceways_in_a_row_share_a_string_and_an_open_way_parts_them() {
        // By hand: (2 + 1 + 1) + (3 + 1); fed only through the second tube and the last: (1 + 1) + (3 + 1).
        let legs =
            [leg(2.0, true, true), leg(1.0, true, false), leg(5.0, false, false), leg(3.0, true, false)];
        let string = StringNeeded::of(&legs).unwrap();
        assert!((string.beside_m - 8.0).abs() < 1e-12 && (string.feed_m - 6.0).abs() < 1e-12, "{string:?}");
        assert_eq!(string.working.result, "8 m");
        assert_eq!(string.feeding.unwrap().numbers, "1 m + 2 x 0.5 m + 3 m + 2 x 0.5 m");
    }

    #[test]
    fn an_open_way_takes_none() {
        assert_eq!(StringNeeded::of(&[leg(5.0, false, false)]), None);
    }
}
