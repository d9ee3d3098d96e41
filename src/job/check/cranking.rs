//! The current of the starters in every cable that carries it, and the states that have no solution.
//!
//! A feeder that carries a starter's current, marked or not, must withstand it while the engine cranks. So must
//! its protection. The network is solved with all joined batteries, and with each of them alone. Where a state has
//! no solution, the whole current of the starter counts in every feeder between a battery and the engine: the
//! heat needs the current only.

use std::collections::BTreeSet;

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::context::{CheckContext, JoinedPoints};
use super::report::Report;
use crate::job::extent::{Extent, Extents};
use crate::job::finding::Finding;
use crate::job::modes::{ModesReport, SolvedState, StateOf};
use crate::job::network::CircuitModel;
use crate::job::plan::{Circuit, Feeder};
use crate::job::point::{Body, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId, PointId};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::heat;
use crate::trade::protection::opening::{self, MotorSurge};
use crate::trade::say::{Part, say};

/// The work budget of the starts from each battery alone: distribution points, conductors and devices, over all.
const MOST_THINGS: usize = 2_000_000;

pub(super) fn check(
    context: &mut CheckContext<'_>,
    report: &Report,
    modes: &ModesReport,
    wired: &CircuitModel<'_>,
    extents: &Extents<'_>,
) {
    // All on has its own finding, whether or not modes are planned.
    for state in modes.states.iter().filter(|state| state.of != StateOf::AllOn) {
        say_collapsed(context, &state.name, &state.collapsed, |circuit| state.on.contains(circuit));
    }
    let joined: HashSet<&PointId> = context.joined_batteries().into_iter().collect();
    let starts: Vec<Start<'_, '_>> = starts(modes, wired, extents, &joined).collect();
    if starts.iter().map(Start::things).sum::<usize>() > MOST_THINGS {
        return context.say_spent("the current of each starter from each battery alone");
    }
    for (feeder, most) in currents(context, wired, &starts) {
        say_heat(context, report, feeder, ElectricCurrent::new::<ampere>(most));
    }
}

/// Reports the circuits and feeders whose current cannot be calculated in a state without a solution, so that
/// nothing shows that they withstand it. They are the circuits that are on and share a battery with one whose
/// voltage collapses, and the cables of an engine that collapses.
pub(super) fn say_collapsed(
    context: &mut CheckContext<'_>,
    state: &str,
    named: &[Subject],
    on: impl Fn(&CircuitId) -> bool,
) {
    let is_named = |circuit: &&Circuit| named.iter().any(|thing| is_circuit(thing, circuit));
    let weak: HashSet<&PointId> = context
        .plan
        .circuits
        .iter()
        .filter(is_named)
        .flat_map(|circuit| batteries_of(context, circuit))
        .collect();
    let shares = |circuit: &&Circuit| {
        on(&circuit.id) && batteries_of(context, circuit).any(|battery| weak.contains(battery))
    };
    let circuits: Vec<&Circuit> = context.plan.circuits.iter().filter(shares).collect();
    let mut feeders: Vec<&Feeder> = Vec::new();
    feeders
        .extend(circuits.iter().flat_map(|circuit| context.ways_of(circuit)).flat_map(|ways| &ways.feeders));
    let engines = context.plan.points.iter().filter(|point| {
        context.kind(&point.id) == Some(PointKind::Charger)
            && named.contains(&Subject::new(SubjectKind::Point, &point.id))
    });
    feeders.extend(engines.flat_map(|engine| between_batteries_and(context, &engine.id)));
    let of_feeders = feeders.iter().map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id));
    let of_circuits = circuits.iter().map(|circuit| Subject::new(SubjectKind::Circuit, &circuit.id));
    let subjects: BTreeSet<Subject> = of_circuits.chain(of_feeders).collect();
    for subject in subjects {
        let is_said = |said: &Finding| said.code == Code::NotSolved && said.subject == subject;
        if !context.findings.iter().any(is_said) {
            context.say(subject, collapsed(state, named));
        }
    }
}

fn is_circuit(thing: &Subject, circuit: &Circuit) -> bool {
    thing.kind == SubjectKind::Circuit && thing.id == circuit.id.as_str()
}

/// The batteries that may feed a circuit.
fn batteries_of<'a>(context: &CheckContext<'a>, circuit: &Circuit) -> impl Iterator<Item = &'a PointId> {
    let points = context.ways_to(&circuit.from).map(|ways| ways.points.clone()).unwrap_or_default();
    let batteries: Vec<_> =
        points.into_iter().filter(|point| context.kind(point) == Some(PointKind::Battery)).collect();
    batteries.into_iter()
}

fn collapsed(state: &str, named: &[Subject]) -> RuleFinding {
    let text = say!(
        "{}: the voltage collapses at {}. So the current here cannot be calculated. Use thicker or shorter \
         conductors, or less load.",
        state.to_owned(),
        Part::all(named)
    );
    RuleFinding::new(Code::NotSolved, text)
}

/// The feeders of both sides that lie between a battery and an engine.
fn between_batteries_and<'a>(context: &CheckContext<'a>, engine: &PointId) -> Vec<&'a Feeder> {
    let lies = |feeder: &&'a Feeder| {
        let joined = |end: &'a PointId| {
            context.joined(end, |other| other.polarity == feeder.polarity && other.id != feeder.id)
        };
        let [one, other] = [joined(&feeder.from), joined(&feeder.to)];
        let leads = |from: &JoinedPoints<'a>, to: &JoinedPoints<'a>| {
            to.contains(engine) && from.ids().any(|point| context.kind(point) == Some(PointKind::Battery))
        };
        leads(&one, &other) || leads(&other, &one)
    };
    context.plan.feeders.iter().filter(lies).collect()
}

/// The start of an engine: what is joined with it, and the batteries of those that may start it alone.
struct Start<'s, 'a> {
    state: &'s SolvedState,
    engine: &'s PointId,
    extent: &'s Extent<'a>,
    alone: Vec<&'a PointId>,
}

impl Start<'_, '_> {
    /// The work of solving it with each battery alone.
    fn things(&self) -> usize {
        self.alone.len() * self.extent.things()
    }
}

fn starts<'s, 'a>(
    modes: &'s ModesReport,
    wired: &CircuitModel<'_>,
    extents: &'s Extents<'a>,
    joined: &HashSet<&PointId>,
) -> impl Iterator<Item = Start<'s, 'a>> {
    modes.states.iter().filter_map(move |state| {
        let StateOf::EngineStart { engine } = &state.of else { return None };
        let extent = extents.beside(wired, engine);
        let points = extent.points.iter().map(|point| &point.id);
        Some(Start { state, engine, extent, alone: points.filter(|point| joined.contains(point)).collect() })
    })
}

/// The largest current of each feeder while an engine cranks, in A, in the order of the plan.
fn currents<'a>(
    context: &CheckContext<'a>,
    wired: &CircuitModel<'_>,
    starts: &[Start<'_, 'a>],
) -> Vec<(&'a Feeder, f64)> {
    let mut most: HashMap<&'a FeederId, f64> = HashMap::default();
    for Start { state, engine, extent, alone } in starts {
        let alone: Vec<_> = alone.iter().map(|battery| wired.solve_cranking_from(engine, battery)).collect();
        let whole = match is_solved(state) && alone.iter().all(Result::is_ok) {
            true => Vec::new(),
            false => between_batteries_and(context, engine),
        };
        let starter = starter_a(context, engine).unwrap_or_default();
        let mut count = |feeder: &'a Feeder, amperes: f64| {
            let held = most.entry(&feeder.id).or_default();
            *held = held.max(amperes.abs());
        };
        whole.into_iter().for_each(|feeder| count(feeder, starter));
        for feeder in &extent.feeders {
            let Some(conductor) = context.conductors.of_feeder(&feeder.id) else { continue };
            let together = state.conductors.get(&conductor.id).copied();
            let each = alone.iter().flatten().filter_map(|solved| solved.of_conductor(&conductor.id));
            let solved = together.into_iter().chain(each.map(|current| current.get::<ampere>()));
            solved.for_each(|amperes| count(feeder, amperes));
        }
    }
    let of = |feeder: &'a Feeder| Some((feeder, *most.get(&feeder.id)?));
    context.plan.feeders.iter().filter_map(of).collect()
}

fn is_solved(state: &SolvedState) -> bool {
    state.not_solved.is_none()
}

fn starter_a(context: &CheckContext<'_>, engine: &PointId) -> Option<f64> {
    match &context.point(engine)?.body {
        Body::Charger(charger) => charger.starter_a.map(|starter| starter.number()),
        _ => None,
    }
}

/// Reports a conductor that overheats while an engine cranks, and protection that opens.
fn say_heat(context: &mut CheckContext<'_>, report: &Report, feeder: &Feeder, current: ElectricCurrent) {
    let burns =
        report.feeders.get(&feeder.id).and_then(|own| heat::judge_cranking(own.conductor.size?, current));
    let surge = MotorSurge { current, lasts: heat::cranked_for() };
    let opens = report.opener(feeder).and_then(|opener| opening::judge_inrush(&opener, &surge));
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    if burns.is_some() {
        // The finding that leaves this to the manufacturer's manual would contradict this one.
        context.findings.retain(|said| said.code != Code::CrankingNotChecked || said.subject != subject);
    }
    context.say_all(&subject, burns.into_iter().chain(opens));
}
