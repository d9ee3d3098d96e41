//! Every combination of the switches, with its result.

use serde::Serialize;

use super::asked::asked;
use super::judged::{Combination, Judged};
use super::vessel::{Doing, FittedLight, LightKind, Vessel};
use super::{lacking, pattern};
use crate::trade::finding::RuleFinding;
use crate::trade::working::Working;

/// More switches than this make more combinations than a person can read.
pub const MOST_SWITCHES: usize = 10;

/// Every combination of the switches, the required lights, and the faults.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Review {
    /// The switches, in the order of the lights.
    pub switches: Vec<String>,
    /// All combinations, the one with no switch on first.
    pub combinations: Vec<Combination>,
    /// The lights required of this boat, for each activity.
    pub asked: Vec<Working>,
    /// The faults of the lights as a whole.
    pub findings: Vec<RuleFinding>,
}

/// The lights have more switches than can be checked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the navigation lights have {0} switches: expected at most {MOST_SWITCHES}")]
pub struct TooManySwitches(pub usize);

/// Checks every combination of the switches. Each list in `apart` names positions that cannot be on together,
/// such as the two throws of one switch. At most one of them is on.
///
/// # Errors
/// [`TooManySwitches`] where the lights have more than [`MOST_SWITCHES`].
pub fn review(
    vessel: &Vessel,
    lights: &[FittedLight],
    apart: &[Vec<String>],
) -> Result<Review, TooManySwitches> {
    let switches = switches_of(lights);
    if switches.len() > MOST_SWITCHES {
        return Err(TooManySwitches(switches.len()));
    }
    let sides_fitted = lights
        .iter()
        .any(|light| matches!(light.kind, LightKind::Sides | LightKind::Port | LightKind::Starboard));
    let combinations: Vec<_> = subsets(&switches)
        .filter(|on| can_be(on, apart))
        .map(|on| combination(vessel, lights, sides_fitted, on))
        .collect();
    let findings = lacking::findings(vessel, lights, &combinations);
    Ok(Review { switches, combinations, asked: asked(vessel), findings })
}

/// Whether switches can be on together.
fn can_be(on: &[String], apart: &[Vec<String>]) -> bool {
    apart.iter().all(|group| on.iter().filter(|switch| group.contains(switch)).count() <= 1)
}

fn switches_of(lights: &[FittedLight]) -> Vec<String> {
    let mut switches: Vec<String> = Vec::new();
    for switch in lights.iter().flat_map(|light| &light.switches) {
        if !switches.contains(switch) {
            switches.push(switch.clone());
        }
    }
    switches
}

/// Every set of switches, the smallest first, so that readers see the simple cases first.
fn subsets(switches: &[String]) -> impl Iterator<Item = Vec<String>> {
    let mut masks: Vec<u32> = (0..1 << switches.len()).collect();
    masks.sort_by_key(|mask| mask.count_ones());
    masks.into_iter().map(|mask| {
        let is_on = |(position, _): &(usize, &String)| mask >> position & 1 == 1;
        switches.iter().enumerate().filter(is_on).map(|(_, switch)| switch.clone()).collect()
    })
}

fn combination(vessel: &Vessel, lights: &[FittedLight], sides_fitted: bool, on: Vec<String>) -> Combination {
    let burns = |light: &&FittedLight| {
        light.switches.is_empty() || light.switches.iter().any(|switch| on.contains(switch))
    };
    let burning: Vec<&FittedLight> = lights.iter().filter(burns).collect();
    let tally = pattern::LightCount::of(burning.iter().map(|light| light.kind));
    let judge = |doing: &Doing| Judged { doing: *doing, fit: tally.judged(vessel, *doing, sides_fitted) };
    let judged: Vec<Judged> = vessel.drive.doings().iter().map(judge).collect();
    let good_for = judged.iter().filter(|judged| judged.fit.is_legal()).map(|judged| judged.doing);
    Combination {
        good_for: good_for.collect(),
        burning: burning.into_iter().map(|light| light.name.clone()).collect(),
        on,
        judged,
    }
}
