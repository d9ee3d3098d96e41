//! The requests in the repository.

use driploop::job::plan::{BoatForm, Plan, ProposalRequest};
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
    // The pump has its maker's fuse, and one return.
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
