//! Checks of one circuit: its current, size, drop and protection.

use std::collections::BTreeMap;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};
use uom::si::ratio::percent;

use super::circuit_size::{allowable, device_largest, sized};
use super::context::{CheckContext, amperes, laying, meters};
use super::fuses::Fuses;
use super::guard::against;
use super::inrush::say_inrush;
use super::legs::{DeviceLeg, Legs, length_workings};
use super::protect::{self, ProtectionNeeds};
use super::report::{CircuitReport, ConductorReport, DeviceReport};
use crate::job::load::Load;
use crate::job::plan::{self, Circuit};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, DeviceId, FeederId};
use crate::trade::ampacity::{self, Ampacity};
use crate::trade::conductor::Size;
use crate::trade::drop;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::minimum;
use crate::trade::protection::distance;
use crate::trade::protection::opening::Opener;
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, say};
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::units::percent as percent_of;
use crate::trade::working::{Working, figure};

/// Checks every circuit, and collects what decides about its protection.
pub(super) fn check_all<'a>(
    context: &mut CheckContext<'a>,
) -> (BTreeMap<CircuitId, CircuitReport>, Vec<OwnProtection<'a>>) {
    let (plan, mut own) = (context.plan, Vec::new());
    let check = |circuit: &'a Circuit| (circuit.id.clone(), check(context, circuit, &mut own));
    (plan.circuits.iter().map(check).collect(), own)
}

/// A circuit's own protection with its gaps: it is missing, too far from its source or too large.
pub(super) struct OwnProtection<'a> {
    circuit: &'a Circuit,
    gaps: Vec<RuleFinding>,
    fitted: Option<Opener>,
    ampacity: Option<Ampacity>,
}

/// The findings about a fuse that does not protect a conductor and its devices.
const TOO_LARGE: [Code; 2] = [Code::FuseOverWire, Code::FuseOverDevice];

/// Reports the gaps of each circuit, except where upstream protection protects its conductor too. A short in
/// the conductor flows through every fuse on the path, so one that is small enough is sufficient.
pub(super) fn say_gaps<'a>(
    context: &mut CheckContext<'a>,
    circuits: Vec<OwnProtection<'a>>,
    fuses: &Fuses<'a>,
    reports: &mut BTreeMap<CircuitId, CircuitReport>,
) {
    for own in circuits {
        let subject = Subject::new(SubjectKind::Circuit, &own.circuit.id);
        match own.guard(context, fuses) {
            Some((guard, near)) => {
                let kept = own.kept_beside(near);
                context.say_all(&subject, kept);
                if let Some(report) = reports.get_mut(&own.circuit.id) {
                    report.conductor.protected_by = Some(guard);
                }
            }
            None => context.say_all(&subject, own.gaps),
        }
    }
}

impl<'a> OwnProtection<'a> {
    /// The feeder whose protection protects this conductor as well, and the note if that is over the ampacity.
    /// `None` also if the circuit's own protection is smaller and has no gap.
    fn guard(
        &self,
        context: &CheckContext<'a>,
        fuses: &Fuses<'a>,
    ) -> Option<(FeederId, Option<RuleFinding>)> {
        let is_bare = self.circuit.protection.is_none();
        // Far along the conductor, a short before its own fuse may draw too little to trip the upstream
        // protection.
        let distance = self.circuit.protection.as_ref().and_then(|own| own.from_source_m);
        let is_near = is_bare
            || distance.is_some_and(|own| {
                distance::is_within_reach_of_battery(own.quantity(), context.plan.job.rules)
            });
        let (guards, fuse) = fuses.reaching(context, &self.circuit.from)?;
        let is_smaller = self.fitted.is_none_or(|own| fuse.rating < own.rating);
        if !is_near || self.ampacity.is_none() || (self.gaps.is_empty() && !is_smaller) {
            return None;
        }
        // Its own fuse protects the device. If it has none, the upstream fuse has to.
        let device_largest = if is_bare { device_largest(context, self.circuit) } else { None };
        let ampacity = self.ampacity.as_ref();
        let asked = ProtectionNeeds { ampacity, device_largest, ..ProtectionNeeds::default() };
        if against(context, &asked, fuse, &TOO_LARGE).is_some() {
            return None;
        }
        let near = against(context, &asked, fuse, &[Code::FuseOverAmpacity]).map(|near| RuleFinding {
            text: say!("It is protected by {}. {}", Part::all(&guards), near.text),
            ..near
        });
        Some((guards.into_iter().next()?, near))
    }

    /// What remains to be said about a conductor that upstream protection protects.
    fn kept_beside(&self, near: Option<RuleFinding>) -> Option<RuleFinding> {
        let near = near.filter(|_| !self.gaps.is_empty())?;
        let own = self.gaps.iter().find(|gap| gap.code == Code::FuseOverAmpacity);
        Some(own.cloned().unwrap_or(near))
    }
}

fn check<'a>(
    context: &mut CheckContext<'a>,
    circuit: &'a Circuit,
    own: &mut Vec<OwnProtection<'a>>,
) -> CircuitReport {
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    say_assumptions(context, circuit, &subject);
    let legs = Legs::new(context, circuit);
    let sized = sized(context, circuit, &legs);
    let size = sized.size();
    let thinnest = thinnest(context, circuit, &legs, size);
    let worst = legs.worst_drop(context, size);
    let drop = worst.as_ref().map(|(_, drop, _)| drop);
    let mut said = sized.findings;
    if legs.has_other_sizes(size) {
        // That drop assumed one size for all conductors. Judge it again with the real sizes.
        said.retain(|finding| finding.code != Code::DropOverLimit);
        said.extend(worst.as_ref().and_then(|(_, drop, limit)| drop::judge(drop, *limit)));
    }
    context.say_all(&subject, said);

    let asked = ProtectionNeeds {
        load: legs.design_current,
        ampacity: thinnest.as_ref(),
        device_largest: device_largest(context, circuit),
        least_fuse: context.needed.rating(&subject),
        nominal: Some(context.sides().of_circuit(circuit)),
        one_way: legs.longest(|leg| leg.one_way),
    };
    let mut protected = protect::circuit(context, circuit, &asked);
    own.push(OwnProtection {
        circuit,
        gaps: std::mem::take(&mut protected.gaps),
        fitted: protected.fitted,
        ampacity: thinnest.clone(),
    });
    say_inrush(context, circuit, protected.fitted);
    say_device_fuses(context, circuit, &subject);

    let mut workings: Vec<Working> =
        design_working(context, circuit, legs.design_current).into_iter().collect();
    workings.extend(legs.farthest().into_iter().flat_map(length_workings));
    workings.extend(thinnest.iter().flat_map(|ampacity| ampacity.workings.clone()));
    workings.extend(drop.map(|drop| drop.working.clone()));
    workings.extend(protected.workings);
    let farthest = legs.farthest();
    let given = circuit.size.is_some();
    CircuitReport {
        name: circuit.name.to_string(),
        conductor: ConductorReport {
            route: route(context, circuit, farthest),
            one_way_m: farthest.and_then(|leg| meters(leg.one_way)),
            round_trip_m: farthest.and_then(|leg| meters(leg.round_trip)),
            design_current_a: amperes(legs.design_current),
            protection: protected.report,
            workings,
            ..ConductorReport::sized(size, given, sized.governed_by, thinnest.as_ref(), drop)
        },
        return_route: return_route(context, circuit, farthest),
        farthest: farthest.map(|leg| leg.device.clone()),
        drop_at: worst.as_ref().map(|(device, ..)| (*device).clone()),
        drop_limit_pct: worst
            .as_ref()
            .map(|(.., limit)| *limit)
            .or_else(|| legs.strictest(context))
            .map(|limit| limit.get::<percent>()),
        solved_drop_from_battery_v: None,
        solved_drop_from_battery_pct: None,
        fault_at: None,
        devices: legs.drops(context, size).map(|(leg, drop)| device_report(context, leg, drop)).collect(),
    }
}

/// What of a device's figures needs no solved network.
fn device_report(
    context: &CheckContext<'_>,
    leg: &DeviceLeg<'_>,
    drop: Option<ElectricPotential>,
) -> (DeviceId, DeviceReport) {
    let share = drop.map(|drop| drop / context.sides().of_device(leg.device));
    let figures = DeviceReport {
        one_way_m: meters(leg.one_way),
        round_trip_m: meters(leg.round_trip),
        drop_limit_pct: context.drop_limit(leg.device).get::<percent>(),
        handbook_drop_v: drop.map(|drop| drop.get::<volt>()),
        handbook_drop_pct: share.map(|share| share.get::<percent>()),
        ..DeviceReport::default()
    };
    (leg.device.clone(), figures)
}

fn say_assumptions(context: &mut CheckContext<'_>, circuit: &Circuit, subject: &Subject) {
    for id in circuit.devices() {
        let Some(device) = context.device(id) else { continue };
        let about = Subject::new(SubjectKind::Device, id);
        if device.load.is_none() {
            let finding =
                RuleFinding::missing("the load of this device", say!("the current of {}", &circuit.id));
            context.say(about.clone(), finding);
        }
        if device.drop_limit_pct.is_none() {
            let limit = percent_of(drop::CRITICAL_PERCENT);
            let text = say!(
                "No maximum voltage drop is entered, so {} is used. Enter it if more is allowed.",
                limit
            );
            context.say(about, RuleFinding::new(Code::DropLimitAssumed, text));
        }
    }
    let between = context.conductors.of_circuit(&circuit.id).iter().filter(|wire| !wire.role.is_jumper());
    if circuit.legs.len() > 1 && circuit.length_m.is_some() && between.clone().any(|wire| !wire.measured) {
        let text = match circuit.wiring {
            plan::Wiring::Chain => {
                say!(
                    "The lengths between its devices are not entered. The whole current is counted over the whole \
                     length. Enter them."
                )
            }
            plan::Wiring::HomeRuns => {
                say!(
                    "The lengths to its devices are not entered one by one. Each counts as the whole length. Enter them."
                )
            }
        };
        context.say(subject.clone(), RuleFinding::new(Code::DeviceLengthsAssumed, text));
    }
}

/// The ampacity of the circuit's thinnest conductor. Each conductor with a size of its own is judged.
fn thinnest(
    context: &mut CheckContext<'_>,
    circuit: &Circuit,
    legs: &Legs<'_>,
    size: Option<Size>,
) -> Option<Ampacity> {
    let mut thinnest = size.and_then(|size| allowable(context, circuit, legs, size).ok());
    for (conductor, current) in legs.conductors() {
        let Some(own) = conductor.size.filter(|own| Some(*own) != size) else { continue };
        let subject = Subject::new(SubjectKind::Conductor, &conductor.id);
        match allowable(context, circuit, legs, own) {
            Ok(ampacity) => {
                let over = current.and_then(|current| ampacity::judge(current, own, &ampacity));
                context.say_all(&subject, over);
                let weaker = |other: &Ampacity| ampacity.table < other.table;
                if thinnest.as_ref().is_none_or(weaker) {
                    thinnest = Some(ampacity);
                }
            }
            Err(finding) => context.say(subject.clone(), *finding),
        }
        let in_jacket = laying(circuit.jacketed && !conductor.role.is_jumper());
        let minimum = minimum::judge(own, context.plan.job.rules, in_jacket, conductor.length);
        context.say_all(&subject, minimum);
    }
    thinnest
}

/// Reports devices whose maximum fuse is not recorded: the rating then protects only the wire.
fn say_device_fuses(context: &mut CheckContext<'_>, circuit: &Circuit, subject: &Subject) {
    let unread =
        circuit.devices().filter(|id| context.device(id).is_some_and(|one| one.max_fuse_a.is_none()));
    let unread: Vec<&DeviceId> = unread.collect();
    if unread.is_empty() {
        return;
    }
    let text = say!(
        "The largest fuse that the manufacturer allows is not entered for {}. The rating is checked for the wire alone. \
         Read the manual.",
        Part::all(unread)
    );
    context.say(subject.clone(), RuleFinding::new(Code::DeviceFuseUnknown, text));
}

fn design_working(
    context: &CheckContext<'_>,
    circuit: &Circuit,
    sum: Option<ElectricCurrent>,
) -> Option<Working> {
    let nominal = figure(context.sides().of_circuit(circuit).get::<volt>());
    let terms: Option<Vec<_>> = circuit
        .devices()
        .map(|device| {
            Some(match context.device(device)?.load? {
                Load::ConstantCurrent(current) => format!("{} A", figure(current.number())),
                Load::ConstantPower(power) => format!("{} W / {nominal} V", figure(power.number())),
                Load::Resistance(load) => format!("{nominal} V / {} ohm", figure(load.number())),
            })
        })
        .collect();
    Some(Working {
        what: Quantity::DesignCurrent,
        formula: "sum of the loads at nominal voltage",
        numbers: terms?.join(" + ").into(),
        result: format!("{} A", figure(sum?.get::<ampere>())).into(),
        source: &CIRCUIT_LAWS,
    })
}

/// The route from the source through feeders and conductors to a device, with every point on it.
fn route(context: &CheckContext<'_>, circuit: &Circuit, leg: Option<&DeviceLeg<'_>>) -> Vec<String> {
    let ways = context.ways_to(&circuit.from);
    let feeders = context.listed(ways.and_then(|ways| ways.shortest.as_deref()));
    let mut route = Vec::new();
    for feeder in feeders {
        route.extend([feeder.from.to_string(), feeder.id.to_string()]);
    }
    route.push(circuit.from.to_string());
    for conductor in leg.iter().flat_map(|leg| leg.path().out) {
        route.extend([conductor.id.to_string(), conductor.to.id().to_owned()]);
    }
    route
}

/// The route from a device back to the source.
fn return_route(context: &CheckContext<'_>, circuit: &Circuit, leg: Option<&DeviceLeg<'_>>) -> Vec<String> {
    let mut route: Vec<String> = leg.iter().map(|leg| leg.device.to_string()).collect();
    for conductor in leg.iter().flat_map(|leg| leg.path().back.into_iter().rev()) {
        route.extend([conductor.id.to_string(), conductor.to.id().to_owned()]);
    }
    let back = context.ways_of(circuit).last().and_then(|ways| ways.shortest.as_deref());
    for feeder in context.listed(back) {
        route.extend([feeder.id.to_string(), feeder.to.to_string()]);
    }
    route
}
