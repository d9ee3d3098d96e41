//! Proposing again: what a person changed, confirmed, added or removed stays.

use driploop::job::event::History;
use driploop::job::file::JobFile;
use driploop::job::kind::Catalog;
use driploop::job::plan::{Plan, ProposalRequest, Proposed};
use driploop::job::propose::{Present, Proposal, propose_for};
use driploop::job::subject::{Subject, SubjectKind};
use driploop::job::supposed::to_measure;

use super::requests::request;
use super::{faults, proposed};

fn again(request: &ProposalRequest, plan: &Plan, gone: &[Subject]) -> Proposal {
    propose_for(request, Catalog::built_in(), Some(Present { plan, gone })).unwrap()
}

fn with_wish(mut request: ProposalRequest, line: &str) -> ProposalRequest {
    request.wishes = format!("{}\n{line}", request.wishes).try_into().unwrap();
    request
}

fn without_wish(mut request: ProposalRequest, stem: &str) -> ProposalRequest {
    let lines: Vec<&str> = request.wishes.as_str().lines().filter(|line| !line.contains(stem)).collect();
    request.wishes = lines.join("\n").try_into().unwrap();
    request
}

#[test]
fn the_same_request_changes_nothing() {
    let request = request("skiff");
    let first = proposed(&request);
    let second = again(&request, &first.plan, &[]);
    assert_eq!(second.plan, first.plan);
}

#[test]
fn a_new_wish_keeps_ids_and_what_a_person_changed() {
    let skiff = request("skiff");
    let mut plan = proposed(&skiff).plan;
    // A measured length, a changed name, a removed device.
    let bow = plan.raceways.iter().position(|raceway| raceway.id.as_str() == "to-bow").unwrap();
    plan.raceways[bow].length_m = Some(4.4.try_into().unwrap());
    let horn = plan.circuits.iter().position(|circuit| circuit.name.as_str() == "Horn").unwrap();
    plan.circuits[horn].name = "Horn and bell".parse().unwrap();
    let horn_id = plan.circuits[horn].id.clone();
    let livewell =
        plan.circuits.iter().find(|circuit| circuit.name.as_str() == "Livewell pump").unwrap().id.clone();
    plan.circuits.retain(|circuit| circuit.id != livewell);
    plan.modes.iter_mut().for_each(|mode| mode.on.retain(|used| used.circuit != livewell));
    plan.devices.retain(|device| device.id.as_str() != "livewell-pump");
    let gone =
        [Subject::new(SubjectKind::Device, "livewell-pump"), Subject::new(SubjectKind::Circuit, &livewell)];

    let proposal = again(&with_wish(skiff, "Spotlight at the bow"), &plan, &gone);
    let after = &proposal.plan;
    assert_eq!(after.faults(), []);
    assert_eq!(faults(&proposal), Vec::<String>::new());
    assert_eq!(after.raceways[bow].length_m, plan.raceways[bow].length_m);
    assert_eq!(after.circuit(&horn_id).unwrap().name.as_str(), "Horn and bell");
    assert!(after.devices.iter().all(|device| device.id.as_str() != "livewell-pump"), "it stays removed");
    let light = after.circuits.iter().find(|circuit| circuit.name.as_str() == "Spotlight").unwrap();
    assert!(plan.circuit(&light.id).is_none() && light.id != livewell, "a new circuit has a new id");
    for circuit in &plan.circuits {
        let same = after.circuit(&circuit.id).unwrap();
        assert_eq!(same.legs, circuit.legs, "{}", circuit.id);
    }
    let is_measured = !to_measure(after)
        .iter()
        .any(|row| row.proposed.id.as_str() == "raceway-to-bow" && row.supposed.field.as_str() == "length_m");
    assert!(is_measured, "a measured value does not come back to the list");
}

#[test]
fn what_is_confirmed_stays_confirmed() {
    let skiff = request("skiff");
    let mut plan = proposed(&skiff).plan;
    let confirm = |one: &mut Proposed| one.supposed.clear();
    plan.proposed.iter_mut().filter(|one| one.thing.to_string() == "device/horn").for_each(confirm);
    let after = again(&with_wish(skiff, "Spotlight"), &plan, &[]).plan;
    let rows = to_measure(&after);
    assert!(!rows.iter().any(|row| row.things.iter().any(|thing| thing.id == "horn")));
}

#[test]
fn a_wish_that_is_gone_and_returns_gets_a_new_id() {
    let skiff = request("skiff");
    let first = proposed(&skiff).plan;
    let second = again(&without_wish(skiff.clone(), "Horn"), &first, &[]).plan;
    assert!(second.devices.iter().all(|device| device.id.as_str() != "horn"));
    let lost =
        first.circuits.iter().find(|circuit| second.circuit(&circuit.id).is_none()).unwrap().id.clone();
    let gone = [Subject::new(SubjectKind::Device, "horn"), Subject::new(SubjectKind::Circuit, &lost)];
    let third = again(&skiff, &second, &gone);
    assert_eq!(third.plan.faults(), []);
    let horn = third.plan.devices.iter().find(|device| device.name.as_str() == "Horn").unwrap();
    assert_eq!(horn.id.as_str(), "horn-2");
    assert!(third.plan.circuit(&lost).is_none());
}

#[test]
fn a_proposal_is_written_and_read_as_a_job_file() {
    let file = JobFile { plan: proposed(&request("center-console")).plan, history: History::default() };
    assert_eq!(JobFile::read(file.write().as_bytes()).unwrap(), file);
}
