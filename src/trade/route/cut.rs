//! The length to cut a run to: the way, and what is added to it.
//!
//! The whole of it is also what the drop is worked out with: what is cut may all stay in the boat, and that is
//! the safe side.

use serde::Serialize;
use uom::si::f64::{Length, Ratio};
use uom::si::length::{meter, millimeter};
use uom::si::ratio::percent;

use crate::trade::quantity::Quantity;
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{Working, figure};

/// What is added to the way of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowances {
    /// From the mouth of the raceway to where the wire lands, at each end.
    pub rise: [Length; 2],
    /// Left coiled at each end, so that a terminal can be made anew.
    pub service_loop: Length,
    /// The dip before each end, off which water drips.
    pub drip_loop: Length,
    /// Share of it all that is lost to crooked ways and trimming.
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

    /// What is left hanging out of the raceway at an end, 0 or 1.
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
    /// The whole: what to cut.
    pub total_m: f64,
    /// The sum.
    pub working: Working,
}

impl Cut {
    /// What is left hanging out of the raceway at an end, 0 or 1, in meters.
    pub fn left_m(&self, end: usize) -> f64 {
        self.rise_m.get(end).copied().unwrap_or_default() + self.service_loop_m + self.drip_loop_m
    }

    /// How what is left hanging out at an end came about.
    pub fn left_working(&self, end: usize) -> Working {
        let rise = self.rise_m.get(end).copied().unwrap_or_default();
        let (service, drip) = (self.service_loop_m, self.drip_loop_m);
        Working {
            what: Quantity::LeftAtEnd,
            formula: "rise + service loop + drip loop",
            numbers: format!("{} m + {} m + {} m", figure(rise), figure(service), figure(drip)),
            result: format!("{} m", figure(self.left_m(end))),
            source: &CUT_ALLOWANCES,
        }
    }

    /// The length of a run along a way of known length.
    pub fn of(path: Length, allowances: &Allowances) -> Self {
        let bare = path + allowances.left_at(0) + allowances.left_at(1);
        let waste = bare * allowances.waste;
        let meters = |length: Length| length.get::<meter>();
        let rise_m = allowances.rise.map(meters);
        let (service_loop_m, drip_loop_m) = (meters(allowances.service_loop), meters(allowances.drip_loop));
        let working = Working {
            what: Quantity::LengthToCut,
            formula: "(path + rise at each end + 2 service loops + 2 drip loops) x (1 + waste)",
            numbers: format!(
                "({} m + {} m + {} m + 2 x {} m + 2 x {} m) x (1 + {} %)",
                figure(meters(path)),
                figure(rise_m[0]),
                figure(rise_m[1]),
                figure(service_loop_m),
                figure(drip_loop_m),
                figure(allowances.waste.get::<percent>())
            ),
            result: format!("{} m", figure((bare + waste).get::<millimeter>().round() / 1000.0)),
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
