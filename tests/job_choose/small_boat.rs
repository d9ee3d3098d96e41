//! The commonest small boat: 5.4 m, an outboard, one or two batteries, one switch, one block, eight circuits.
//! Every size and rating is open, except those of the starter cables, which come from the engine's manual.

use serde_json::Value;

use crate::boats::{checked, size, wrongs};

const ONE: &str = include_str!("one_battery.json");
const TWO: &str = include_str!("two_batteries.json");

/// Common practice, no source: feeders of such a boat are 8 to 4 AWG.
#[test]
fn the_commonest_small_boat_comes_out_with_notes_only() {
    for boat in [ONE, TWO] {
        let job: Value = serde_json::from_str(boat).unwrap();
        let report = checked(&job);
        assert_eq!(wrongs(&report), Vec::<String>::new());
        for feeder in ["F5", "F6"] {
            let size = size(&report, feeder);
            assert!(["8 AWG", "6 AWG", "4 AWG"].contains(&size.as_str()), "{feeder} {size}");
        }
    }
}

/// A chosen fuse stays within the corrected ampacity of its conductor.
#[test]
fn no_chosen_fuse_exceeds_its_conductor() {
    for boat in [ONE, TWO] {
        let report = checked(&serde_json::from_str(boat).unwrap());
        let circuits = report.circuits.values().map(|own| &own.conductor);
        for own in circuits.chain(report.feeders.values().map(|own| &own.conductor)) {
            let rating = own.protection.as_ref().and_then(|fuse| fuse.rating_a);
            let within = rating.zip(own.derated_ampacity_a).is_none_or(|(fuse, wire)| fuse <= wire);
            assert!(within, "{:?} on {:?}", own.protection, own.size);
        }
    }
}
