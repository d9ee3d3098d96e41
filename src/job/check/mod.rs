//! The check of a whole plan: every circuit, feeder and point, with its figures and findings.
//!
//! First each circuit and feeder is checked by itself against the rules. That decides the sizes and the
//! routes. Then the network is solved with every circuit on, which gives the current through each point.

mod batteries;
mod charging;
mod circuit;
mod circuit_size;
mod connections;
mod context;
mod feeder;
mod fuses;
mod guard;
mod inrush;
mod joint;
mod legs;
mod panel;
mod point;
mod protect;
mod report;
mod scope;
mod shorts;
mod size;
mod sizes;
mod solved;
mod sources;

pub use joint::report::{JointReport, LeftOut, TreeOutcome, TreeReport, UnmetLimit, WireSize};
pub use joint::together;
pub use report::{By, CircuitReport, ConductorReport, FeederReport, PointReport, ProtectionReport, Report};
pub use sizes::Sizes;

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

use context::{CheckContext, Index};

use super::materials::Materials;
use super::names::Names;
use super::plan::Plan;
use super::routing::Routes;
use super::wiring::Conductors;
use super::{board, color, energy, length, lights, modes, termination};
use crate::trade::conductor::Size;

/// Checks a whole plan.
///
/// The plan must have no [faults](Plan::faults). Anything that refers to an unknown id is skipped.
pub fn check(plan: &Plan) -> Report {
    let index = Index::of(plan);
    let routes = Routes::settle(plan, |conductors| settled_sizes(plan, conductors, index.clone()));
    let conductors = Conductors::along(plan, &routes.ways());
    let (routed, of_routes) = routes.report(&conductors);
    let mut context = CheckContext::new(plan, &conductors, index);
    let (energy, of_energy) = energy::check(plan);
    let (lights, of_lights) = lights::check(plan);
    let (circuits, gaps) = circuit::check_all(&mut context);
    let mut report = Report {
        rules: plan.job.rules,
        nominal_v: plan.job.nominal_v.number(),
        circuits,
        feeders: BTreeMap::new(),
        points: BTreeMap::new(),
        routes: routed,
        modes: None,
        energy,
        lights,
        joint: None,
        materials: Materials::default(),
        findings: Vec::new(),
    };
    let (feeders, fuses) = feeder::check_all(&mut context);
    report.feeders = feeders;
    circuit::say_gaps(&mut context, gaps, &fuses, &mut report.circuits);
    add_lengths(&mut report, plan, &conductors);
    inrush::say_inrush_before(&mut context, &report);
    sources::check(&mut context, &report);
    batteries::check(&mut context);
    let sizes = Sizes::of(&report);
    let (mut answers, mut of_modes) = (solved::Answers::default(), Vec::new());
    match sizes.wire(plan, &conductors) {
        Ok(wired) => {
            let all_on = wired.solve(|_| true);
            answers = solved::fill(&mut context, &mut report, &wired, &all_on);
            let (modes, said) = modes::check(plan, &conductors, &wired, &all_on);
            solved::say_drop_from_battery(&mut context, &report, &modes);
            solved::say_cranking(&mut context, &report, &modes, &wired);
            (report.modes, of_modes) = (Some(modes), said);
        }
        Err(unusable) => solved::say_unusable(&mut context, &unusable),
    }
    report.points = point::check_all(&mut context, &report, &answers);
    connections::check(&mut context, &report);
    context.say_left_out();
    scope::check(&mut context);
    report.findings = context.findings;
    report.findings.extend(of_routes.into_iter().chain(of_energy).chain(of_lights));
    report.findings.extend(board::check::check(plan));
    report.findings.extend(color::check(plan));
    let (ends, of_ends) = termination::check(plan, &conductors, |conductor| sizes.get(conductor));
    report.findings.extend(of_ends);
    report.add_unsaid(of_modes);
    report.materials = Materials::of(plan, &report.routes, ends);
    report.findings.sort_by_key(|finding| (Reverse(finding.level), finding.subject.clone()));
    give_names(&mut report, plan);
    report
}

fn give_names(report: &mut Report, plan: &Plan) {
    let names = Names::of(plan);
    names.give(&mut report.findings);
    let cables = report.routes.runs.values_mut().filter_map(|run| run.cable.as_mut());
    cables.for_each(|cable| names.put_into(&mut cable.verdict));
    let states = report.modes.iter_mut().flat_map(|modes| &mut modes.states);
    states.filter_map(|state| state.not_solved.as_mut()).for_each(|trouble| names.put_into(trouble));
}

/// Adds the length of each feeder and how it was calculated.
fn add_lengths(report: &mut Report, plan: &Plan, conductors: &Conductors) {
    for (id, feeder) in &mut report.feeders {
        let wire = conductors.of_feeder(id);
        feeder
            .conductor
            .workings
            .extend(wire.iter().flat_map(|wire| length::of_wire(plan, conductors, &report.routes, wire)));
    }
}

/// The size of each conductor along its route, given or chosen.
fn settled_sizes<'a>(plan: &'a Plan, conductors: &'a Conductors, index: Rc<Index<'a>>) -> Vec<Option<Size>> {
    let context = CheckContext::new(plan, conductors, index);
    let sizes = Sizes { circuits: circuit_size::sizes(&context), feeders: feeder::sizes(&context) };
    conductors.all().iter().map(|conductor| sizes.get(conductor)).collect()
}
