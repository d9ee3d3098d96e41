//! The requests in the repository.

use driploop::job::file::JobFile;
use driploop::job::plan::{BoatForm, Plan, ProposalRequest};
use driploop::job::supposed::to_measure;
use serde::Deserialize;

use super::{faults, proposed};

/// A request as it is written for `driploop propose`.
#[derive(Deserialize)]
struct Written {
    boat: BoatForm,
    wishes: Vec<String>,
}

/// A request of the folder.
pub(super) fn request(name: &str) -> ProposalRequest {
    let path = format!("{}/tests/propose/requests/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let written: Written = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    ProposalRequest { boat: written.boat, wishes: written.wishes.join("\n").try_into().unwrap() }
}

/// The sizes of the feeders to fuse blocks.
fn block_feeders(plan: &Plan) -> Vec<String> {
    let blocks = plan.feeders.iter().filter(|feeder| feeder.to.as_str().starts_with("fb"));
    blocks.map(|feeder| feeder.size.unwrap().to_string()).collect()
}

#[test]
fn the_skiff_is_drawn_as_an_electrician_would() {
    let proposal = proposed(&request("skiff"));
    assert_eq!(faults(&proposal), Vec::<String>::new());
    let plan = &proposal.plan;
    assert!(proposal.left_out.is_empty());
    // One bank, one switch, one block beside the always-on one.
    let count = |stem: &str| plan.points.iter().filter(|point| point.id.as_str().starts_with(stem)).count();
    assert_eq!([count("house"), count("switch"), count("fb"), count("neg")], [1, 1, 2, 1]);
    for size in block_feeders(plan) {
        assert!(["10 AWG", "8 AWG", "6 AWG", "4 AWG"].contains(&size.as_str()), "{size}");
    }
    // The pump is ahead of the switch, by a fuse that is not a blade fuse on the post.
    let pump = plan.circuits.iter().find(|circuit| circuit.float_switch).unwrap();
    assert_eq!(pump.from.as_str(), "fb-always");
    let feed = plan.feeders.iter().find(|feeder| feeder.to.as_str() == "fb-always").unwrap();
    assert_eq!(feed.from.as_str(), "house");
    assert_eq!(feed.protection.as_ref().unwrap().rating_a.unwrap().number(), 30.0);
    // The pump has the fuse of its manufacturer, and one return.
    assert_eq!(pump.protection.as_ref().unwrap().rating_a.unwrap().number(), 7.5);
    for device in plan.devices.iter().filter(|device| device.load.is_some()) {
        assert_eq!(
            plan.circuits.iter().filter(|circuit| circuit.feeds(&device.id)).count(),
            1,
            "{}",
            device.id
        );
    }
}

#[test]
fn the_center_console_is_drawn_as_an_electrician_would() {
    let proposal = proposed(&request("center-console"));
    assert_eq!(faults(&proposal), Vec::<String>::new());
    assert!(proposal.left_out.is_empty(), "{:?}", proposal.left_out);
    for size in block_feeders(&proposal.plan) {
        assert!(["10 AWG", "8 AWG", "6 AWG", "4 AWG", "2 AWG"].contains(&size.as_str()), "{size}");
    }
}

/// The demo's main boat from a list of wishes, beside the plan that was made by hand.
///
/// Each difference was judged. More locations: the fuel tank, a locker and the cockpit by themselves. More devices: safety devices of the engine, the switch of the fuel gauge, each speaker by
/// itself. Fewer raceways: the proposal has one to each location, the boat has spare ones. More fuse blocks: twelve
/// positions with two spare ones hold ten circuits. Fewer circuits: gauges are fed by the harness of the engine, and the
/// bar behind the dash is not needed where each block has its own feeder.
#[test]
fn the_main_boat_of_the_demo_is_much_as_it_was_planned_by_hand() {
    let made = JobFile::read(include_bytes!("../../src/shop/demo/second-plover.json")).unwrap().plan;
    let proposal = proposed(&request("second-plover"));
    assert_eq!(faults(&proposal), Vec::<String>::new());
    assert_eq!(proposal.left_out, []);
    let plan = &proposal.plan;
    let near = |what: &str, hand: usize, proposed: usize, apart: usize| {
        assert!(hand.abs_diff(proposed) <= apart, "{what}: {hand} by hand, {proposed} proposed");
    };
    near("locations", made.locations.len(), plan.locations.len(), 3);
    near("points", made.points.len(), plan.points.len(), 2);
    near("feeders", made.feeders.len(), plan.feeders.len(), 3);
    near("devices", made.devices.len(), plan.devices.len(), 8);
    near("circuits", made.circuits.len(), plan.circuits.len(), 2);
    let always_on = |plan: &Plan| {
        let floats = plan.circuits.iter().filter(|circuit| circuit.float_switch);
        floats
            .map(|circuit| circuit.protection.as_ref().unwrap().rating_a.unwrap().number())
            .collect::<Vec<f64>>()
    };
    assert_eq!(always_on(&made).len(), always_on(plan).len());
    // Two batteries, two switches, one start bank that feeds only the engine and the charger.
    for stem in ["house", "start"] {
        assert!(plan.point(&stem.parse().unwrap()).is_some() && made.point(&stem.parse().unwrap()).is_some());
    }
    assert!(to_measure(plan).len() <= 110, "{}", to_measure(plan).len());
}
