//! How full a bore is, by the practice for conduit.
//!
//! NFPA 70 chapter 9 table 1 limits the fill of a conduit: 53 % of its area with one conductor, 31 % with two
//! and 40 % with three or more. A cable of several conductors counts as one, a flat cable by its larger side
//! (note 9). No rule requires this on a boat. At this fill, wire can still be pulled in and replaced later,
//! so the limits are used here as good practice.

use std::f64::consts::FRAC_PI_4;

use uom::si::area::square_millimeter;
use uom::si::f64::{Area, Length, Ratio};
use uom::si::length::millimeter;
use uom::si::ratio::percent;

use crate::trade::quantity::Quantity;
use crate::trade::source::NEC_9_1;
use crate::trade::working::{Working, figure, keeps_to};

/// Largest percent of the bore for one conductor.
pub const ONE_PERCENT: f64 = 53.0;
/// Largest percent of the bore for two conductors.
pub const TWO_PERCENT: f64 = 31.0;
/// Largest percent of the bore for three or more conductors.
pub const MORE_PERCENT: f64 = 40.0;

/// The fill of a bore and its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Conductors and cables in it.
    pub count: usize,
    /// The area that they occupy.
    pub taken: Area,
    /// The occupied area as a share of the bore.
    pub share: Ratio,
    /// The largest share allowed.
    pub limit: Ratio,
    /// The working.
    pub working: Working,
}

impl Fill {
    /// Whether the fill is within its limit.
    pub fn fits(&self) -> bool {
        keeps_to(self.share.value, self.limit.value)
    }
}

/// The largest share of a bore that this number of conductors and cables may occupy.
pub fn limit(count: usize) -> Ratio {
    Ratio::new::<percent>(match count {
        0 | 1 => ONE_PERCENT,
        2 => TWO_PERCENT,
        _ => MORE_PERCENT,
    })
}

/// The fill of a bore with conductors and cables of these outside diameters.
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
        )
        .into(),
        result: format!(
            "{} % of at most {} %",
            figure(share.get::<percent>()),
            figure(limit.get::<percent>())
        )
        .into(),
        source: &NEC_9_1,
    };
    Fill { count, taken, share, limit, working }
}

/// Whether conductors and cables with these outside diameters are within the limit of a bore.
pub fn fits(bore: Length, diameters: &[Length]) -> bool {
    takes(bore, diameters.len(), area(diameters))
}

/// Whether this number of conductors and cables with this total area is within the limit of a bore.
pub fn takes(bore: Length, count: usize, room: Area) -> bool {
    keeps_to((room / circle(bore)).value, limit(count).value)
}

/// The smallest bore for conductors and cables with these outside diameters.
pub fn least_bore(diameters: &[Length]) -> Length {
    let whole = area(diameters) / limit(diameters.len());
    Length::new::<millimeter>((whole.get::<square_millimeter>() / FRAC_PI_4).sqrt())
}

fn circle(diameter: Length) -> Area {
    diameter * diameter * FRAC_PI_4
}

/// The total area of conductors and cables with these outside diameters.
pub fn area(diameters: &[Length]) -> Area {
    diameters.iter().map(|diameter| circle(*diameter)).sum()
}
