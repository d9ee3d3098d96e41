//! The sources and their circuits: source voltage, supply paths, and which upstream protection trips or
//! blows first.

use std::collections::{BTreeMap, BTreeSet};

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricCurrent;

use super::context::CheckContext;
use super::report::Report;
use crate::job::network::CircuitModel;
use crate::job::plan::{Feeder, Polarity};
use crate::job::point::{BatterySwitchKind, Body, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId, PointId};
use crate::trade::coordination;
use crate::trade::dc_network::NetworkPart;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::say::{Part as Said, say};
use crate::trade::source::{CFR_415, COMMON_NEGATIVE, NOMINAL_VOLTAGE, TIED_BATTERIES};
use crate::trade::units::{amps, volts as volts_of};
use crate::trade::working::{Working, figure, keeps_to};

/// Limits of the source voltage, as shares of nominal voltage: lowest and highest for a battery at rest,
/// and highest for a charger.
const BATTERY_UNDER_NOMINAL: f64 = 0.9;
const BATTERY_OVER_NOMINAL: f64 = 1.2;
const CHARGER_OVER_NOMINAL: f64 = 1.35;

/// Difference at rest, in V on a 12 V boat, up to which tied batteries count as alike ([`TIED_BATTERIES`],
/// common practice, no source). It is a sixteenth of the charge of a lead-acid battery
/// ([`rest_voltage`](crate::trade::energy::battery::rest_voltage)), which evens out. Two meter readings may
/// differ by as much.
const APART_AND_ALIKE: f64 = 0.05;
/// Difference in V that charge cannot explain: a full lead-acid battery has 0.75 V more than an empty one.
const APART_BY_CHARGE: f64 = 1.0;

/// The checks that need no solved network: whether every circuit is fed, and which protection trips or
/// blows first.
pub(super) fn check(context: &mut CheckContext<'_>, report: &Report) {
    say_not_nominal(context);
    say_unfed(context);
    say_engines_apart(context);
    say_order_of_opening(context, report);
}

fn say_unfed(context: &mut CheckContext<'_>) {
    for circuit in &context.plan.circuits {
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        let fed = context.ways_to(&circuit.from).is_some_and(|ways| ways.source.is_some());
        // Back to a battery that feeds it, and not only to an engine block.
        let returned = context.ways_of(circuit).last().is_some_and(|ways| ways.source.is_some());
        if !fed {
            let text = say!("No feeder leads from a battery to {}, which feeds it. Add one.", &circuit.from);
            context.say(subject.clone(), RuleFinding::new(Code::Unfed, text));
        }
        if !returned {
            let text = say!(
                "No feeder leads from {}, where its negative lands, back to a battery. Add one.",
                &circuit.r#return
            );
            context.say(subject, RuleFinding::new(Code::NoReturn, text));
        }
    }
}

/// Reports each further engine whose cranking circuit no conductor joins to that of the first engine. If it
/// starts from the other engine's battery, the current returns through fuel lines and controls.
fn say_engines_apart(context: &mut CheckContext<'_>) {
    let cranked = context.plan.points.iter().filter(|point| match &point.body {
        Body::Charger(charger) => charger.starter_a.is_some(),
        _ => false,
    });
    let engines: Vec<&PointId> = cranked.map(|point| &point.id).collect();
    let Some((first, others)) = engines.split_first() else { return };
    let group = |engine: &PointId| context.group_of(engine, Polarity::Negative);
    let apart: Vec<_> = others.iter().filter(|engine| group(engine) != group(first)).collect();
    for engine in apart {
        let text = say!(
            "No conductor joins its negative to that of {}. Started from the other battery, its current would return \
             through fuel lines and controls. Join them by a conductor for either starter current.",
            *first
        );
        let working = Working {
            what: Quantity::EnginesCommonConductor,
            formula: "grounded cranking circuits are joined by one that carries the starting current of each",
            numbers: "none".into(),
            result: "apart".into(),
            source: match context.plan.job.rules {
                RuleSet::Us => &CFR_415,
                RuleSet::Iso => &COMMON_NEGATIVE,
            },
        };
        let finding = RuleFinding::new(Code::EnginesApart, text).working(working);
        context.say(Subject::new(SubjectKind::Point, engine), finding);
    }
}

/// Reports sources whose voltage does not fit the boat's nominal voltage.
fn say_not_nominal(context: &mut CheckContext<'_>) {
    for point in &context.plan.points {
        let nominal = context.nominal_of_source(point).get::<volt>();
        let (volts, most) = match &point.body {
            Body::Battery(battery) => (battery.open_circuit_v.number(), BATTERY_OVER_NOMINAL),
            Body::Charger(charger) => (charger.open_circuit_v.number(), CHARGER_OVER_NOMINAL),
            Body::Converter(converter) => (converter.open_circuit_v.number(), BATTERY_OVER_NOMINAL),
            _ => continue,
        };
        let (least, most) = (BATTERY_UNDER_NOMINAL * nominal, most * nominal);
        if keeps_to(least, volts) && keeps_to(volts, most) {
            continue;
        }
        let text = say!(
            "{} does not match the nominal voltage of {}; {} to {} is allowed. Correct one of them.",
            volts_of(volts),
            volts_of(nominal),
            volts_of(least),
            volts_of(most)
        );
        let working = Working {
            what: Quantity::SourceVoltage,
            formula: "open-circuit voltage against nominal voltage",
            numbers: format!("{} V / {} V", figure(volts), figure(nominal)).into(),
            result: format!("{} %", figure(100.0 * volts / nominal)).into(),
            source: &NOMINAL_VOLTAGE,
        };
        let finding =
            RuleFinding::new(Code::SourceNotNominal, text).against(volts, most, "V").working(working);
        context.say(Subject::new(SubjectKind::Point, &point.id), finding);
    }
}

/// Reports batteries that feed others with everything off, because tied batteries differ in rest voltage.
///
/// Judged by the rest voltages and not by the current, because the current falls as the batteries even out.
/// The difference in voltage lasts, and the plan states it.
pub(super) fn say_tied(context: &mut CheckContext<'_>, wired: &CircuitModel<'_>) {
    let Ok(rest) = wired.solve(|_| false) else { return };
    let twelfths = context.nominal().get::<volt>() / 12.0;
    for circulating in rest.solution().circulating() {
        let sources = |parts: &[NetworkPart]| {
            let known = parts.iter().filter_map(|part| wired.source(*part));
            known.filter_map(|id| Some((id, at_rest(context, id)?))).collect::<Vec<_>>()
        };
        let (giving, taking) = (sources(&circulating.giving), sources(&circulating.taking));
        let given: Vec<&PointId> = giving.iter().map(|(id, _)| *id).collect();
        let highest = giving.iter().map(|(_, volts)| *volts).fold(0.0, f64::max);
        let tied = Tied {
            giving: giving.iter().map(|(id, _)| (*id).clone()).collect(),
            highest,
            amperes: circulating.current.get::<ampere>(),
            twelfths,
        };
        for (battery, volts) in taking {
            let parted = parted_by_switches(context, battery, &given);
            let matters = |said: &RuleFinding| !parted || said.code == Code::BatteryVoltagesDiffer;
            if let Some(said) = tied.say(volts).filter(matters) {
                context.say(Subject::new(SubjectKind::Point, battery), said);
            }
        }
    }
}

/// Whether only battery switches that keep batteries apart in normal use join a battery to all of these.
fn parted_by_switches(context: &CheckContext<'_>, battery: &PointId, others: &[&PointId]) -> bool {
    let parts = |id: &PointId| match context.point(id).map(|point| &point.body) {
        Some(Body::BatterySwitch(switch)) => switch.kind.is_some_and(BatterySwitchKind::parts_batteries),
        _ => false,
    };
    let joined = context.joined(battery, |feeder| {
        feeder.polarity == Polarity::Positive && !parts(&feeder.from) && !parts(&feeder.to)
    });
    others.iter().all(|other| !joined.contains(other))
}

/// The voltage at rest of a battery or charger.
fn at_rest(context: &CheckContext<'_>, source: &PointId) -> Option<f64> {
    match &context.point(source)?.body {
        Body::Battery(battery) => Some(battery.open_circuit_v.number()),
        Body::Charger(charger) => Some(charger.open_circuit_v.number()),
        _ => None,
    }
}

/// The current that flows into a battery from those tied to it.
struct Tied {
    giving: Vec<PointId>,
    /// The highest rest voltage of those, in V.
    highest: f64,
    /// The total current at the first moment, in A.
    amperes: f64,
    /// Nominal voltage of the boat as a multiple of 12 V.
    twelfths: f64,
}

impl Tied {
    /// The finding for a battery with this rest voltage; `None` if the batteries are alike.
    fn say(&self, volts: f64) -> Option<RuleFinding> {
        let apart = self.highest - volts;
        let [alike, charge] = [APART_AND_ALIKE, APART_BY_CHARGE].map(|limit| limit * self.twelfths);
        if keeps_to(apart, alike) {
            return None;
        }
        let (giving, current) = (Said::all(&self.giving), amps(self.amperes));
        let (code, limit, text) = if keeps_to(apart, charge) {
            let text = say!(
                "With everything off, {} feeds it with {}. Their voltages differ by {}. Separate them by a switch or a \
                 relay, or fit matching batteries.",
                giving,
                current,
                volts_of(apart).beside(alike)
            );
            (Code::BatteriesFeedEachOther, alike, text)
        } else {
            let text = say!(
                "{} with {} is joined to it, and it has {} at rest. No state of charge explains that: they differ in \
                 cells, or a figure is wrong. Once joined, {} flow as in a short circuit. Cables burn, and the battery \
                 can burst. Do not join them. Wire them apart, or fit batteries of one voltage.",
                giving,
                volts_of(self.highest),
                volts_of(volts),
                current
            );
            (Code::BatteryVoltagesDiffer, charge, text)
        };
        let working = Working {
            what: Quantity::VoltsBetweenBatteries,
            formula: "highest voltage at rest less that of the battery it feeds",
            numbers: format!("{} V - {} V", figure(self.highest), figure(volts)).into(),
            result: format!("{} V", figure(apart)).into(),
            source: &TIED_BATTERIES,
        };
        Some(RuleFinding::new(code, text).against(apart, limit, "V").working(working))
    }
}

/// Compares the protection of each circuit and feeder with the smallest of the nearest upstream, over all
/// supply paths. If nothing else is downstream of that one, it does not matter which of the two trips
/// first.
fn say_order_of_opening(context: &mut CheckContext<'_>, report: &Report) {
    let of_circuit = |id| report.circuits.get(id)?.conductor.protection.as_ref()?.rating_a;
    let circuits = context.plan.circuits.iter().map(|circuit| {
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        (subject, &circuit.from, of_circuit(&circuit.id), BTreeSet::from([&circuit.id]))
    });
    // Only the charger is downstream of a charger's fuse.
    let feeders = context.plan.feeders.iter().filter(|feeder| context.power_end(feeder) == &feeder.from);
    let feeders = feeders.map(|feeder| {
        let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
        (subject, &feeder.from, rating(report, &feeder.id), drawn(report, &feeder.id).collect())
    });
    let mut said = Vec::new();
    for (subject, from, branch, through_branch) in circuits.chain(feeders) {
        let (Some(branch), Some(before)) = (branch, next_before(context, report, from)) else { continue };
        let mut others = before.keys().flat_map(|feeder| drawn(report, feeder));
        if others.any(|circuit| !through_branch.contains(circuit)) {
            let before: Vec<_> = before.into_values().map(ElectricCurrent::new::<ampere>).collect();
            let branch = ElectricCurrent::new::<ampere>(branch);
            said.push((subject, coordination::judge(&before, Some(branch))));
        }
    }
    for (subject, said) in said {
        context.say_all(&subject, said);
    }
}

/// The nearest upstream feeders with protection, and their rating. Ratings of parallel feeders are added;
/// of all others the smallest counts.
pub(super) fn next_before<'a>(
    context: &CheckContext<'a>,
    report: &Report,
    point: &PointId,
) -> Option<BTreeMap<&'a FeederId, f64>> {
    let nearest = context.nearest_before(point, |feeder| Some((feeder, rating(report, &feeder.id)?)));
    let mut groups: BTreeMap<_, BTreeMap<&FeederId, f64>> = BTreeMap::new();
    for (feeder, rating) in nearest.into_iter().flatten() {
        groups.entry(side_by_side(context, feeder)).or_default().insert(&feeder.id, rating);
    }
    let sum = |group: &BTreeMap<_, f64>| group.values().sum::<f64>();
    groups.into_values().min_by(|one, other| sum(one).total_cmp(&sum(other)))
}

/// The key that parallel feeders share: they land on one bar, through the same switches. So none of them
/// can be left to carry the current alone. Feeders that land on a switch count separately.
fn side_by_side<'a>(
    context: &CheckContext<'a>,
    feeder: &'a Feeder,
) -> (&'a PointId, Option<&'a FeederId>, BTreeSet<&'a PointId>) {
    let is_switch = |point: &PointId| context.kind(point) == Some(PointKind::BatterySwitch);
    if is_switch(&feeder.to) {
        return (&feeder.to, Some(&feeder.id), BTreeSet::new());
    }
    let before = context.ways_to(&feeder.from).map(|ways| ways.points.as_slice()).unwrap_or_default();
    (&feeder.to, None, before.iter().copied().filter(|point| is_switch(point)).collect())
}

/// The circuits that may draw through a feeder.
fn drawn<'r>(report: &'r Report, feeder: &FeederId) -> impl Iterator<Item = &'r CircuitId> {
    report.feeders.get(feeder).into_iter().flat_map(|feeder| &feeder.circuits)
}

fn rating(report: &Report, feeder: &FeederId) -> Option<f64> {
    report.feeders.get(feeder)?.conductor.protection.as_ref()?.rating_a
}
