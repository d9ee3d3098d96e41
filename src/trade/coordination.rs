//! Coordination: the branch protection trips or blows before its feeder's. One short circuit must not cut
//! power to the whole boat.
//!
//! Ratings alone allow only a check of their ratio. The manufacturers' time-current curves decide.

use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::finding::{Code, RuleFinding};
use super::say::{Part, say};
use super::source::COORDINATION;
use super::units::amps;
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// A feeder's rating must be at least this many times that of its largest branch; common practice.
pub const FEEDER_OVER_BRANCH: f64 = 2.0;

/// Whether a branch's protection trips or blows before that of its feeder. Parallel feeders are assumed to
/// share the current in proportion to their ratings, so the sum of the ratings counts.
pub fn judge(feeders: &[ElectricCurrent], branch: Option<ElectricCurrent>) -> Option<RuleFinding> {
    let missing = |input| Some(RuleFinding::missing(input, "which of both trips first"));
    if feeders.is_empty() {
        return missing("the rating of the protection of the feeder");
    }
    let Some(branch) = branch else { return missing("the rating of the protection of the branch") };
    let feeder: ElectricCurrent = feeders.iter().copied().sum();
    let (feeder_a, branch_a) = (feeder.get::<ampere>(), branch.get::<ampere>());
    let (code, limit) = if keeps_to(feeder_a, branch_a) {
        (Code::FeederTripsFirst, feeder_a)
    } else if !keeps_to(FEEDER_OVER_BRANCH * branch_a, feeder_a) {
        (Code::FeederMayTripToo, feeder_a / FEEDER_OVER_BRANCH)
    } else {
        return None;
    };
    let outcome = match code {
        Code::FeederTripsFirst => say!(
            "The feeder trips first and takes its other branches with it. Use a larger feeder rating or a smaller \
             branch rating."
        ),
        _ => say!(
            "A short circuit on the branch may trip both. Use a feeder of twice the rating, or compare the \
             time-current curves."
        ),
    };
    let ratings = Part::all(feeders.iter().map(|feeder| amps(feeder.get::<ampere>())));
    let text = match feeders {
        [_] => say!("The branch has {}, its feeder {}. {}", amps(branch_a), ratings, outcome),
        _ => say!("The branch has {}, its feeders side by side {}. {}", amps(branch_a), ratings, outcome),
    };
    let working = Working {
        what: Quantity::Coordination,
        formula: "feeder rating at least twice the branch rating",
        numbers: format!("{} A / {} A", figure(feeder_a), figure(branch_a)).into(),
        result: figure(feeder_a / branch_a).into(),
        source: &COORDINATION,
    };
    Some(RuleFinding::new(code, text).against(branch_a, limit, "A").working(working))
}
