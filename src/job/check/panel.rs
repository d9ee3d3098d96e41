//! Switch panels: what each switch carries, whether its label says what it does, and what hangs on none.

use std::collections::BTreeMap;

use super::context::CheckContext;
use super::report::Report;
use crate::job::panel::{self, Fits};
use crate::job::plan::Circuit;
use crate::job::point::{Engraved, Panel, Point, PointKind, Position, SwitchKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::finding::{Code, Finding};
use crate::trade::working::{figure, keeps_to};

/// Checks one panel, position by position.
pub(super) fn check(context: &mut CheckContext<'_>, point: &Point, panel: &Panel, report: &Report) {
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
        say_label(context, &subject, (&point.id, number), position, circuits);
    }
    if !free.is_empty() {
        let labels: Vec<&str> = free.iter().map(|position| position.label.as_str()).collect();
        let text =
            format!("{} of {} positions are free: {}", free.len(), panel.positions.len(), labels.join(", "));
        context.say(Subject::new(SubjectKind::Point, &point.id), Finding::new(Code::PositionsFree, text));
    }
}

/// Circuits that nothing switches, told once: that is right for some and wrong for others.
pub(super) fn say_unswitched(context: &mut CheckContext<'_>) {
    let has_panel = context.plan.points.iter().any(|point| point.body.kind() == PointKind::SwitchPanel);
    let is_open = |circuit: &&Circuit| {
        circuit.switch.is_none() && context.kind(&circuit.from) != Some(PointKind::SwitchPanel)
    };
    let ids: Vec<&str> =
        context.plan.circuits.iter().filter(is_open).map(|circuit| circuit.id.as_str()).collect();
    if has_panel && !ids.is_empty() {
        let text =
            format!("no switch on the panels works {}: they are on whenever their source is", ids.join(", "));
        context.say(Subject::new(SubjectKind::Job, "job"), Finding::new(Code::CircuitsUnswitched, text));
    }
}

/// Two functions on one switch go on and off together, unless its throws part them.
fn say_shared(context: &mut CheckContext<'_>, subject: &Subject, position: &Position, circuits: &[&Circuit]) {
    let several = circuits.len() > 1;
    if position.switch == Some(SwitchKind::OnOffOn) {
        let unnamed: Vec<&str> = circuits
            .iter()
            .filter(|circuit| throws(circuit).is_empty())
            .map(|circuit| circuit.id.as_str())
            .collect();
        if !unnamed.is_empty() {
            let what = format!("the throw in which {} is on", unnamed.join(" and "));
            context.say(subject.clone(), Finding::missing(&what, "what each throw of the switch works"));
        }
    } else if several {
        let ids = circuits.iter().map(|circuit| circuit.id.as_str()).collect::<Vec<_>>().join(" and ");
        let text = format!("{} works {ids} together", position.label);
        context.say(subject.clone(), Finding::new(Code::SwitchShared, text));
    }
}

/// The throws in which a circuit is on.
fn throws(circuit: &Circuit) -> &[u16] {
    circuit.switch.as_ref().map_or(&[], |at| &at.throws)
}

/// A switch carries all that is on in its heaviest throw.
fn say_current(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    position: &Position,
    circuits: &[&Circuit],
    report: &Report,
) {
    let sum = |circuits: &mut dyn Iterator<Item = &&Circuit>| -> Option<f64> {
        circuits.map(|circuit| report.circuits.get(&circuit.id)?.design_current_a).sum()
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
            context
                .say(subject.clone(), Finding::missing("rating of the switch", "current that it switches"));
        }
        (Some(current), Some(rating)) if !keeps_to(current, rating) => {
            let text = format!(
                "{} switches {} A and may carry {} A: fit a heavier switch or a relay",
                position.label,
                figure(current),
                figure(rating)
            );
            let finding = Finding::new(Code::SwitchOverRating, text).against(current, rating, "A");
            context.say(subject.clone(), finding);
        }
        _ => {}
    }
}

/// A label that says something else, or nothing, sends a hand to the wrong switch in the dark.
fn say_label(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    at: (&PointId, u16),
    position: &Position,
    circuits: &[&Circuit],
) {
    let Some(odd) =
        circuits.iter().find(|circuit| panel::fits(context.plan, &position.label, circuit) != Fits::Says)
    else {
        return;
    };
    let fits = panel::fits(context.plan, &position.label, odd);
    // A label of which nobody said that it can be changed is taken to stay, and its word for what it is.
    let proposal = match (panel::better(context.plan, at, odd), position.engraved) {
        (Some(other), _) => format!("move it to {other}, which is free and says so"),
        (None, Some(Engraved::Free)) => format!("make it a plate that reads {}", panel::plate(odd)),
        (None, Some(Engraved::Fixed)) => format!("fit a plate over it that reads {}", panel::plate(odd)),
        (None, None) => format!("have it read {}", panel::plate(odd)),
    };
    let text = match fits {
        Fits::SaysOther => {
            format!("{} is written on it and it works {} {}: {proposal}", position.label, odd.id, odd.name)
        }
        _ => format!("{} does not say that it works {} {}: {proposal}", position.label, odd.id, odd.name),
    };
    let code = if fits == Fits::SaysOther { Code::LabelMisleads } else { Code::LabelSaysNothing };
    context.say(subject.clone(), Finding::new(code, text));
}
