//! Short-circuit currents: whether the protection of a conductor can interrupt them, and whether they trip
//! it.

use std::cmp::Ordering;
use std::collections::{BTreeSet, HashMap};

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ElectricCurrent;

use super::context::CheckContext;
use super::report::{FeederReport, ProtectionReport, Report};
use crate::job::network::FaultStudy;
use crate::job::plan::{Feeder, Polarity, Protection};
use crate::job::point::Body;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{FeederId, PointId};
use crate::trade::dc_network::ShortCircuit;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::protection::opening::{self, Opener};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// The network with one battery alone, for each battery joined to others. With a switch off or a cable
/// removed, a single battery feeds the short.
pub(super) type EachBatteryAlone<'p, 'w> = HashMap<&'p PointId, FaultStudy<'w>>;

/// The work budget of these networks: their parts together.
const MOST_PARTS: usize = 400_000;

/// The network of each battery alone, for batteries that are joined to another.
pub(super) fn alone<'p, 'w>(
    context: &mut CheckContext<'p>,
    shorted: &FaultStudy<'w>,
) -> EachBatteryAlone<'p, 'w> {
    let joined = context.joined_batteries();
    let parts: usize = joined.iter().map(|battery| shorted.parts_beside(battery)).sum();
    if parts > MOST_PARTS {
        context.say_spent("the fault current that each battery gives alone");
        return HashMap::new();
    }
    joined.into_iter().filter_map(|battery| Some((battery, shorted.of_battery(battery)?))).collect()
}

/// The minimum fault current from any of these batteries alone. If none is joined to another, the total
/// fault current.
fn least<'p>(
    shorted: &FaultStudy<'_>,
    alone: &EachBatteryAlone<'_, '_>,
    batteries: impl IntoIterator<Item = &'p PointId>,
    short: impl Fn(&FaultStudy<'_>) -> Option<ShortCircuit>,
) -> Option<ShortCircuit> {
    let each = batteries.into_iter().filter_map(|battery| short(alone.get(battery)?));
    let fed = each.filter(|fault| fault.current().value > 0.0);
    fed.min_by(weaker).or_else(|| short(shorted))
}

/// Protection must interrupt the maximum fault current, and must trip or blow at the minimum.
pub(super) fn short_circuits(
    context: &mut CheckContext<'_>,
    report: &mut Report,
    shorted: &FaultStudy<'_>,
    alone: &EachBatteryAlone<'_, '_>,
) {
    say_internal_resistance(context);
    let openers = context.plan.feeders.iter().filter_map(|feeder| Some((&feeder.id, report.opener(feeder)?)));
    let openers: HashMap<&FeederId, Opener> = openers.collect();
    let mut at_protection: HashMap<[&PointId; 2], Option<ShortCircuit>> = HashMap::new();
    for circuit in &context.plan.circuits {
        let Some(figures) = report.circuits.get_mut(&circuit.id) else { continue };
        if !sources_are_known(context, &circuit.from) {
            continue;
        }
        let sources =
            || context.ways_to(&circuit.from).into_iter().flat_map(|ways| ways.points.iter().copied());
        let at_devices = circuit.devices().filter_map(|device| {
            least(shorted, alone, sources(), |shorted| shorted.at_device(&circuit.id, device))
        });
        let far = at_devices.min_by(weaker);
        // Circuits of one block share this result.
        let near = at_protection
            .entry([&circuit.from, &circuit.r#return])
            .or_insert_with(|| most_at(context, shorted, &circuit.from, BTreeSet::from([&circuit.r#return])));
        figures.conductor.fault_current_a = far.as_ref().map(amperes);
        figures.conductor.fault_at_protection_a = near.as_ref().map(amperes);
        figures.conductor.workings.extend(fault_workings(far.as_ref(), near.as_ref()));
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        let fitted = circuit.protection.as_ref().zip(figures.conductor.protection.as_ref());
        say_short_circuit(context, &subject, fitted, far.as_ref(), near.as_ref());
        say_guarded(context, &subject, figures.conductor.protected_by.as_ref(), &openers, far.as_ref());
    }
    for feeder in context.plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive) {
        let Some(figures) = report.feeders.get_mut(&feeder.id) else { continue };
        feeder_fault(context, feeder, figures, (shorted, alone), &openers);
    }
    if shorted.is_spent() || alone.values().any(FaultStudy::is_spent) {
        context.say_spent("every short-circuit current");
    }
}

pub(super) fn at_points(
    context: &CheckContext<'_>,
    shorted: &FaultStudy<'_>,
) -> HashMap<PointId, ShortCircuit> {
    let known = context.plan.points.iter().filter(|point| sources_are_known(context, &point.id));
    known
        .filter_map(|point| {
            let source = context.ways_to(&point.id)?.source?;
            Some((point.id.clone(), shorted.across(&point.id, source)?))
        })
        .collect()
}

fn feeder_fault(
    context: &mut CheckContext<'_>,
    feeder: &Feeder,
    figures: &mut FeederReport,
    (shorted, alone): (&FaultStudy<'_>, &EachBatteryAlone<'_, '_>),
    openers: &HashMap<&FeederId, Opener>,
) {
    let near_end = context.power_end(feeder);
    let far_end = if near_end == &feeder.from { &feeder.to } else { &feeder.from };
    let source = context.ways_to(near_end).and_then(|ways| ways.source);
    let Some(source) = source.filter(|_| sources_are_known(context, near_end)) else { return };
    let returns: BTreeSet<_> = (figures.circuits.iter())
        .filter_map(|circuit| Some(&context.plan.circuit(circuit)?.r#return))
        .collect();
    let batteries = context.batteries_at(feeder, near_end);
    let far = least(shorted, alone, batteries.iter().copied(), |shorted| {
        let loops = returns.iter().filter_map(|back| shorted.across(far_end, back));
        loops.chain(shorted.across(far_end, source)).min_by(weaker)
    });
    let near = most_at(context, shorted, near_end, returns).or_else(|| shorted.across(near_end, source));
    figures.conductor.fault_current_a = far.as_ref().map(amperes);
    figures.conductor.fault_at_protection_a = near.as_ref().map(amperes);
    figures.conductor.workings.extend(fault_workings(far.as_ref(), near.as_ref()));
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    say_guarded(context, &subject, figures.conductor.protected_by.as_ref(), openers, far.as_ref());
    let fitted = feeder.protection.as_ref().zip(figures.conductor.protection.as_ref());
    say_short_circuit(context, &subject, fitted, far.as_ref(), near.as_ref());
}

/// The maximum fault current when a point is shorted to one of those returns, or to a negative post or bar
/// in the same location. A dropped tool can touch anything in that location. A battery beside the block
/// drives more current there than a thin return allows.
fn most_at(
    context: &CheckContext<'_>,
    shorted: &FaultStudy<'_>,
    point: &PointId,
    returns: BTreeSet<&PointId>,
) -> Option<ShortCircuit> {
    let location = context.point(point).map(|point| &point.location);
    let beside = location.map(|location| context.negatives_at(location)).unwrap_or_default();
    let negatives: BTreeSet<_> = returns.into_iter().chain(beside.iter().copied()).collect();
    negatives.into_iter().filter_map(|negative| shorted.across(point, negative)).max_by(weaker)
}

fn weaker(one: &ShortCircuit, other: &ShortCircuit) -> Ordering {
    one.current().value.total_cmp(&other.current().value)
}

fn amperes(fault: &ShortCircuit) -> f64 {
    fault.current().get::<ampere>()
}

/// How both fault currents of a circuit or feeder were calculated.
fn fault_workings(far: Option<&ShortCircuit>, near: Option<&ShortCircuit>) -> impl Iterator<Item = Working> {
    let of = |what, fault: &ShortCircuit| Working {
        what,
        formula: "volts there with every load off / resistance of the whole loop up to there",
        numbers: format!(
            "{} V / {} ohm",
            figure(fault.open_circuit().get::<volt>()),
            figure(fault.behind().get::<ohm>())
        )
        .into(),
        result: format!("{} A", figure(amperes(fault))).into(),
        source: &CIRCUIT_LAWS,
    };
    let far = far.map(|fault| of(Quantity::FaultCurrent, fault));
    far.into_iter().chain(near.map(|fault| of(Quantity::FaultAtProtection, fault)))
}

/// Reports whether the feeder that guards a conductor without its own protection clears a short in it.
fn say_guarded(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    by: Option<&FeederId>,
    openers: &HashMap<&FeederId, Opener>,
    far: Option<&ShortCircuit>,
) {
    let Some((by, far)) = by.zip(far) else { return };
    let judged = openers.get(by).and_then(|guard| opening::judge_far_end(guard, Some(far.current())));
    context.say_all(
        subject,
        judged.map(|judged| {
            let text = say!("It is protected by {}. {}", by, judged.text);
            let text = match judged.code {
                Code::InputMissing => {
                    text.then(say!("Enter it on {} as the current at which it blows or trips.", by))
                }
                _ => text,
            };
            RuleFinding { text, ..judged }
        }),
    );
}

/// Reports whether the protection trips at a short at the far end, and can interrupt a short directly after
/// it.
fn say_short_circuit(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    fitted: Option<(&Protection, &ProtectionReport)>,
    far: Option<&ShortCircuit>,
    near: Option<&ShortCircuit>,
) {
    let Some((protection, figures)) = fitted else { return };
    if let (Some(rating), Some(far)) = (figures.rating_a, far) {
        let rating = ElectricCurrent::new::<ampere>(rating);
        context.say_all(subject, opening::judge_far_end(&protection.opener(rating), Some(far.current())));
    }
    if let Some(near) = near {
        let interrupts = protection.interrupt_a.map(|interrupts| interrupts.quantity());
        context.say_all(subject, opening::judge_interrupt(protection.kind, interrupts, Some(near.current())));
    }
}

/// A battery without a known internal resistance would deliver unlimited current in the calculation.
fn say_internal_resistance(context: &mut CheckContext<'_>) {
    for point in &context.plan.points {
        if matches!(point.body, Body::Battery(_)) && !has_internal_resistance(context, &point.id) {
            let missing = RuleFinding::missing(
                "the internal resistance",
                "every short-circuit current from this battery",
            );
            context.say(Subject::new(SubjectKind::Point, &point.id), missing);
        }
    }
}

fn sources_are_known(context: &CheckContext<'_>, point: &PointId) -> bool {
    let points = context.ways_to(point).map(|ways| ways.points.as_slice()).unwrap_or_default();
    points.iter().all(|point| has_internal_resistance(context, point))
}

/// Whether a point is not a battery, or is a battery with a known internal resistance.
fn has_internal_resistance(context: &CheckContext<'_>, point: &PointId) -> bool {
    match context.point(point).map(|point| &point.body) {
        Some(Body::Battery(battery)) => battery.internal_mohm.is_some(),
        _ => true,
    }
}
