//! Distribution points: the current through each against its rating, and its positions.

use std::collections::{BTreeMap, BTreeSet};

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::milliohm;

use super::context::CheckContext;
use super::panel;
use super::report::{PointReport, Report};
use super::solved::Answers;
use crate::job::panel::FreePositions;
use crate::job::plan::{Circuit, Feeder, Polarity, Wiring};
use crate::job::point::{Body, Point, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, PointId};
use crate::trade::dc_network::ShortCircuit;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, say};
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::units::{amps, count};
use crate::trade::working::{Working, figure, keeps_to};

pub(super) fn check_all(
    context: &mut CheckContext<'_>,
    report: &Report,
    answers: &Answers,
) -> BTreeMap<PointId, PointReport> {
    let through = circuits_through(context);
    let used = positions_used(context);
    let free = FreePositions::of(context.plan);
    let mut points = BTreeMap::new();
    for point in &context.plan.points {
        let circuits = through.get(&point.id).map(Vec::as_slice).unwrap_or_default();
        let figures = figures(point, circuits, report, answers, used.get(&point.id).copied().unwrap_or(0));
        say_rating(context, point, circuits, &figures);
        say_positions(context, point, &figures);
        if !circuits.is_empty() {
            say_ways(context, point);
        }
        if let Body::SwitchPanel(panel) = &point.body {
            panel::check(context, point, panel, &free, report);
        }
        points.insert(point.id.clone(), figures);
    }
    panel::say_unswitched(context);
    points
}

fn figures(
    point: &Point,
    circuits: &[&CircuitId],
    report: &Report,
    answers: &Answers,
    positions_used: usize,
) -> PointReport {
    let currents = circuits.iter().map(|id| report.circuits.get(*id)?.conductor.design_current_a);
    let positions = point.body.position_count();
    let Answers { passing, shorts } = answers;
    let short = shorts.get(&point.id);
    PointReport {
        kind: point.body.kind(),
        voltage_v: passing.volts.get(&point.id).copied(),
        current_a: passing.amperes.get(&point.id).copied(),
        design_current_a: currents.sum(),
        rating_a: point.body.rating().map(|rating| rating.number()),
        positions,
        positions_used,
        positions_free: positions.map(|all| all.saturating_sub(positions_used)),
        short_circuit_a: short.map(|short| short.current().get::<ampere>()),
        workings: passing.working(&point.id).into_iter().chain(short.map(short_circuit)).collect(),
    }
}

fn short_circuit(short: &ShortCircuit) -> Working {
    Working {
        what: Quantity::PointShortCircuit,
        formula: "I = V / R, R of all batteries, conductors, contacts and fuses in the path, loads off",
        numbers: format!(
            "{} V / {} mohm",
            figure(short.open_circuit().get::<volt>()),
            figure(short.behind().get::<milliohm>())
        )
        .into(),
        result: format!("{} A", figure(short.current().get::<ampere>())).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// For each point, the circuits whose current may pass it, out or back.
fn circuits_through<'a>(context: &CheckContext<'a>) -> HashMap<&'a PointId, Vec<&'a CircuitId>> {
    let mut through: HashMap<&PointId, Vec<&CircuitId>> = HashMap::default();
    for circuit in &context.plan.circuits {
        let mut passed: BTreeSet<&'a PointId> = BTreeSet::new();
        passed.extend(context.ways_of(circuit).iter().flat_map(|ways| ways.points.iter().copied()));
        passed.extend(circuit.switch.as_ref().map(|at| &at.panel));
        passed.extend(circuit.junction.as_ref());
        for point in passed {
            through.entry(point).or_default().push(&circuit.id);
        }
    }
    through
}

/// On a fuse block or junction bar, each circuit uses one position. On a bus bar, each conductor that lands
/// there uses one. On a switch panel, each position with a circuit counts.
fn positions_used<'a>(context: &CheckContext<'a>) -> HashMap<&'a PointId, usize> {
    let mut used: HashMap<&PointId, usize> = HashMap::default();
    let mut switches: BTreeSet<(&PointId, u16)> = BTreeSet::new();
    for circuit in &context.plan.circuits {
        let from =
            if context.kind(&circuit.from) == Some(PointKind::PositiveBus) { pairs_from(circuit) } else { 1 };
        if context.kind(&circuit.from) != Some(PointKind::SwitchPanel) {
            *used.entry(&circuit.from).or_default() += from;
        }
        *used.entry(&circuit.r#return).or_default() += returns(circuit);
        if let Some(junction) = circuit.junction.as_ref().filter(|junction| **junction != circuit.from) {
            *used.entry(junction).or_default() += 1;
        }
        switches.extend(circuit.switch.as_ref().map(|at| (&at.panel, at.position)));
    }
    for (panel, _) in switches {
        *used.entry(panel).or_default() += 1;
    }
    for feeder in &context.plan.feeders {
        for end in [&feeder.from, &feeder.to] {
            let bar = matches!(context.kind(end), Some(PointKind::PositiveBus | PointKind::NegativeBus));
            if bar {
                *used.entry(end).or_default() += 1;
            }
        }
    }
    used
}

/// How many conductors of a circuit leave the bus bar that feeds it.
fn pairs_from(circuit: &Circuit) -> usize {
    let spread = circuit.wiring == Wiring::HomeRuns && circuit.switch.is_none() && circuit.junction.is_none();
    if spread { circuit.legs.len() } else { 1 }
}

/// How many returns of a circuit land on its return point.
fn returns(circuit: &Circuit) -> usize {
    match circuit.wiring {
        Wiring::Chain => 1,
        Wiring::HomeRuns => circuit.legs.len(),
    }
}

fn say_rating(context: &mut CheckContext<'_>, point: &Point, circuits: &[&CircuitId], figures: &PointReport) {
    let subject = Subject::new(SubjectKind::Point, &point.id);
    let kind = point.body.kind();
    let charged = context.charging().through_point(&point.id);
    if kind.is_source() || (circuits.is_empty() && charged.is_none()) {
        return;
    }
    if kind == PointKind::SwitchPanel && figures.rating_a.is_none() && !is_bus(context, &point.id) {
        // Its positions carry the current, and each has its own rating.
        return;
    }
    let of_loads =
        figures.design_current_a.map(|design| design.max(figures.current_a.unwrap_or_default().abs()));
    let charged = charged.unwrap_or(Some(0.0));
    let Some(rating) = figures.rating_a else {
        return context.say(subject, RuleFinding::missing("its rating", "the current that passes it"));
    };
    let Some((of_loads, charged)) = of_loads.zip(charged) else {
        let lacks = if charged.is_none() {
            "the rating of what charges through it"
        } else {
            "the current of its circuits"
        };
        return context.say(subject, RuleFinding::missing(lacks, "the current that passes it"));
    };
    let passing = of_loads.max(charged);
    if keeps_to(passing, rating) {
        return;
    }
    let (most, rated) = (amps(passing).beside(rating), amps(rating));
    let text = if charged > of_loads {
        say!(
            "{} can pass it while the batteries charge; its rating is {}. Fit a larger one or divide what charges.",
            most,
            rated
        )
    } else {
        say!("{} can pass it; its rating is {}. Fit a larger one or divide the load.", most, rated)
    };
    context.say(subject, RuleFinding::new(Code::PointOverRating, text).against(passing, rating, "A"));
}

/// Whether circuits or feeders take power from the panel as a whole, or bring power to it.
fn is_bus(context: &CheckContext<'_>, point: &PointId) -> bool {
    let fed = |polarity| polarity == Polarity::Positive;
    context.plan.circuits.iter().any(|circuit| circuit.from == *point)
        || context
            .plan
            .feeders
            .iter()
            .any(|feeder| fed(feeder.polarity) && (feeder.to == *point || feeder.from == *point))
}

/// If two feeders bring the current or return it, each may have to carry it alone.
fn say_ways(context: &mut CheckContext<'_>, point: &Point) {
    if point.body.kind().is_source() {
        return;
    }
    let meets = |feeder: &&Feeder| match feeder.polarity {
        Polarity::Positive => feeder.to == point.id && context.kind(&feeder.from) != Some(PointKind::Charger),
        Polarity::Negative => feeder.from == point.id && context.kind(&feeder.to) != Some(PointKind::Charger),
    };
    let ids: Vec<_> = context.plan.feeders.iter().filter(meets).map(|feeder| &feeder.id).collect();
    if ids.len() > 1 {
        let text = say!(
            "{} meet here. Each is sized for the whole current, because it may have to carry it alone.",
            Part::all(ids)
        );
        context
            .say(Subject::new(SubjectKind::Point, &point.id), RuleFinding::new(Code::SeveralFeeders, text));
    }
}

fn say_positions(context: &mut CheckContext<'_>, point: &Point, figures: &PointReport) {
    let Some(positions) = figures.positions else { return };
    if figures.positions_used <= positions {
        return;
    }
    let text = say!(
        "{} positions are needed; it has {}. Fit a larger one or move circuits elsewhere.",
        count(figures.positions_used),
        count(positions)
    );
    context.say(Subject::new(SubjectKind::Point, &point.id), RuleFinding::new(Code::TooFewPositions, text));
}
