//! How full a bore is, by the practice of conduit.
//!
//! NFPA 70 chapter 9 table 1 fills a conduit to 53 % of its area with one conductor, to 31 % with two and to
//! 40 % with three or more; a cable of several conductors counts as one, a flat one by its larger side (note 9).
//! No rule binds a boat to it. It is the measure at which wire can still be pulled and pulled again, and is
//! taken here as good practice.

use std::f64::consts::FRAC_PI_4;

use uom::si::area::square_millimeter;
use uom::si::f64::{Area, Length, Ratio};
use uom::si::length::millimeter;
use uom::si::ratio::percent;

use crate::trade::quantity::Quantity;
use crate::trade::source::NEC_9_1;
use crate::trade::working::{Working, figure, keeps_to};

/// Percent of its bore that one conductor may take.
pub const ONE_PERCENT: f64 = 53.0;
/// Percent of the bore that two conductors may take.
pub const TWO_PERCENT: f64 = 31.0;
/// Percent of the bore that three or more conductors may take.
pub const MORE_PERCENT: f64 = 40.0;

/// What lies in a bore, against what may.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Conductors and cables in it.
    pub count: usize,
    /// The room they take.
    pub taken: Area,
    /// That as a share of the bore.
    pub share: Ratio,
    /// The share they may take.
    pub limit: Ratio,
    /// The sum.
    pub working: Working,
}

impl Fill {
    /// Whether all that is in the bore may be.
    pub fn fits(&self) -> bool {
        keeps_to(self.share.value, self.limit.value)
    }
}

/// The share of a bore that so many conductors and cables may take.
pub fn limit(count: usize) -> Ratio {
    Ratio::new::<percent>(match count {
        0 | 1 => ONE_PERCENT,
        2 => TWO_PERCENT,
        _ => MORE_PERCENT,
    })
}

/// How full a bore is of conductors and cables with these outside diameters.
pub fn of(bore: Length, diameters: &[Length]) -> Fill {
    let (count, taken, whole) = (diameters.len(), area(diameters), circle(bore));
    let share = taken / whole;
    let limit = limit(count);
    let working = Working {
        what: Quantity::RacewayFill,
        formula: "sum of pi/4 d^2 of all conductors and cables / (pi/4 D^2)",
        numbers: format!(
            "{} mm2 of {count} / (pi/4 x ({} mm)^2)",
            figure(taken.get::<square_millimeter>()),
            figure(bore.get::<millimeter>())
        ),
        result: format!(
            "{} % of at most {} %",
            figure(share.get::<percent>()),
            figure(limit.get::<percent>())
        ),
        source: &NEC_9_1,
    };
    Fill { count, taken, share, limit, working }
}

/// Whether conductors and cables with these outside diameters may lie in a bore.
pub fn fits(bore: Length, diameters: &[Length]) -> bool {
    takes(bore, diameters.len(), area(diameters))
}

/// Whether so many conductors and cables that take so much room together may lie in a bore.
pub fn takes(bore: Length, count: usize, room: Area) -> bool {
    keeps_to((room / circle(bore)).value, limit(count).value)
}

/// The smallest bore that takes conductors and cables with these outside diameters.
pub fn least_bore(diameters: &[Length]) -> Length {
    let whole = area(diameters) / limit(diameters.len());
    Length::new::<millimeter>((whole.get::<square_millimeter>() / FRAC_PI_4).sqrt())
}

fn circle(diameter: Length) -> Area {
    diameter * diameter * FRAC_PI_4
}

/// The room that conductors and cables with these outside diameters take together.
pub fn area(diameters: &[Length]) -> Area {
    diameters.iter().map(|diameter| circle(*diameter)).sum()
}
