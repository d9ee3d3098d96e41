//! Proposed plans before a judge of their own: a script that reads the job files and shares no code with the program.

use std::io::Write;
use std::process::{Command, Stdio};

use driploop::job::event::History;
use driploop::job::file::JobFile;
use driploop::job::propose::Proposal;

use super::random::{self, tries};
use super::{proposed, requests};

/// The proposal as a job file.
fn written(proposal: &Proposal) -> String {
    JobFile { plan: proposal.plan.clone(), history: History::default() }.write()
}

/// What the script says of each job file.
fn judged(jobs: &[String]) -> Vec<Vec<String>> {
    let python = std::env::var("DRIPLOOP_PYTHON").unwrap_or_else(|_| ".venv/bin/python".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracles/proposed_plans.py");
    let run = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let mut run = run.unwrap_or_else(|_| panic!("{python} cannot be started; tests/run installs it"));
    let mut input = run.stdin.take().unwrap();
    input.write_all(format!("[{}]", jobs.join(",")).as_bytes()).unwrap();
    drop(input);
    let output = run.wait_with_output().unwrap();
    assert!(output.status.success(), "the script ends with an error");
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn the_script_finds_nothing_wrong_with_random_proposals() {
    let requests = (0..tries()).map(random::request);
    let named = ["skiff", "center-console"].map(requests::request);
    let jobs: Vec<String> = requests.chain(named).map(|request| written(&proposed(&request))).collect();
    let wrong = judged(&jobs);
    assert_eq!(wrong.len(), jobs.len());
    let wrong: Vec<String> = (0..)
        .zip(wrong)
        .filter(|(_, said)| !said.is_empty())
        .map(|(seed, said)| format!("{seed}: {}", said.join("; ")))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The script sees what it must see: a pump behind the switch, a fuse over its wire, a light alone.
#[test]
fn the_script_sees_a_broken_plan() {
    let job = written(&proposed(&requests::request("skiff")));
    let broken = job
        .replace("\"from\": \"fb-always\"", "\"from\": \"fb\"")
        .replace("\"size\": \"16 AWG\"", "\"size\": \"18 AWG\"")
        .replace("\"light\": \"all-round\"", "\"light\": \"masthead\"");
    let said = judged(&[broken]).concat().join("; ");
    for needed in ["P3", "P9"] {
        assert!(said.contains(needed), "{needed} is not in: {said}");
    }
}
