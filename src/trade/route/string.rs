//! How much pull string a pull needs.
//!
//! A string pulls the wire through every raceway that uses one. A second string is tied on beside the wire,
//! so that the next pull has a string in place. An open raceway uses none. Raceways in series share one
//! string. It has a tail for tying off at both ends: [`TAIL_M`]. Where no string is in place yet, one is fed
//! in first. Common practice, no source.

use serde::Serialize;
use uom::si::f64::Length;
use uom::si::length::meter;

use crate::trade::quantity::Quantity;
use crate::trade::source::PULL_STRING;
use crate::trade::working::{self, Numbers, Working};

/// The length of string left at each end, in meters. It is tied off there so that it cannot slip in.
pub const TAIL_M: f64 = 0.5;

/// A raceway on the path of a pull string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringLeg {
    /// Its length.
    pub length: Length,
    /// Whether it uses a string; an open raceway does not.
    pub takes: bool,
    /// Whether a string is already in it.
    pub there: bool,
}

/// The string needed for one pull.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StringNeeded {
    /// Length to feed in before the pull, where there is no string; 0 where every raceway has one.
    pub feed_m: f64,
    /// Length to tie on beside the wire, for the next pull.
    pub beside_m: f64,
    /// The working of the length that is tied on.
    pub working: Working,
    /// The working of the length that is fed in, if any.
    pub feeding: Option<Working>,
}

impl StringNeeded {
    /// The string that a pull along these raceways needs; `None` where no raceway uses a string.
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

/// The total length of each series of raceways for which `holds` is true.
fn stretches(legs: &[StringLeg], holds: impl Fn(&StringLeg) -> bool) -> Vec<f64> {
    let rows = legs.chunk_by(|one, other| holds(one) == holds(other));
    let held = rows.filter(|row| row.first().is_some_and(&holds));
    held.map(|row| row.iter().map(|leg| leg.length.get::<meter>()).sum()).collect()
}

fn long(stretches: &[f64]) -> f64 {
    stretches.iter().map(|stretch| stretch + 2.0 * TAIL_M).sum()
}

fn working(what: Quantity, formula: &'static str, stretches: &[f64]) -> Working {
    let numbers = stretches
        .iter()
        .map(|stretch| Numbers::filled("{} + 2 x {}", [*stretch, TAIL_M].map(working::length)));
    Working {
        what,
        formula,
        numbers: Numbers::joined(numbers, " + "),
        result: working::length((long(stretches) * 1000.0).round() / 1000.0),
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
    fn raceways_in_a_row_share_a_string_and_an_open_raceway_separates_them() {
        // By hand: (2 + 1 + 1) + (3 + 1). Fed only through the second tube and the last: (1 + 1) + (3 + 1).
        let legs =
            [leg(2.0, true, true), leg(1.0, true, false), leg(5.0, false, false), leg(3.0, true, false)];
        let string = StringNeeded::of(&legs).unwrap();
        assert!((string.beside_m - 8.0).abs() < 1e-12 && (string.feed_m - 6.0).abs() < 1e-12, "{string:?}");
        assert_eq!(string.working.result, "8 m");
        assert_eq!(string.feeding.unwrap().numbers, "1 m + 2 x 0.5 m + 3 m + 2 x 0.5 m");
    }

    #[test]
    fn an_open_raceway_needs_no_string() {
        assert_eq!(StringNeeded::of(&[leg(5.0, false, false)]), None);
    }
}
