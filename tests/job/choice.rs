//! Choices of sizes and fuses: what is taken over into the plan is judged as when it was chosen.

use std::collections::BTreeSet;

use driploop::job::check::{Report, check, compared};
use driploop::job::choice::{self, Choice};
use driploop::job::plan::Plan;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::shop::demo;
use driploop::trade::finding::{Code, Level};

fn boats() -> Vec<Plan> {
    demo::files().unwrap().into_iter().map(|file| file.plan).collect()
}

fn taken(plan: &Plan, choice: &Choice) -> Plan {
    let mut plan = plan.clone();
    plan.feeders.iter_mut().for_each(|feeder| *feeder = choice.take_feeder(feeder.clone()));
    plan.circuits.iter_mut().for_each(|circuit| *circuit = choice.take_circuit(circuit.clone()));
    plan
}

/// The findings about wires that are more than notes.
fn wrong(report: &Report) -> BTreeSet<(Subject, Code)> {
    let is_wire = |kind| matches!(kind, SubjectKind::Feeder | SubjectKind::Circuit);
    let wrong = report.findings.iter().filter(|one| one.level > Level::Note && is_wire(one.subject.kind));
    wrong.map(|one| (one.subject.clone(), one.code)).collect()
}

#[test]
fn all_choices_taken_have_no_finding_that_they_did_not_have_when_chosen() {
    for plan in boats() {
        let choice = Choice::of(&plan, &choice::choosable(&plan));
        let after = check(&taken(&plan, &choice));
        let new: Vec<_> = wrong(&after).difference(&wrong(&choice.report)).cloned().collect();
        assert_eq!(new, [], "{}", plan.boat.name);
        for wire in &choice.wires {
            let figures = after.of_wire(wire).unwrap();
            assert_eq!(choice.get(wire), Some(choice::settled(figures)), "{wire} of {}", plan.boat.name);
        }
    }
}

/// Each wire by itself, with all others as planned. Two checks a wire take long on the largest boat.
#[test]
fn a_single_choice_taken_has_no_finding_that_it_did_not_have_when_chosen() {
    for plan in boats().into_iter().filter(|plan| plan.circuits.len() < 30) {
        for wire in choice::choosable(&plan) {
            let choice = Choice::of(&plan, &BTreeSet::from([wire.clone()]));
            let of_it = |report: &Report| -> Vec<_> {
                wrong(report).into_iter().filter(|(subject, _)| *subject == wire).collect()
            };
            let after = of_it(&check(&taken(&plan, &choice)));
            assert_eq!(after, of_it(&choice.report), "{wire} of {}", plan.boat.name);
        }
    }
}

#[test]
fn filling_what_is_open_replaces_nothing() {
    for plan in boats() {
        let report = check(&plan);
        for feeder in &plan.feeders {
            let filled = choice::filled_feeder(feeder.clone(), &report);
            assert_eq!(feeder.size.map(|_| filled.size), feeder.size.map(Some));
        }
        for circuit in &plan.circuits {
            let filled = choice::filled_circuit(circuit.clone(), &report);
            assert_eq!(circuit.size.map(|_| filled.size), circuit.size.map(Some));
            let rating = |own: &driploop::job::plan::Circuit| own.protection.as_ref()?.rating_a;
            assert!(rating(circuit).is_none_or(|_| rating(&filled) == rating(circuit)), "{}", circuit.id);
        }
    }
}

#[test]
fn a_starter_cable_keeps_its_size() {
    for plan in boats() {
        let choice = Choice::of(&plan, &choice::choosable(&plan));
        for feeder in plan.feeders.iter().filter(|feeder| feeder.cranking) {
            assert_eq!(choice.take_feeder(feeder.clone()), *feeder);
        }
    }
}

/// Entered sizes count as copper too: length x area of every wire but the starter cables.
#[test]
fn copper_counts_the_wires_whose_size_is_entered() {
    for plan in boats() {
        let choice = Choice::of(&plan, &choice::choosable(&plan));
        let joint = compared(&plan, &check(&plan), &choice.open, &choice.report);
        for wire in joint.wires.iter().filter(|wire| choice.wires.contains(&wire.subject)) {
            assert!(wire.copper_m > 0.0 || wire.planned.is_none(), "{} of {}", wire.subject, plan.boat.name);
        }
        assert!(joint.lower_bound_kg <= joint.anew_kg, "{}", plan.boat.name);
    }
}
