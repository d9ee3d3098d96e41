//! The branch opens before its feeder: one short circuit is not to darken the whole boat.
//!
//! A ratio of ratings is all that ratings alone allow to be said; the manufacturers' curves decide.

use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::finding::{Code, Finding};
use super::source::COORDINATION;
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// A feeder's rating is at least this many times that of its largest branch; common practice.
pub const FEEDER_OVER_BRANCH: f64 = 2.0;

/// Whether a branch's protection opens before that of the feeder it hangs on. Feeders side by side share what flows
/// and are taken to share it as their ratings do, so that it is their sum that counts.
pub fn judge(feeders: &[ElectricCurrent], branch: Option<ElectricCurrent>) -> Option<Finding> {
    let missing = |input| Some(Finding::missing(input, "order of opening"));
    if feeders.is_empty() {
        return missing("rating of the feeder's protection");
    }
    let Some(branch) = branch else { return missing("rating of the branch's protection") };
    let feeder: ElectricCurrent = feeders.iter().copied().sum();
    let (feeder_a, branch_a) = (feeder.get::<ampere>(), branch.get::<ampere>());
    let (code, limit) = if keeps_to(feeder_a, branch_a) {
        (Code::FeederOpensFirst, feeder_a)
    } else if !keeps_to(FEEDER_OVER_BRANCH * branch_a, feeder_a) {
        (Code::FeederMayOpenToo, feeder_a / FEEDER_OVER_BRANCH)
    } else {
        return None;
    };
    let outcome = match code {
        Code::FeederOpensFirst => "that opens first and takes its other branches with it",
        _ => "a short circuit on the branch may open both: compare the manufacturers' curves",
    };
    let ratings: Vec<_> =
        feeders.iter().map(|feeder| format!("{} A", figure(feeder.get::<ampere>()))).collect();
    let on = match ratings.as_slice() {
        [one] => format!("a feeder of {one}"),
        several => format!("feeders side by side of {}", several.join(" and ")),
    };
    let text = format!("branch protection of {} A on {on}: {outcome}", figure(branch_a));
    let working = Working {
        what: Quantity::Coordination,
        formula: "feeder rating at least twice the branch rating",
        numbers: format!("{} A / {} A", figure(feeder_a), figure(branch_a)),
        result: figure(feeder_a / branch_a),
        source: &COORDINATION,
    };
    Some(Finding::new(code, text).against(branch_a, limit, "A").working(working))
}
