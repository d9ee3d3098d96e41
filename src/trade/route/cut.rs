//! The length to cut a run to: the route, and what is added to it.
//!
//! The calculated drop uses this whole length as well. All of the cut length may stay in the boat, so this is
//! on the safe side.

use serde::Serialize;
use uom::si::f64::{Length, Ratio};
use uom::si::length::{meter, millimeter};
use uom::si::ratio::percent;

use crate::trade::quantity::Quantity;
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{self, Numbers, Working, figure};

/// The lengths added to the route of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowances {
    /// From the opening of the raceway to where the wire ends, at each end.
    pub rise: [Length; 2],
    /// Length coiled at each end, so that a terminal can be replaced later.
    pub service_loop: Length,
    /// The low loop before each end, from which water drips off.
    pub drip_loop: Length,
    /// Share of the total that is lost to crooked routes and trimming.
    pub waste: Ratio,
}

impl Allowances {
    /// The rise at an end where none is given, in meters; common practice.
    pub const USUAL_RISE_M: f64 = 0.3;
    /// The service loop at each end where none is given, in meters; common practice.
    pub const USUAL_SERVICE_LOOP_M: f64 = 0.15;
    /// The drip loop at each end where none is given, in meters; common practice.
    pub const USUAL_DRIP_LOOP_M: f64 = 0.1;
    /// The waste where none is given, in percent; common practice.
    pub const USUAL_WASTE_PERCENT: f64 = 5.0;

    /// The length left outside the raceway at an end, 0 or 1.
    pub fn left_at(&self, end: usize) -> Length {
        let rise = self.rise.get(end).copied().unwrap_or_default();
        rise + self.service_loop + self.drip_loop
    }
}

impl Default for Allowances {
    fn default() -> Self {
        Self {
            rise: [Length::new::<meter>(Self::USUAL_RISE_M); 2],
            service_loop: Length::new::<meter>(Self::USUAL_SERVICE_LOOP_M),
            drip_loop: Length::new::<meter>(Self::USUAL_DRIP_LOOP_M),
            waste: Ratio::new::<percent>(Self::USUAL_WASTE_PERCENT),
        }
    }
}

/// The length of a run with its parts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cut {
    /// Along the raceways.
    pub path_m: f64,
    /// Rise at each end.
    pub rise_m: [f64; 2],
    /// Service loop at each end.
    pub service_loop_m: f64,
    /// Drip loop at each end.
    pub drip_loop_m: f64,
    /// What waste adds.
    pub waste_m: f64,
    /// The total length to cut.
    pub total_m: f64,
    /// The working.
    pub working: Working,
}

impl Cut {
    /// The length left outside the raceway at an end, 0 or 1, in meters.
    pub fn left_m(&self, end: usize) -> f64 {
        self.rise_m.get(end).copied().unwrap_or_default() + self.service_loop_m + self.drip_loop_m
    }

    /// The working of the length left outside at an end.
    pub fn left_working(&self, end: usize) -> Working {
        let rise = self.rise_m.get(end).copied().unwrap_or_default();
        let (service, drip) = (self.service_loop_m, self.drip_loop_m);
        Working {
            what: Quantity::LeftAtEnd,
            formula: "rise + service loop + drip loop",
            numbers: Numbers::joined([rise, service, drip].map(working::length), " + "),
            result: working::length(self.left_m(end)),
            source: &CUT_ALLOWANCES,
        }
    }

    /// The length of a run along a route of known length.
    pub fn of(path: Length, allowances: &Allowances) -> Self {
        let bare = path + allowances.left_at(0) + allowances.left_at(1);
        let waste = bare * allowances.waste;
        let meters = |length: Length| length.get::<meter>();
        let rise_m = allowances.rise.map(meters);
        let (service_loop_m, drip_loop_m) = (meters(allowances.service_loop), meters(allowances.drip_loop));
        let working = Working {
            what: Quantity::LengthToCut,
            formula: "(path + rise at each end + 2 service loops + 2 drip loops) x (1 + waste)",
            numbers: Numbers::filled(
                "({} + {} + {} + 2 x {} + 2 x {}) x (1 + {} %)",
                [
                    working::length(meters(path)),
                    working::length(rise_m[0]),
                    working::length(rise_m[1]),
                    working::length(service_loop_m),
                    working::length(drip_loop_m),
                    figure(allowances.waste.get::<percent>()).into(),
                ],
            ),
            result: working::length((bare + waste).get::<millimeter>().round() / 1000.0),
            source: &CUT_ALLOWANCES,
        };
        Self {
            path_m: meters(path),
            rise_m,
            service_loop_m,
            drip_loop_m,
            waste_m: meters(waste),
            total_m: meters(bare + waste),
            working,
        }
    }
}
