//! Checks of one feeder: the current through it, its size, its drop and its protection.

use std::collections::BTreeMap;

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::circuit_size;
use super::context::{CheckContext, amperes, insulation, laying, meters};
use super::design_load;
use super::fuses::{Behind, Fuses, Through};
use super::guard::{Guard, over_wire};
use super::protect::{self, Protected, ProtectionNeeds};
use super::report::{ConductorReport, FeederReport};
use super::size::{self, Sized};
use crate::job::plan::{Circuit, Feeder, Plan, Polarity};
use crate::job::point::{Body, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{FeederId, PointId};
use crate::trade::ampacity::Ampacity;
use crate::trade::conductor::Size;
use crate::trade::drop::{self, PathLength};
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::protection::protection_rule;
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::say::{Part, say};
use crate::trade::sizing::{Demand, Judgement, OwnFuse};
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

pub(super) fn check_all<'a>(context: &mut CheckContext<'a>) -> (BTreeMap<FeederId, FeederReport>, Fuses<'a>) {
    let through = circuits_through(context);
    let mut reports = BTreeMap::new();
    let mut fuses = Fuses::default();
    let mut positive = Vec::new();
    for feeder in as_they_depend(context.plan) {
        let drawn = through.get(&feeder.id).map(Vec::as_slice).unwrap_or_default();
        let behind = fuses.behind(context, feeder, &through);
        let (checked, protected) = check(context, feeder, drawn, behind.as_ref());
        if let Some(fuse) = protected.fitted {
            fuses.fit(feeder, fuse);
        }
        match (feeder.polarity, feeder.cranking) {
            (Polarity::Positive, false) => positive.push((feeder, checked.load, checked.ampacity, protected)),
            // A starter cable needs no fuse, so one that is too large is worth a note.
            _ => {
                let notes = protected.gaps.into_iter().map(|gap| RuleFinding { level: Level::Note, ..gap });
                context.say_all(&Subject::new(SubjectKind::Feeder, &feeder.id), notes);
            }
        }
        reports.insert(feeder.id.clone(), checked.report);
    }
    for (feeder, load, ampacity, protected) in positive {
        let guard = Guard::new(feeder, load, ampacity, &fuses);
        let by = match feeder.protection {
            None => guard.of_another(context),
            Some(_) => guard.check_own(context, protected),
        };
        guard.check_far_end(context);
        if let Some(report) = reports.get_mut(&feeder.id) {
            report.conductor.protected_by = by;
        }
    }
    (reports, fuses)
}

/// Only the size of each feeder, given or chosen.
pub(super) fn sizes(context: &CheckContext<'_>) -> HashMap<FeederId, Size> {
    let through = circuits_through(context);
    let mut fuses = Fuses::default();
    let mut sizes = HashMap::default();
    for feeder in as_they_depend(context.plan) {
        let drawn = through.get(&feeder.id).map(Vec::as_slice).unwrap_or_default();
        let fuse = feeder.protection.as_ref().filter(|_| feeder.polarity == Polarity::Positive);
        let is_given = feeder.size.is_some() && fuse.is_none_or(|fuse| fuse.rating_a.is_some());
        // A given size needs no current.
        let load = (!is_given).then(|| design_current(context, feeder, drawn).ok().flatten()).flatten();
        let load = load.map(|(load, _)| load);
        let charge = context.charging().through_feeder(&feeder.id).flatten();
        let drop_load = load.and_then(|_| design_load::of(context, drawn, charge)).map(|(load, _)| load);
        let judgment = match is_given || is_left_to_the_manufacturer(context, feeder, drawn) {
            true => None,
            false => {
                let behind = fuses.behind(context, feeder, &through);
                sized(context, feeder, load, drop_load, behind.as_ref()).judgment
            }
        };
        let size = feeder.size.or(judgment.as_ref().map(|judged| judged.size));
        sizes.extend(size.map(|size| (feeder.id.clone(), size)));
        let ampacity = judgment.as_ref().and_then(|judged| judged.ampacity.as_ref());
        let least_fuse = context.needed.rating(&Subject::new(SubjectKind::Feeder, &feeder.id));
        let nominal = Some(context.sides().of_feeder(feeder));
        let asked = ProtectionNeeds { load, ampacity, least_fuse, nominal, ..ProtectionNeeds::default() };
        if let Some(fuse) = fuse.and_then(|fuse| protect::opener(context, fuse, &asked)) {
            fuses.fit(feeder, fuse);
        }
    }
    sizes
}

/// The feeders in the order in which their sizes can be decided. First those with their own protection,
/// then those downstream of it, then the returns of both.
fn as_they_depend(plan: &Plan) -> Vec<&Feeder> {
    let mut feeders: Vec<_> = plan.feeders.iter().collect();
    feeders.sort_by_key(|feeder| (feeder.polarity == Polarity::Negative, feeder.protection.is_none()));
    feeders
}

fn circuits_through<'a>(context: &CheckContext<'a>) -> Through<'a> {
    let mut through: Through<'_> = HashMap::default();
    for circuit in &context.plan.circuits {
        for feeder in context.ways_of(circuit).iter().flat_map(|ways| &ways.feeders) {
            through.entry(&feeder.id).or_default().push(circuit);
        }
    }
    through
}

/// The result of checking a feeder.
struct Checked {
    load: Option<ElectricCurrent>,
    ampacity: Option<Ampacity>,
    report: FeederReport,
}

fn check<'a>(
    context: &mut CheckContext<'a>,
    feeder: &'a Feeder,
    drawn: &[&Circuit],
    behind: Option<&Behind>,
) -> (Checked, Protected) {
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    let design = design_current(context, feeder, drawn).unwrap_or_else(|missing| {
        context.say(subject.clone(), *missing);
        None
    });
    let (load, working) = design.unzip();
    let charge = context.charging().through_feeder(&feeder.id).flatten();
    let (drop_load, drop_working) = load.and_then(|_| design_load::of(context, drawn, charge)).unzip();
    say_ways(context, feeder, &subject);
    if feeder.cranking {
        let said = judge_starter_cable(context, feeder);
        context.say_all(&subject, said);
    }
    let (judgment, governed_by) = if is_left_to_the_manufacturer(context, feeder, drawn) {
        if feeder.size.is_none() {
            context.say(
                subject.clone(),
                RuleFinding::missing("the size of this feeder", "everything that it feeds"),
            );
        }
        (None, Vec::new())
    } else {
        let sized = sized(context, feeder, load, drop_load, behind);
        context.say_all(&subject, sized.findings);
        (sized.judgment, sized.governed_by)
    };
    let ampacity = judgment.as_ref().and_then(|judged| judged.ampacity.as_ref());
    let (one_way, least_fuse) = (context.length_of(feeder), context.needed.rating(&subject));
    let nominal = Some(context.sides().of_feeder(feeder));
    let asked =
        ProtectionNeeds { load, ampacity, one_way, least_fuse, nominal, ..ProtectionNeeds::default() };
    let protected = match (feeder.polarity, &feeder.protection) {
        (Polarity::Positive, Some(_)) => protect::feeder(context, feeder, &asked),
        _ => Protected::default(),
    };
    if feeder.polarity == Polarity::Negative {
        say_return(context, &subject, &asked, behind);
        if feeder.protection.is_some() {
            context.say(subject.clone(), fuse_in_return(context.plan.job.rules));
        }
    }
    let mut workings: Vec<Working> = working.into_iter().chain(drop_working).collect();
    workings.extend(behind.map(|behind| behind.working(feeder.polarity, context.plan.job.rules)));
    workings.extend(protected.workings.iter().cloned());
    workings.extend(judgment.as_ref().map(Judgement::workings).unwrap_or_default());
    let size = judgment.as_ref().map(|judged| judged.size).or(feeder.size);
    let drop = judgment.as_ref().and_then(|judged| judged.drop.as_ref());
    let report = FeederReport {
        conductor: ConductorReport {
            route: route(context, feeder),
            one_way_m: meters(context.length_of(feeder)),
            round_trip_m: meters(context.length_of(feeder)).map(|length| 2.0 * length),
            design_current_a: amperes(load),
            protection: protected.report.clone(),
            workings,
            ..ConductorReport::sized(size, feeder.size.is_some(), governed_by, ampacity, drop)
        },
        design_load_a: amperes(drop_load),
        circuits: drawn.iter().map(|circuit| circuit.id.clone()).collect(),
        let_through_a: amperes(behind.map(|behind| behind.fuse.rating)),
    };
    (Checked { load, ampacity: ampacity.cloned(), report }, protected)
}

/// The current a feeder must carry: the sum of all circuits that may draw through it, or its charging
/// current, whichever is larger. Each of several parallel paths is assumed to carry the whole current,
/// because the others may be switched off. A starter cable without other loads has no known current here.
///
/// # Errors
///
/// `input-missing` where something without a rating charges through it.
fn design_current(
    context: &CheckContext<'_>,
    feeder: &Feeder,
    drawn: &[&Circuit],
) -> Result<Option<(ElectricCurrent, Working)>, Box<RuleFinding>> {
    if is_left_to_the_manufacturer(context, feeder, drawn) {
        return Ok(None);
    }
    let charged = context.charging().through_feeder(&feeder.id);
    if charged == Some(None) {
        let what = "the rating of what charges through it";
        return Err(Box::new(RuleFinding::missing(what, "the current of the feeder")));
    }
    let currents: Option<Vec<f64>> =
        drawn.iter().map(|circuit| amperes(circuit_size::design_current(context, circuit))).collect();
    let Some(currents) = currents else { return Ok(None) };
    let sum = currents.iter().fold(0.0, |sum, current| sum + current);
    let terms: Vec<_> = currents.iter().map(|current| format!("{} A", figure(*current))).collect();
    let drawn = if terms.is_empty() { "none".to_owned() } else { terms.join(" + ") };
    let (most, formula, numbers) = match charged.flatten() {
        None => (sum, "sum of the circuits that may draw through it", drawn),
        Some(charge) => {
            let formula = "the larger of what its circuits draw and what charges through it";
            (sum.max(charge), formula, format!("{drawn}; charged with {} A", figure(charge)))
        }
    };
    let result = format!("{} A", figure(most));
    let working = Working {
        what: Quantity::DesignCurrent,
        formula,
        numbers: numbers.into(),
        result: result.into(),
        source: &CIRCUIT_LAWS,
    };
    Ok(Some((ElectricCurrent::new::<ampere>(most), working)))
}

/// Whether a feeder only cranks an engine, so that its current cannot be calculated.
fn is_left_to_the_manufacturer(context: &CheckContext<'_>, feeder: &Feeder, drawn: &[&Circuit]) -> bool {
    let is_charged = context.charging().through_feeder(&feeder.id).flatten().is_some();
    feeder.cranking && drawn.is_empty() && !is_charged
}

fn say_ways(context: &mut CheckContext<'_>, feeder: &Feeder, subject: &Subject) {
    let (ways, finding) = match feeder.polarity {
        Polarity::Positive => {
            let text = say!("No feeder leads from a battery to {}, where it begins. Add one.", &feeder.from);
            (context.ways_to(&feeder.from), RuleFinding::new(Code::Unfed, text))
        }
        Polarity::Negative => {
            let text =
                say!("No feeder leads from {}, where it ends, back to a battery. Add one.", &feeder.to);
            (context.ways_back(&feeder.to), RuleFinding::new(Code::NoReturn, text))
        }
    };
    if ways.is_none_or(|ways| ways.source.is_none()) {
        context.say(subject.clone(), finding);
    }
}

/// A starter cable needs no protection. This checks that the feeder really is a starter cable.
fn judge_starter_cable(context: &CheckContext<'_>, feeder: &Feeder) -> Vec<RuleFinding> {
    let Some(engines) = engines_cranked(context, feeder) else { return vec![no_starter_cable()] };
    let starters = engines.iter().filter_map(|engine| match &context.point(engine)?.body {
        Body::Charger(charger) => charger.starter_a,
        _ => None,
    });
    if starters.count() == 0 {
        let missing = "the starter current of the engine that it leads to";
        let whether = "whether it is a starter cable, which needs no fuse";
        return vec![RuleFinding::missing(missing, whether)];
    }
    vec![cranking_not_checked()]
}

/// The engines that a feeder reaches by starter cables alone, if it lies between them and a battery.
fn engines_cranked<'a>(context: &CheckContext<'a>, feeder: &'a Feeder) -> Option<Vec<&'a PointId>> {
    let is_cable = |other: &Feeder| other.polarity == feeder.polarity && other.id != feeder.id;
    let cranked = |start: &'a PointId| -> Vec<_> {
        let joined = context.joined(start, |other| is_cable(other) && other.cranking);
        joined.ids().filter(|point| context.kind(point) == Some(PointKind::Charger)).collect()
    };
    let ways = [(&feeder.from, &feeder.to), (&feeder.to, &feeder.from)];
    let supplied = ways.into_iter().filter(|(near, _)| context.has_battery_at(feeder, near));
    let mut engines = supplied.map(|(_, far)| cranked(far));
    engines.find(|engines| !engines.is_empty())
}

fn no_starter_cable() -> RuleFinding {
    let text = say!(
        "It is marked as a starter cable, but no starter cables lead through it from a battery to an engine. It is \
         unprotected. Remove the mark, or mark the cables that lead on."
    );
    RuleFinding::new(Code::Unprotected, text)
}

fn cranking_not_checked() -> RuleFinding {
    let text = say!("It feeds a starter motor. Take its size from the manual of the engine.");
    RuleFinding::new(Code::CrankingNotChecked, text)
}

fn fuse_in_return(rules: RuleSet) -> RuleFinding {
    let text = say!(
        "Its fuse or breaker sits in the negative conductor and is not counted. When it blows or trips, what it feeds \
         stays live. Fit it in the positive conductor, at its source."
    );
    let working = Working {
        what: Quantity::Protection,
        formula: "each ungrounded conductor has a fuse or a manually reset breaker",
        numbers: "in the return, which is the grounded one".into(),
        result: "left aside".into(),
        source: protection_rule(rules),
    };
    RuleFinding::new(Code::FuseInNegative, text).working(working)
}

/// Reports a return that is too thin for the current that flows before the protection trips or blows.
fn say_return(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    asked: &ProtectionNeeds<'_>,
    behind: Option<&Behind>,
) {
    let Some(behind) = behind else { return };
    if asked.ampacity.is_none() {
        let missing = RuleFinding::missing("the ampacity", "the protection of the negative conductor");
        context.say(subject.clone(), missing);
        return;
    }
    if let Some(over) = over_wire(context, asked, behind.fuse) {
        let of = Part::all(behind.of.iter());
        let text = say!("In a short circuit it carries what the protection of {} allows. {}", of, over.text);
        context.say(subject.clone(), RuleFinding { text, ..over });
    }
}

fn sized(
    context: &CheckContext<'_>,
    feeder: &Feeder,
    load: Option<ElectricCurrent>,
    drop_load: Option<ElectricCurrent>,
    behind: Option<&Behind>,
) -> Sized {
    let conductor = context.conductors.of_feeder(&feeder.id);
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    let own = feeder.protection.as_ref().filter(|_| feeder.polarity == Polarity::Positive);
    let demand = Demand {
        rules: context.plan.job.rules,
        design_current: load,
        drop_current: drop_load,
        length: context.length_of(feeder).map(PathLength::OneWay),
        longest_wire: context.length_of(feeder),
        nominal_voltage: Some(context.sides().of_feeder(feeder)),
        drop_limit: Some(drop::critical_limit()),
        insulation: insulation(feeder.insulation_c),
        ambient: context.ambient(),
        engine_space: conductor.is_some_and(|conductor| conductor.engine_space),
        bundle: context.bundle_of_feeder(feeder),
        laying: laying(feeder.jacketed),
        exemption: None,
        own_fuse: match own {
            Some(protection) if protection.rating_a.is_none() => OwnFuse::Of(protection.kind),
            Some(_) => OwnFuse::Rated,
            None => OwnFuse::Without,
        },
        least_fuse: context.needed.rating(&subject),
        at_least: context.needed.size(&subject),
    };
    let another = behind.map(|behind| (behind.fuse.family, behind.fuse.rating));
    size::settle(feeder.size, size::given(own).or(another), &demand)
}

/// The route from the source to the far end of a feeder, or from the near end of a return to the source.
fn route(context: &CheckContext<'_>, feeder: &Feeder) -> Vec<String> {
    let own = [feeder.from.to_string(), feeder.id.to_string(), feeder.to.to_string()];
    match feeder.polarity {
        Polarity::Positive => {
            let ways = context.ways_to(&feeder.from).and_then(|ways| ways.shortest.as_deref());
            let before = context.listed(ways).iter();
            before.flat_map(|feeder| [feeder.from.to_string(), feeder.id.to_string()]).chain(own).collect()
        }
        Polarity::Negative => {
            let ways = context.ways_back(&feeder.to).and_then(|ways| ways.shortest.as_deref());
            let after = context.listed(ways).iter();
            let after = after.flat_map(|feeder| [feeder.id.to_string(), feeder.to.to_string()]);
            own.into_iter().chain(after).collect()
        }
    }
}
