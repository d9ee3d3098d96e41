//! Checks of batteries that share feeders. Batteries tied together should have the same chemistry, and each
//! battery needs a positive and a negative connection.

use foldhash::{HashMap, HashSet};

use super::context::CheckContext;
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
    let mut said = Vec::new();
    for tied in context.groups(Polarity::Positive) {
        let of_kind: Vec<(&Point, Chemistry)> = kinds(&tied);
        let Some((first, _)) = of_kind.first().filter(|_| unlike(&of_kind)) else { continue };
        let names = of_kind.iter().map(|(battery, chemistry)| say!("{}, {}", &battery.id, chemistry.words()));
        let text = say!(
            "These joined batteries differ in chemistry: {}. They need different charging voltages. {}",
            Part::all(names),
            parted_by(context, &tied, &of_kind)
        );
        said.push((
            Subject::new(SubjectKind::Point, &first.id),
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
    let leads = context.feeders_at(switch).iter().filter(|feeder| positive(feeder));
    let ends: HashSet<&PointId> = leads.flat_map(|feeder| [&feeder.from, &feeder.to]).collect();
    let batteries = context.plan.points.iter().filter(|point| matches!(point.body, Body::Battery(_)));
    batteries.map(|battery| &battery.id).filter(|battery| ends.contains(battery)).collect()
}

/// The batteries of known kind among these points.
fn kinds<'a>(points: &[&'a Point]) -> Vec<(&'a Point, Chemistry)> {
    let of_kind = |point: &&'a Point| match &point.body {
        Body::Battery(battery) => Some((*point, battery.chemistry?)),
        _ => None,
    };
    points.iter().filter_map(of_kind).collect()
}

fn unlike(of_kind: &[(&Point, Chemistry)]) -> bool {
    of_kind.windows(2).any(|pair| pair[0].1 != pair[1].1)
}

/// What to check where only battery switches join batteries of different kinds.
fn parted_by(context: &CheckContext<'_>, tied: &[&Point], of_kind: &[(&Point, Chemistry)]) -> Statement {
    let is_switch = |point: &PointId| context.kind(point) == Some(PointKind::BatterySwitch);
    let past_switches =
        |feeder: &Feeder| positive(feeder) && !is_switch(&feeder.from) && !is_switch(&feeder.to);
    let past = |battery: &Point| context.joined(&battery.id, past_switches).points().collect::<Vec<_>>();
    let joined_all_the_same = of_kind.iter().any(|(battery, _)| unlike(&kinds(&past(battery))));
    if joined_all_the_same {
        return say!("Separate them, or fit batteries of one chemistry.");
    }
    let switches = tied.iter().filter(|point| is_switch(&point.id));
    say!(
        "Separate them, fit batteries of one chemistry, or fit such a switch that no position of {} joins them.",
        Part::all(switches.map(|point| &point.id))
    )
}

/// Reports batteries that deliver nothing because their current has no return path. Either nothing lands on
/// the negative post, or nothing that the positive post feeds comes back to it.
fn say_without_return(context: &mut CheckContext<'_>) {
    let said = Returns::of(context).lacking();
    for (battery, text) in said {
        context.say(Subject::new(SubjectKind::Point, battery), RuleFinding::new(Code::NoReturn, text));
    }
}

/// The points that feeders join on each side, with the circuits that each group on the positive side feeds.
struct Returns<'c, 'a> {
    context: &'c CheckContext<'a>,
    joined: Vec<Vec<&'a Point>>,
    fed: HashMap<usize, Vec<&'a Circuit>>,
}

impl<'c, 'a> Returns<'c, 'a> {
    fn of(context: &'c CheckContext<'a>) -> Self {
        let mut fed: HashMap<usize, Vec<&Circuit>> = HashMap::default();
        for circuit in &context.plan.circuits {
            if let Some(group) = context.group_of(&circuit.from, Polarity::Positive) {
                fed.entry(group).or_default().push(circuit);
            }
        }
        Self { context, joined: context.groups(Polarity::Positive), fed }
    }

    fn lacking(&self) -> Vec<(&'a PointId, Statement)> {
        let points = self.context.plan.points.iter();
        let batteries = points.filter(|point| matches!(point.body, Body::Battery(_))).map(|point| &point.id);
        batteries.filter_map(|battery| Some((battery, self.lacks(battery)?))).collect()
    }

    fn lacks(&self, battery: &PointId) -> Option<Statement> {
        let context = self.context;
        let group = context.group_of(battery, Polarity::Positive)?;
        let out = self.joined.get(group).filter(|out| out.len() > 1)?;
        let home = context.group_of(battery, Polarity::Negative);
        let is_home = |point: &PointId| context.group_of(point, Polarity::Negative) == home;
        let is_beside = |point: &&&Point| point.id != *battery && point.body.kind().is_source();
        let fed = self.fed.get(&group).map(Vec::as_slice).unwrap_or_default();
        let mut beside = out.iter().filter(is_beside).peekable();
        let is_alone = beside.peek().is_none();
        let closed =
            fed.iter().any(|circuit| is_home(&circuit.r#return)) || beside.any(|source| is_home(&source.id));
        // A circuit whose return reaches no source has its own finding.
        let returned = |circuit: &&Circuit| {
            context.ways_back(&circuit.r#return).is_some_and(|ways| ways.source.is_some())
        };
        let said_of_circuits = is_alone && !fed.is_empty() && !fed.iter().any(returned);
        if closed || said_of_circuits {
            None
        } else if !context.feeders_at(battery).iter().any(|feeder| !positive(feeder)) {
            Some(say!("No feeder lands on its negative post, so it gives no current. Add a negative feeder."))
        } else if !fed.is_empty() || !is_alone {
            Some(say!(
                "Its negative post is not joined to the negative of what its positive post feeds. It gives no current. \
                 Add a negative feeder."
            ))
        } else {
            None
        }
    }
}
