//! Labels: what the shop's rule makes of a plan, and that no two wires ever share one.

use std::collections::HashMap;

use driploop::job::file::JobFile;
use driploop::job::label::{Labels, Limit, Rule, Word};
use driploop::job::plan::Plan;
use driploop::job::wiring::Conductors;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};

use crate::fixture::{self, sound};

fn labels(plan: &Plan, rule: &str, limit: usize) -> Labels {
    let rule: Rule = rule.parse().expect("a rule");
    Labels::of(plan, &Conductors::of(plan), |conductor| conductor.size, &rule, Limit::new(limit))
}

fn texts(change: impl FnOnce(&mut Value), rule: &str, limit: usize) -> Vec<String> {
    let labels = labels(&fixture::plan(change), rule, limit);
    labels.all().iter().map(|label| label.text.clone()).collect()
}

#[test]
fn both_ends_say_which_wire_and_where_it_goes() {
    let plan = fixture::plan(|_| {});
    let labels = labels(&plan, Rule::default().as_str(), 24);
    let said = |end: &str| labels.get(end).map(|label| label.text.as_str());
    assert_eq!(said("C01-1a"), Some("C01-1a panel 1"));
    assert_eq!(said("C01-1b"), Some("C01-1b fb1"));
    assert_eq!(said("C01-4b"), Some("C01-4b neg1"), "a return's far end is at the device");
    assert_eq!(said("F1a"), Some("F1a fb1"));
    assert_eq!(labels.all().len(), 2 * Conductors::of(&plan).all().len());
    assert_eq!(labels.findings(), []);
}

#[test]
fn every_part_of_a_rule_says_what_its_description_promises() {
    let rule = "{circuit}|{n}|{end}|{side}|{here}|{far}|{far-name}|{location}|{name}|{size}|{color}";
    let said = texts(|_| {}, rule, 200);
    assert_eq!(said[4], "C01|3|a|+|jb1|side|Sidelights|Bow|Navigation lights|16 AWG|orange");
    assert!(said.last().expect("a feeder").starts_with("F2|b|-|"), "{said:?}");
}

#[test]
fn a_rule_may_label_both_ends_of_a_wire_alike() {
    assert_eq!(texts(|_| {}, "{wire}", 24)[..4], ["C01-1", "C01-1", "C01-2", "C01-2"]);
}

#[test]
fn wires_worded_alike_are_numbered_and_it_is_said() {
    let plan = fixture::plan(|_| {});
    let labels = labels(&plan, "{circuit} {side}", 24);
    let said: Vec<&str> = labels.all().iter().map(|label| label.text.as_str()).collect();
    assert_eq!(said[..6], ["C01 +", "C01 +", "C01 +~2", "C01 +~2", "C01 +~3", "C01 +~3"]);
    let findings = labels.findings();
    assert_eq!(fixture::told(&findings[0]), "note labels-alike conductor/C01-2");
    let text = fixture::said(&findings[0]);
    assert!(text.contains("it now reads \u{2018}C01 +~2\u{2019}"), "{text}");
}

/// An id of a few letters, so that one is often the beginning of another or the same in capitals.
fn id() -> impl Strategy<Value = String> {
    prop_oneof!["[cC][0-2](-[1-3])?", "[A-C]{28,32}"]
}

fn any_rule() -> impl Strategy<Value = String> {
    let word = select(Word::ALL.to_vec()).prop_map(|word| format!("{{{}}}", word.text()));
    let part = (word, select(vec!["", " ", "-", "~2", "/ "])).prop_map(|(word, text)| word + text);
    (vec(part, 0..5), select(vec!["{wire}", "{circuit}"]), 0_usize..5).prop_map(|(mut parts, wire, at)| {
        parts.insert(at.min(parts.len()), wire.to_owned());
        parts.concat()
    })
}

/// The sound job with other circuits and feeders, where that is still a job.
fn any_plan() -> impl Strategy<Value = Plan> {
    (vec((id(), "[a-zA-Zß ]{0,40}[a-zß]"), 1..8), vec(id(), 0..4)).prop_filter_map(
        "ids are used once",
        |(circuits, feeders)| {
            let mut job = sound();
            let model = job["circuits"][0].clone();
            job["modes"] = json!([]);
            job["circuits"] = circuits
                .iter()
                .map(|(id, name)| {
                    let mut circuit = model.clone();
                    (circuit["id"], circuit["name"]) = (json!(id), json!(name.trim()));
                    circuit
                })
                .collect();
            for id in feeders {
                let mut feeder = job["feeders"][0].clone();
                feeder["id"] = json!(id);
                job["feeders"].as_array_mut()?.push(feeder);
            }
            JobFile::read(job.to_string().as_bytes()).ok().map(|file| file.plan)
        },
    )
}

proptest! {
    #[test]
    fn labels_never_collide_and_never_exceed_their_limit(
        plan in any_plan(), rule in any_rule(), limit in 8_usize..40,
    ) {
        let labels = labels(&plan, &rule, limit);
        let mut wire_of: HashMap<String, &str> = HashMap::new();
        for label in labels.all() {
            prop_assert!(!label.text.trim().is_empty(), "{label:?}");
            prop_assert!(label.text.chars().count() <= limit, "{label:?}");
            let wire = label.on.id.as_str();
            let other = wire_of.insert(label.text.to_lowercase(), wire);
            prop_assert!(other.is_none_or(|other| other == wire), "{} on {wire} and {other:?}", label.text);
        }
        prop_assert_eq!(labels.all().len(), 2 * Conductors::of(&plan).all().len());
    }

    #[test]
    fn a_circuit_added_at_the_end_leaves_the_labels_before_it(
        plan in any_plan(), rule in any_rule(), limit in 8_usize..40,
    ) {
        let whole = labels(&plan, &rule, limit);
        let mut earlier = plan.clone();
        earlier.feeders.clear();
        earlier.circuits.pop();
        let before = labels(&earlier, &rule, limit);
        prop_assert_eq!(before.all(), &whole.all()[..before.all().len()]);
    }
}
