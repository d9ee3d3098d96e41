//! The sources, and what hangs on them: their voltage, the ways to them, what opens first between them and a
//! circuit.

use std::collections::{BTreeMap, BTreeSet};

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricCurrent;

use super::context::CheckContext;
use super::report::Report;
use crate::job::network::CircuitModel;
use crate::job::plan::{Feeder, Polarity};
use crate::job::point::{Body, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId, PointId};
use crate::trade::coordination;
use crate::trade::dc_network::Part;
use crate::trade::finding::{Code, Finding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part as Said, say};
use crate::trade::source::{CFR_415, NOMINAL_VOLTAGE, TIED_BATTERIES};
use crate::trade::units::{amps, volts as volts_of};
use crate::trade::working::{Working, figure, keeps_to};

/// Shares of nominal voltage between which a battery at rest stands, and up to which it is charged.
const BATTERY_UNDER_NOMINAL: f64 = 0.9;
const BATTERY_OVER_NOMINAL: f64 = 1.2;
const CHARGER_OVER_NOMINAL: f64 = 1.35;

/// Volts apart at rest, on a boat of 12 V, up to which batteries that are tied together are alike
/// ([`TIED_BATTERIES`], common practice, no source): a sixteenth of the charge of a lead-acid one
/// ([`rest_voltage`](crate::trade::energy::battery::rest_voltage)), which evens out, and no more than two readings differ.
const APART_AND_ALIKE: f64 = 0.05;
/// Volts apart beyond which it is no matter of charge: a full lead-acid battery stands 0.75 V over an empty one.
const APART_BY_CHARGE: f64 = 1.0;

/// What is judged without the network being solved: whether every circuit is fed, and what opens first.
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
        // Home to a battery that feeds it, and not to any engine's block.
        let returned = context.ways_of(circuit).last().is_some_and(|ways| ways.source.is_some());
        if !fed {
            let text = say!("No feeder leads from a battery to {}, which feeds it. Add one.", &circuit.from);
            context.say(subject.clone(), Finding::new(Code::Unfed, text));
        }
        if !returned {
            let text = say!(
                "No feeder leads from {}, where its negative lands, back to a battery. Add one.",
                &circuit.r#return
            );
            context.say(subject, Finding::new(Code::NoReturn, text));
        }
    }
}

/// Says of each further engine whose cranking circuit no conductor joins to the first one's. Started from the other's
/// battery its current comes home through fuel lines and controls.
fn say_engines_apart(context: &mut CheckContext<'_>) {
    let cranked = context.plan.points.iter().filter(|point| match &point.body {
        Body::Charger(charger) => charger.starter_a.is_some(),
        _ => false,
    });
    let engines: Vec<&PointId> = cranked.map(|point| &point.id).collect();
    let Some((first, others)) = engines.split_first() else { return };
    let joined = context.joined(first, |feeder| feeder.polarity == Polarity::Negative);
    for engine in others.iter().filter(|engine| !joined.contains(*engine)) {
        let text = say!(
            "No conductor joins its negative to that of {}. Started from the other battery, its current would return \
             through fuel lines and controls. Join them by a conductor for either starter current.",
            *first
        );
        let working = Working {
            what: Quantity::EnginesCommonConductor,
            formula: "grounded cranking circuits are joined by one that carries the starting current of each",
            numbers: "none".to_owned(),
            result: "apart".to_owned(),
            source: &CFR_415,
        };
        let finding = Finding::new(Code::EnginesApart, text).working(working);
        context.say(Subject::new(SubjectKind::Point, engine), finding);
    }
}

/// Says which source does not give the boat's voltage.
fn say_not_nominal(context: &mut CheckContext<'_>) {
    let nominal = context.nominal().get::<volt>();
    for point in &context.plan.points {
        let (volts, most) = match &point.body {
            Body::Battery(battery) => (battery.open_circuit_v.number(), BATTERY_OVER_NOMINAL),
            Body::Charger(charger) => (charger.open_circuit_v.number(), CHARGER_OVER_NOMINAL),
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
            numbers: format!("{} V / {} V", figure(volts), figure(nominal)),
            result: format!("{} %", figure(100.0 * volts / nominal)),
            source: &NOMINAL_VOLTAGE,
        };
        let finding = Finding::new(Code::SourceNotNominal, text).against(volts, most, "V").working(working);
        context.say(Subject::new(SubjectKind::Point, &point.id), finding);
    }
}

/// Says which batteries feed others with everything off: tied together, they stand at unlike voltages.
///
/// Judged by the volts at rest and not by the amperes, which fall off as the batteries even out: what lasts, and what
/// the plan states, is how far apart they stand.
pub(super) fn say_tied(context: &mut CheckContext<'_>, wired: &CircuitModel<'_>) {
    let Ok(rest) = wired.solve(|_| false) else { return };
    let twelfths = context.nominal().get::<volt>() / 12.0;
    for circulating in rest.solution().circulating() {
        let sources = |parts: &[Part]| {
            let known = parts.iter().filter_map(|part| wired.source(*part));
            known.filter_map(|id| Some((id, at_rest(context, id)?))).collect::<Vec<_>>()
        };
        let (giving, taking) = (sources(&circulating.giving), sources(&circulating.taking));
        let highest = giving.iter().map(|(_, volts)| *volts).fold(0.0, f64::max);
        let tied = Tied {
            giving: giving.iter().map(|(id, _)| (*id).clone()).collect(),
            highest,
            amperes: circulating.current.get::<ampere>(),
            twelfths,
        };
        for (battery, volts) in taking {
            if let Some(said) = tied.say(volts) {
                context.say(Subject::new(SubjectKind::Point, battery), said);
            }
        }
    }
}

/// The voltage at rest of a battery or charger.
fn at_rest(context: &CheckContext<'_>, source: &PointId) -> Option<f64> {
    match &context.point(source)?.body {
        Body::Battery(battery) => Some(battery.open_circuit_v.number()),
        Body::Charger(charger) => Some(charger.open_circuit_v.number()),
        _ => None,
    }
}

/// What feeds a battery that is tied to it.
struct Tied {
    giving: Vec<PointId>,
    /// Volts at rest of the highest of those.
    highest: f64,
    /// What flows in all at the first moment.
    amperes: f64,
    /// How many times 12 V the boat has.
    twelfths: f64,
}

impl Tied {
    /// What is to be said of a battery that stands at so many volts at rest; nothing where they are alike.
    fn say(&self, volts: f64) -> Option<Finding> {
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
            numbers: format!("{} V - {} V", figure(self.highest), figure(volts)),
            result: format!("{} V", figure(apart)),
            source: &TIED_BATTERIES,
        };
        Some(Finding::new(code, text).against(apart, limit, "V").working(working))
    }
}

/// The protection of each circuit and feeder beside the smallest of the nearest before it, of every way to it. Where
/// nothing else hangs on that, it is all one which of the two opens.
fn say_order_of_opening(context: &mut CheckContext<'_>, report: &Report) {
    let of_circuit = |id| report.circuits.get(id)?.conductor.protection.as_ref()?.rating_a;
    let circuits = context.plan.circuits.iter().map(|circuit| {
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        (subject, &circuit.from, of_circuit(&circuit.id), BTreeSet::from([&circuit.id]))
    });
    // Behind a charger's fuse there is the charger alone.
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

/// The feeders next before a point that have protection, with its rating: those side by side together, and of what is
/// not side by side that which lets the least through.
fn next_before<'a>(
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

/// What is the same for feeders that bring current side by side: they land on one bar, past the same switches, so
/// that none of them may be left to do it alone. On a switch they land each by itself.
fn side_by_side<'a>(
    context: &CheckContext<'a>,
    feeder: &'a Feeder,
) -> (&'a PointId, Option<&'a FeederId>, BTreeSet<&'a PointId>) {
    let is_switch = |point: &PointId| context.kind(point) == Some(PointKind::BatterySwitch);
    let before = context.ways_to(&feeder.from).map(|ways| ways.points.as_slice()).unwrap_or_default();
    let switches = before.iter().copied().filter(|point| is_switch(point)).collect();
    (&feeder.to, is_switch(&feeder.to).then_some(&feeder.id), switches)
}

/// The circuits that may draw through a feeder.
fn drawn<'r>(report: &'r Report, feeder: &FeederId) -> impl Iterator<Item = &'r CircuitId> {
    report.feeders.get(feeder).into_iter().flat_map(|feeder| &feeder.circuits)
}

fn rating(report: &Report, feeder: &FeederId) -> Option<f64> {
    report.feeders.get(feeder)?.conductor.protection.as_ref()?.rating_a
}
