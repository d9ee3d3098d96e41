//! Every kind of the catalog alone, at 12 V and 24 V, by US and ISO rules.

use driploop::job::kind::Catalog;
use driploop::job::plan::{BoatVoltage, ProposalRequest};
use driploop::trade::rules::RuleSet;

use super::requests::request;
use super::{faults, proposed};

#[test]
fn every_kind_alone_gives_a_sound_plan() {
    let mut wrong = Vec::new();
    for kind in Catalog::built_in().kinds() {
        for (voltage, rules) in [
            (BoatVoltage::V12, RuleSet::Us),
            (BoatVoltage::V12, RuleSet::Iso),
            (BoatVoltage::V24, RuleSet::Us),
            (BoatVoltage::V24And12, RuleSet::Iso),
        ] {
            let mut boat = request("center-console").boat;
            (boat.voltage, boat.rules) = (voltage, rules);
            let request = ProposalRequest { boat, wishes: kind.name.to_string().try_into().unwrap() };
            let proposal = proposed(&request);
            let said = faults(&proposal).into_iter();
            wrong.extend(said.map(|fault| format!("{} {voltage:?} {rules:?}: {fault}", kind.id)));
            let is_there = proposal.plan.devices.iter().any(|device| device.id.as_str() == kind.id.as_str());
            if kind.is_device() && !is_there && proposal.left_out.is_empty() {
                wrong.push(format!("{}: neither proposed nor left out", kind.id));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
