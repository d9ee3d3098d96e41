//! The signs of a fault as text, and what to check.

use super::report::{Suspect, What};
use crate::trade::diagnosis::Sign;
use crate::trade::working::figure;

/// What to check at a location, each kind once.
pub(super) fn looks(spots: &[Suspect]) -> Vec<String> {
    let mut kinds: Vec<What> = spots.iter().map(|spot| spot.kind).collect();
    kinds.dedup();
    kinds.into_iter().map(|kind| kind.look().to_owned()).collect()
}

/// A sign as text.
pub(super) fn text(sign: &Sign, spots: &[Suspect]) -> String {
    match sign {
        Sign::Reversed { of, at_source: true } => {
            format!("{of}: positive and negative are crossed before the circuit begins, in its supply")
        }
        Sign::Reversed { of, .. } => format!("{of}: positive and negative are crossed on the circuit"),
        Sign::Open { of, .. } => {
            let names: Vec<&str> = spots.iter().map(|spot| spot.name.as_str()).collect();
            let at = if names.is_empty() { "somewhere along it".to_owned() } else { names.join(", or ") };
            format!("{}: nothing arrives, the way is open at {at}", of.join(", "))
        }
        Sign::LoadOpen { of } => format!(
            "{of}: voltage but no current; without current a bad joint does not show, so the wire has not passed"
        ),
        Sign::Short { of, current_a } => {
            format!("{of}: {} A and no voltage: positive and negative touch", figure(*current_a))
        }
        Sign::Swapped { of, with } => {
            format!("{of} and {with} look swapped: each draws the current of the other")
        }
        Sign::FedTwice { of, off_v: Some(volts) } => {
            format!(
                "{of}: {} V at the load with the circuit off: another circuit feeds it too",
                figure(*volts)
            )
        }
        Sign::FedTwice { of, off_v: None } => {
            format!(
                "{of}: more volts at the load than at the source: another circuit feeds it, or source and load were not read together"
            )
        }
        Sign::DrawsWhenOff { of, current_a } => {
            format!("{of}: {} A drawn with the circuit off", figure(*current_a))
        }
        Sign::DrawsTooMuch { of, current_a, expected_a } => {
            format!("{of} draws {} A where {} A is expected", figure(*current_a), figure(*expected_a))
        }
        Sign::DrawsTooLittle { of, current_a, expected_a } => {
            format!("{of} draws only {} A where {} A is expected", figure(*current_a), figure(*expected_a))
        }
    }
}

/// What to check for a sign, in this order.
pub(super) fn look(sign: &Sign, spots: &[Suspect]) -> Vec<String> {
    let say = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    match sign {
        Sign::Open { .. } => looks(spots),
        Sign::Reversed { at_source: true, .. } => {
            say(&["the battery\u{2019}s posts", "the feeders of the block and of its negative bar"])
        }
        Sign::Reversed { .. } => say(&[
            "the two wires at the load",
            "the colors at every join on the way",
            "the meter\u{2019}s own leads",
        ]),
        Sign::LoadOpen { .. } => {
            say(&["the load\u{2019}s own switch and plug", "the load itself, on a known good supply"])
        }
        Sign::Short { .. } => say(&[
            "switch it off before anything else",
            "where the wire passes an edge",
            "the terminals at the load: no loose strand across",
        ]),
        Sign::Swapped { .. } => say(&[
            "the labels of both at the junction bar and at the fuse block",
            "swap them back, then measure both again",
        ]),
        Sign::FedTwice { .. } => say(&[
            "pull the other fuses one by one until the volts go",
            "joints with two positives under one screw",
        ]),
        Sign::DrawsWhenOff { .. } => {
            say(&["a load wired past the switch", "a memory or standby current that the manufacturer states"])
        }
        Sign::DrawsTooMuch { .. } => {
            say(&["a second load on the same wire", "a motor that binds", "the figure planned for it"])
        }
        Sign::DrawsTooLittle { .. } => say(&["whether all its loads are on", "the figure planned for it"]),
    }
}
