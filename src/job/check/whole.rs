//! The check of a whole plan: routes, sizes and everything that follows from them.

use std::cmp::Reverse;
use std::rc::Rc;

use super::context::{CheckContext, Index};
use super::joint::{Broken, broken_limits};
use super::needed::Needed;
use super::report::Report;
use super::sizes::Sizes;
use super::{
    batteries, circuit, circuit_size, connections, cranking, feeder, inrush, joint, own_drop, point, scope,
    solved, sources, total_drop,
};
use crate::job::extent::Extents;
use crate::job::finding::Finding;
use crate::job::materials::Materials;
use crate::job::names::Names;
use crate::job::plan::Plan;
use crate::job::routing::{Routes, RoutesReport};
use crate::job::wiring::Conductors;
use crate::job::{board, color, energy, length, lights, modes, supposed, termination};
use crate::trade::conductor::Size;

/// How often sizes that the network needs may change the routes, and the routes the sizes.
const MOST_ROUTED: usize = 3;

/// Checks a whole plan, with the sizes and ratings chosen that it leaves open.
///
/// The plan must have no [faults](Plan::faults). Anything that refers to an unknown id is skipped.
pub fn check(plan: &Plan) -> Report {
    let index = Index::of(plan);
    let mut needed = Needed::default();
    for _ in 1..MOST_ROUTED {
        let (routed, next) = settled(plan, &index, &needed);
        if next.0 == needed {
            return finished(plan, routed, next.1);
        }
        needed = next.0;
    }
    let (routed, (_, report)) = settled(plan, &index, &needed);
    finished(plan, routed, report)
}

/// The routes with the sizes that the network needed so far, and the check with these routes.
fn settled<'a>(plan: &'a Plan, index: &Rc<Index<'a>>, needed: &Needed) -> (Routed, (Needed, Report)) {
    let routes = Routes::settle(plan, |conductors| settled_sizes(plan, conductors, index.clone(), needed));
    let conductors = Conductors::along(plan, &routes.ways());
    let check = |needed: &Needed| electrics(plan, &conductors, index.clone(), needed);
    let checked = joint::settle(plan, &conductors, needed, check);
    let (report, findings) = routes.report(&conductors);
    (Routed { conductors, report, findings }, checked)
}

/// The conductors along their routes, and what there is to say about these.
struct Routed {
    conductors: Conductors,
    report: RoutesReport,
    findings: Vec<Finding>,
}

/// One check of everything that depends on sizes and ratings, and the limits that others may keep.
fn electrics(
    plan: &Plan,
    conductors: &Conductors,
    index: Rc<Index<'_>>,
    needed: &Needed,
) -> (Report, Vec<Broken>) {
    let mut context = CheckContext::new(plan, conductors, index, needed);
    let (circuits, of_circuits) = circuit::check_all(&mut context);
    let mut report = Report::of_circuits(plan, circuits);
    let (feeders, fuses) = feeder::check_all(&mut context);
    report.feeders = feeders;
    circuit::say_gaps(&mut context, of_circuits, &fuses, &mut report.circuits);
    inrush::say_inrush_before(&mut context, &report);
    sources::check(&mut context, &report);
    batteries::check(&mut context);
    let (mut answers, mut of_modes) = (solved::Answers::default(), Vec::new());
    let mut broken = Vec::new();
    match solved::Loaded::of(plan, conductors, &report, &Sizes::of(&report)) {
        Ok(loaded) => {
            let supplied = solved::supplied(&context, &report);
            let all_on = loaded.warm.solve(|_| true);
            let extents = Extents::of(plan, conductors, &loaded.warm);
            answers = solved::fill(&mut context, &mut report, &loaded, &extents.whole, &all_on, &supplied);
            let (mut modes, said) = modes::check(plan, conductors, &loaded.warm, &extents, &all_on);
            modes.keep_only(&supplied);
            own_drop::check(&mut context, &report, &loaded.copper);
            total_drop::check(&mut context, &report, &modes);
            cranking::check(&mut context, &report, &modes, &loaded.warm, &extents);
            broken = broken_limits(&context, &report, &loaded.warm, &modes);
            (report.modes, of_modes) = (Some(modes), said);
        }
        Err(unusable) => solved::say_unusable(&mut context, &unusable),
    }
    report.points = point::check_all(&mut context, &report, &answers);
    connections::check(&mut context, &report);
    context.say_left_out();
    scope::check(&mut context);
    report.findings = context.findings;
    report.add_unsaid(of_modes);
    (report, broken)
}

/// The check with everything in it that does not depend on chosen ratings.
fn finished(plan: &Plan, routed: Routed, mut report: Report) -> Report {
    let Routed { conductors, report: routes, findings: of_routes } = routed;
    report.routes = routes;
    add_lengths(&mut report, plan, &conductors);
    let (energy, of_energy) = energy::check(plan);
    let (lights, of_lights) = lights::check(plan);
    (report.energy, report.lights) = (energy, lights);
    report.findings.extend(of_routes.into_iter().chain(of_energy).chain(of_lights));
    report.findings.extend(board::check::check(plan));
    report.findings.extend(color::check(plan));
    report.findings.extend(supposed::findings(plan));
    let sizes = Sizes::of(&report);
    let (ends, of_ends) = termination::check(plan, &conductors, |conductor| sizes.get(conductor));
    report.findings.extend(of_ends);
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
fn settled_sizes<'a>(
    plan: &'a Plan,
    conductors: &'a Conductors,
    index: Rc<Index<'a>>,
    needed: &'a Needed,
) -> Vec<Option<Size>> {
    let sizes = sizes_by_themselves(&CheckContext::new(plan, conductors, index, needed));
    conductors.all().iter().map(|conductor| sizes.get(conductor)).collect()
}

/// The size of each circuit and feeder that its own rules and the network so far need.
pub(super) fn sizes_by_themselves(context: &CheckContext<'_>) -> Sizes {
    Sizes { circuits: circuit_size::sizes(context), feeders: feeder::sizes(context) }
}
