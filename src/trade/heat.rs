//! The short-time current of a conductor: what it carries for seconds, too short a time for its heat to
//! leave.
//!
//! All of I2 R t stays in the copper, which gives S = I sqrt(t) / k (IEC 60364-4-43). A starter cable is
//! exempt from protection. Only the size of its copper prevents it from overheating while an engine is
//! cranked.

use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Time};
use uom::si::time::second;

use super::conductor::Size;
use super::finding::{Code, RuleFinding};
use super::say::say;
use super::source::ADIABATIC;
use super::units::{amps, copper_mm2, seconds};
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// A s^(1/2) / mm2 of copper in PVC from 70 to 160 C; from memory.
const K: f64 = 115.0;
/// How long an engine is cranked before the starter is rested, s; common practice.
const CRANKED_S: f64 = 10.0;

/// How long an engine is cranked before the starter is rested.
pub fn cranked_for() -> Time {
    Time::new::<second>(CRANKED_S)
}

/// Whether a starter cable carries the starter's current for the cranking time without overheating.
pub fn judge_cranking(size: Size, starter: ElectricCurrent) -> Option<RuleFinding> {
    let (current, area) = (starter.get::<ampere>(), size.area().get::<square_millimeter>());
    let least = current * CRANKED_S.sqrt() / K;
    if keeps_to(least, area) {
        return None;
    }
    let text = say!(
        "{} for {} overheats the insulation of {}. The conductor must be at least {}. Use the cable that the manual of \
         the engine names.",
        amps(current),
        seconds(CRANKED_S),
        size,
        copper_mm2(least)
    );
    let working = Working {
        what: Quantity::CrankingSection,
        formula: "S = I sqrt(t) / k",
        numbers: format!("{} A x sqrt({CRANKED_S} s) / {K}", figure(current)).into(),
        result: format!("{} mm2", figure(least)).into(),
        source: &ADIABATIC,
    };
    Some(RuleFinding::new(Code::StarterCableOverheats, text).against(area, least, "mm2").working(working))
}
