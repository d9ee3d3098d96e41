//! Checks of batteries that share feeders. Batteries tied together should have the same chemistry, and each
//! battery needs a positive and a negative connection.

use std::collections::HashSet;

use super::context::{CheckContext, JoinedPoints};
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::job::point::{BatterySwitchKind, Body, Point, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::energy::battery::Chemistry;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, Statement, say};

pub(super) fn check(context: &mut CheckContext<'_>) {
    say_unlike_kinds(context);
    say_switches(context);
    say_without_return(context);
}

/// Reports batteries of different kinds that feeders tie together, directly or through a switch (common
/// practice, no source). A switch counts as one point of the plan, whatever its position.
fn say_unlike_kinds(context: &mut CheckContext<'_>) {
    let (mut seen, mut said) = (HashSet::new(), Vec::new());
    for point in &context.plan.points {
        if !matches!(point.body, Body::Battery(_)) || seen.contains(&point.id) {
            continue;
        }
        let tied = context.joined(&point.id, positive);
        let of_kind: Vec<(&Point, Chemistry)> = kinds(context, &tied);
        seen.extend(of_kind.iter().map(|(battery, _)| &battery.id));
        if !unlike(&of_kind) {
            continue;
        }
        let names = of_kind.iter().map(|(battery, chemistry)| say!("{}, {}", &battery.id, chemistry.words()));
        let text = say!(
            "These joined batteries differ in chemistry: {}. They need different charging voltages. {}",
            Part::all(names),
            parted_by(context, &tied, &of_kind)
        );
        said.push((
            Subject::new(SubjectKind::Point, &point.id),
            RuleFinding::new(Code::BatteryKindsDiffer, text),
        ));
    }
    for (subject, finding) in said {
        context.say(subject, finding);
    }
}

fn positive(feeder: &Feeder) -> bool {
    feeder.polarity == Polarity::Positive
}

/// Reports battery switches that join batteries for good, and those of which nobody said whether they do.
/// Common practice, no source: a switch with one contact serves one bank.
fn say_switches(context: &mut CheckContext<'_>) {
    let mut said = Vec::new();
    for point in &context.plan.points {
        let Body::BatterySwitch(switch) = &point.body else { continue };
        let batteries = directly_on(context, &point.id);
        if batteries.len() < 2 {
            continue;
        }
        let finding = match switch.kind {
            None => RuleFinding::missing("the kind of this battery switch", "which batteries it joins"),
            Some(BatterySwitchKind::OnOff) => {
                let text = say!(
                    "A switch with one contact joins {} while it is on. Fit one with a contact for each battery, or \
                     enter them as one bank.",
                    Part::all(batteries)
                );
                RuleFinding::new(Code::SwitchJoinsBatteries, text)
            }
            Some(BatterySwitchKind::OneTwoBoth | BatterySwitchKind::DualCircuit) => continue,
        };
        said.push((Subject::new(SubjectKind::Point, &point.id), finding));
    }
    for (subject, finding) in said {
        context.say(subject, finding);
    }
}

/// The batteries with a positive feeder of their own to a switch, in the order of the plan.
fn directly_on<'a>(context: &CheckContext<'a>, switch: &PointId) -> Vec<&'a PointId> {
    let leads = |battery: &PointId, feeder: &Feeder| {
        let ends = [&feeder.from, &feeder.to];
        positive(feeder) && ends.contains(&switch) && ends.contains(&battery)
    };
    let batteries = context.plan.points.iter().filter(|point| matches!(point.body, Body::Battery(_)));
    let on_it = batteries.filter(|battery| context.plan.feeders.iter().any(|one| leads(&battery.id, one)));
    on_it.map(|battery| &battery.id).collect()
}

/// The batteries of known kind among these points, in the order of the plan.
fn kinds<'a>(context: &CheckContext<'a>, points: &JoinedPoints<'_>) -> Vec<(&'a Point, Chemistry)> {
    let of_kind = |point: &'a Point| match &point.body {
        Body::Battery(battery) => Some((point, battery.chemistry?)),
        _ => None,
    };
    context.plan.points.iter().filter(|point| points.contains(&point.id)).filter_map(of_kind).collect()
}

fn unlike(of_kind: &[(&Point, Chemistry)]) -> bool {
    of_kind.windows(2).any(|pair| pair[0].1 != pair[1].1)
}

/// What to check where only battery switches join batteries of different kinds.
fn parted_by(
    context: &CheckContext<'_>,
    tied: &JoinedPoints<'_>,
    of_kind: &[(&Point, Chemistry)],
) -> Statement {
    let is_switch = |point: &PointId| context.kind(point) == Some(PointKind::BatterySwitch);
    let past_switches =
        |feeder: &Feeder| positive(feeder) && !is_switch(&feeder.from) && !is_switch(&feeder.to);
    let joined_all_the_same = of_kind
        .iter()
        .any(|(battery, _)| unlike(&kinds(context, &context.joined(&battery.id, past_switches))));
    if joined_all_the_same {
        return say!("Separate them, or fit batteries of one chemistry.");
    }
    let switches =
        context.plan.points.iter().filter(|point| tied.contains(&point.id) && is_switch(&point.id));
    say!(
        "Separate them, fit batteries of one chemistry, or fit such a switch that no position of {} joins them.",
        Part::all(switches.map(|point| &point.id))
    )
}

/// Reports batteries that deliver nothing because their current has no return path. Either nothing lands on
/// the negative post, or nothing that the positive post feeds comes back to it.
fn say_without_return(context: &mut CheckContext<'_>) {
    let said: Vec<_> = context
        .plan
        .points
        .iter()
        .filter_map(|point| Some((point, without_return(context, point)?)))
        .collect();
    for (battery, text) in said {
        context.say(Subject::new(SubjectKind::Point, &battery.id), RuleFinding::new(Code::NoReturn, text));
    }
}

fn without_return(context: &CheckContext<'_>, battery: &Point) -> Option<Statement> {
    let (out, home) =
        (context.joined(&battery.id, positive), context.joined(&battery.id, |feeder| !positive(feeder)));
    let hangs_on_nothing = out.len() == 1;
    if !matches!(battery.body, Body::Battery(_)) || hangs_on_nothing {
        return None;
    }
    let is_source = |point: &PointId| context.kind(point).is_some_and(PointKind::is_source);
    let beside: Vec<_> = out.ids().filter(|point| **point != battery.id && is_source(point)).collect();
    let fed = || context.plan.circuits.iter().filter(|circuit| out.contains(&circuit.from));
    let closed = fed().any(|circuit| home.contains(&circuit.r#return))
        || beside.iter().any(|source| home.contains(source));
    // A circuit whose return reaches no source has its own finding.
    let returned =
        |circuit: &&Circuit| context.ways_back(&circuit.r#return).is_some_and(|ways| ways.source.is_some());
    let said_of_circuits =
        beside.is_empty() && fed().next().is_some() && !fed().any(|circuit| returned(&circuit));
    if closed || said_of_circuits {
        None
    } else if home.len() == 1 {
        Some(say!("No feeder lands on its negative post, so it gives no current. Add a negative feeder."))
    } else if fed().next().is_some() || !beside.is_empty() {
        Some(say!(
            "Its negative post is not joined to the negative of what its positive post feeds. It gives no current. Add \
             a negative feeder."
        ))
    } else {
        None
    }
}
