//! Switch panels: the current of each switch, whether its label fits its circuit, and positions without
//! circuits.

use std::collections::BTreeMap;

use super::context::CheckContext;
use super::report::Report;
use crate::job::panel::{self, Fits, FreePositions};
use crate::job::plan::Circuit;
use crate::job::point::{Engraved, Panel, Point, PointKind, Position, SwitchKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::CircuitId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};
use crate::trade::units::{amps, count};
use crate::trade::working::keeps_to;

/// Checks one panel, position by position.
pub(super) fn check(
    context: &mut CheckContext<'_>,
    point: &Point,
    panel: &Panel,
    free_positions: &FreePositions<'_>,
    report: &Report,
) {
    let mut switched: BTreeMap<u16, Vec<&Circuit>> = BTreeMap::new();
    for circuit in &context.plan.circuits {
        if let Some(at) = circuit.switch.as_ref().filter(|at| at.panel == point.id) {
            switched.entry(at.position).or_default().push(circuit);
        }
    }
    let mut free: Vec<&Position> = Vec::new();
    for (number, position) in (1u16..).zip(&panel.positions) {
        let Some(circuits) = switched.get(&number) else {
            free.push(position);
            continue;
        };
        let subject = Subject::new(SubjectKind::Position, format!("{}-{number}", point.id));
        say_shared(context, &subject, position, circuits);
        say_current(context, &subject, position, circuits, report);
        say_label(context, &subject, free_positions, position, circuits);
    }
    if !free.is_empty() {
        let labels = Part::all(free.iter().map(|position| position.label.to_string()));
        let text =
            say!("{} of {} positions are free: {}.", count(free.len()), count(panel.positions.len()), labels);
        context.say(Subject::new(SubjectKind::Point, &point.id), RuleFinding::new(Code::PositionsFree, text));
    }
}

/// Reports circuits without a switch in one finding: for some that is correct, for others it is an error.
pub(super) fn say_unswitched(context: &mut CheckContext<'_>) {
    let has_panel = context.plan.points.iter().any(|point| point.body.kind() == PointKind::SwitchPanel);
    let is_open = |circuit: &&Circuit| {
        circuit.switch.is_none() && context.kind(&circuit.from) != Some(PointKind::SwitchPanel)
    };
    let ids: Vec<&CircuitId> =
        context.plan.circuits.iter().filter(is_open).map(|circuit| &circuit.id).collect();
    if has_panel && !ids.is_empty() {
        let text = say!("No panel switch works {}. They are on whenever their source is.", Part::all(ids));
        context.say(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::CircuitsUnswitched, text));
    }
}

/// Two functions on one switch go on and off together, unless its throws separate them.
fn say_shared(context: &mut CheckContext<'_>, subject: &Subject, position: &Position, circuits: &[&Circuit]) {
    let several = circuits.len() > 1;
    if position.switch == Some(SwitchKind::OnOffOn) {
        let unnamed: Vec<&CircuitId> =
            circuits.iter().filter(|circuit| throws(circuit).is_empty()).map(|circuit| &circuit.id).collect();
        if !unnamed.is_empty() {
            let what = say!("the throw in which each of these is on: {}", Part::all(unnamed));
            context.say(subject.clone(), RuleFinding::missing(what, "what each throw of the switch works"));
        }
    } else if several {
        let ids = Part::all(circuits.iter().map(|circuit| &circuit.id));
        let text = say!("{} works several circuits together: {}.", position.label.to_string(), ids);
        context.say(subject.clone(), RuleFinding::new(Code::SwitchShared, text));
    }
}

/// The throws in which a circuit is on.
fn throws(circuit: &Circuit) -> &[u16] {
    circuit.switch.as_ref().map_or(&[], |at| &at.throws)
}

/// A switch carries all circuits that are on in its most heavily loaded throw.
fn say_current(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    position: &Position,
    circuits: &[&Circuit],
    report: &Report,
) {
    let sum = |circuits: &mut dyn Iterator<Item = &&Circuit>| -> Option<f64> {
        circuits.map(|circuit| report.circuits.get(&circuit.id)?.conductor.design_current_a).sum()
    };
    let in_throws = (1u16..)
        .take(position.throws.len())
        .map(|throw| sum(&mut circuits.iter().filter(|circuit| throws(circuit).contains(&throw))));
    let current = match position.throws.is_empty() {
        true => sum(&mut circuits.iter()),
        false => in_throws.collect::<Option<Vec<f64>>>().map(|throws| throws.into_iter().fold(0.0, f64::max)),
    };
    match (current, position.rating_a.map(|rating| rating.number())) {
        (_, None) => {
            context.say(
                subject.clone(),
                RuleFinding::missing("the rating of the switch", "the current that it switches"),
            );
        }
        (Some(current), Some(rating)) if !keeps_to(current, rating) => {
            let text = say!(
                "{} switches {}; its rating is {}. Fit a heavier switch or a relay.",
                position.label.to_string(),
                amps(current).beside(rating),
                amps(rating)
            );
            let finding = RuleFinding::new(Code::SwitchOverRating, text).against(current, rating, "A");
            context.say(subject.clone(), finding);
        }
        _ => {}
    }
}

/// With a wrong or missing label, somebody operates the wrong switch in the dark.
fn say_label(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    free: &FreePositions<'_>,
    position: &Position,
    circuits: &[&Circuit],
) {
    let Some(odd) =
        circuits.iter().find(|circuit| panel::fits(context.plan, &position.label, circuit) != Fits::Says)
    else {
        return;
    };
    let fits = panel::fits(context.plan, &position.label, odd);
    // Without a record of how the label is made, propose no plate.
    let proposal = match (free.better(odd), position.engraved) {
        (Some(other), _) => say!("Move it to {}, which is free and has that label.", other),
        (None, Some(Engraved::Free)) => say!("Make it a plate that reads {}.", panel::plate(odd)),
        (None, Some(Engraved::Fixed)) => say!("Fit a plate over it that reads {}.", panel::plate(odd)),
        (None, None) => say!("Change the label to {}.", panel::plate(odd)),
    };
    let text = match fits {
        Fits::SaysOther => {
            say!("It is labeled {} but works {}. {}", position.label.to_string(), &odd.id, proposal)
        }
        _ => {
            say!(
                "The label {} does not name {}, which it works. {}",
                position.label.to_string(),
                &odd.id,
                proposal
            )
        }
    };
    let code = if fits == Fits::SaysOther { Code::LabelWrong } else { Code::LabelUnclear };
    context.say(subject.clone(), RuleFinding::new(code, text));
}
