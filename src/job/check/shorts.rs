//! Short-circuit currents: whether the protection of a conductor can interrupt them, and whether they trip
//! it.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::ElectricCurrent;

use super::context::CheckContext;
use super::remedy;
use super::report::{ConductorReport, FeederReport, ProtectionReport, Report};
use super::warm::coldest;
use crate::job::network::FaultStudy;
use crate::job::plan::{Feeder, Polarity, Protection};
use crate::job::point::Body;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, DeviceId, FeederId, PointId};
use crate::trade::dc_network::ShortCircuit;
use crate::trade::energy::battery::SupposedResistance;
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::protection::Family;
use crate::trade::protection::opening::{self, Opener};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::FAULT_TEMPERATURES;
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
        return HashMap::default();
    }
    joined.into_iter().filter_map(|battery| Some((battery, shorted.of_battery(battery)?))).collect()
}

/// The fault studies of a plan.
pub(super) struct Studies<'s, 'w> {
    /// Every battery, conductors warm: for the least fault currents.
    pub(super) warm: &'s FaultStudy<'w>,
    /// Each joined battery alone, conductors warm.
    pub(super) alone: &'s EachBatteryAlone<'s, 'w>,
    /// Every battery, conductors cold: for the greatest fault currents.
    pub(super) cold: &'s FaultStudy<'w>,
}

impl Studies<'_, '_> {
    /// The minimum fault current from any of these batteries alone. If none is joined to another, the total
    /// fault current.
    fn least<'p>(
        &self,
        batteries: impl IntoIterator<Item = &'p PointId>,
        short: impl Fn(&FaultStudy<'_>) -> Option<ShortCircuit>,
    ) -> Option<ShortCircuit> {
        let each = batteries.into_iter().filter_map(|battery| short(self.alone.get(battery)?));
        let fed = each.filter(|fault| fault.current().value > 0.0);
        fed.min_by(weaker).or_else(|| short(self.warm))
    }
}

/// Protection must interrupt the maximum fault current, and must trip or blow at the minimum.
pub(super) fn short_circuits(
    context: &mut CheckContext<'_>,
    report: &mut Report,
    studies: &Studies<'_, '_>,
    supplied: &HashSet<&CircuitId>,
) {
    say_internal_resistance(context);
    let openers = context.plan.feeders.iter().filter_map(|feeder| Some((&feeder.id, report.opener(feeder)?)));
    let openers: HashMap<&FeederId, Opener> = openers.collect();
    let mut at_protection: HashMap<[&PointId; 2], Option<ShortCircuit>> = HashMap::default();
    let unknown = UnknownSources::of(context);
    for circuit in &context.plan.circuits {
        let Some(figures) = report.circuits.get_mut(&circuit.id) else { continue };
        if unknown.feed(context, &circuit.from) || !supplied.contains(&circuit.id) {
            continue;
        }
        let sources =
            || context.ways_to(&circuit.from).into_iter().flat_map(|ways| ways.points.iter().copied());
        let at_devices = circuit.devices().filter_map(|device| {
            let far = studies.least(sources(), |shorted| shorted.at_device(&circuit.id, device))?;
            Some((device, far))
        });
        let at_devices: Vec<(&DeviceId, ShortCircuit)> = at_devices.collect();
        for (device, fault) in &at_devices {
            if let Some(own) = figures.devices.get_mut(*device) {
                own.fault_current_a = Some(amperes(fault));
            }
        }
        let (at, far) = at_devices.into_iter().min_by(|(_, one), (_, other)| weaker(one, other)).unzip();
        figures.fault_at = at.cloned();
        // Circuits of one block share this result.
        let near = at_protection.entry([&circuit.from, &circuit.r#return]).or_insert_with(|| {
            most_at(context, studies.cold, &circuit.from, BTreeSet::from([&circuit.r#return]))
        });
        figures.conductor.fault_current_a = far.as_ref().map(amperes);
        figures.conductor.fault_at_protection_a = near.as_ref().map(amperes);
        figures.conductor.workings.extend(fault_workings(context, far.as_ref(), near.as_ref()));
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        let path = OnThePath::new(circuit.protection.as_ref(), &figures.conductor, &openers);
        let path = OnThePath { is_limited: is_limited(context, &circuit.from), ..path };
        path.say(context, &subject, far.as_ref(), near.as_ref());
    }
    for feeder in context.plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive) {
        let Some(figures) = report.feeders.get_mut(&feeder.id) else { continue };
        if !unknown.feed(context, context.power_end(feeder)) {
            feeder_fault(context, feeder, figures, studies, &openers);
        }
    }
    let is_spent = studies.warm.is_spent() || studies.cold.is_spent();
    if is_spent || studies.alone.values().any(FaultStudy::is_spent) {
        context.say_spent("every short-circuit current");
    }
}

pub(super) fn at_points(
    context: &CheckContext<'_>,
    shorted: &FaultStudy<'_>,
) -> HashMap<PointId, ShortCircuit> {
    let unknown = UnknownSources::of(context);
    let known = context.plan.points.iter().filter(|point| !unknown.feed(context, &point.id));
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
    studies: &Studies<'_, '_>,
    openers: &HashMap<&FeederId, Opener>,
) {
    let near_end = context.power_end(feeder);
    let far_end = if near_end == &feeder.from { &feeder.to } else { &feeder.from };
    let Some(source) = context.ways_to(near_end).and_then(|ways| ways.source) else { return };
    let returns: BTreeSet<_> = (figures.circuits.iter())
        .filter_map(|circuit| Some(&context.plan.circuit(circuit)?.r#return))
        .collect();
    let far = studies.least(context.batteries_at(feeder, near_end), |shorted| {
        let loops = returns.iter().filter_map(|back| shorted.across(far_end, back));
        loops.chain(shorted.across(far_end, source)).min_by(weaker)
    });
    let near =
        most_at(context, studies.cold, near_end, returns).or_else(|| studies.cold.across(near_end, source));
    figures.conductor.fault_current_a = far.as_ref().map(amperes);
    figures.conductor.fault_at_protection_a = near.as_ref().map(amperes);
    figures.conductor.workings.extend(fault_workings(context, far.as_ref(), near.as_ref()));
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    let path = OnThePath::new(feeder.protection.as_ref(), &figures.conductor, openers);
    let is_limited = is_limited(context, near_end);
    let path = OnThePath { is_exempt: feeder.cranking, is_limited, ..path };
    path.say(context, &subject, far.as_ref(), near.as_ref());
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

/// How both fault currents of a circuit or feeder were calculated: the least with warm conductors, the
/// greatest with cold ones.
fn fault_workings(
    context: &CheckContext<'_>,
    far: Option<&ShortCircuit>,
    near: Option<&ShortCircuit>,
) -> impl Iterator<Item = Working> {
    let of = |what, formula, at: String, fault: &ShortCircuit| Working {
        what,
        formula,
        numbers: format!(
            "{} V / {} ohm, {at}",
            figure(fault.open_circuit().get::<volt>()),
            figure(fault.behind().get::<ohm>())
        )
        .into(),
        result: format!("{} A", figure(amperes(fault))).into(),
        source: &FAULT_TEMPERATURES,
    };
    let far = far.map(|fault| {
        let formula = "volts there with every load off / resistance of the whole warm loop up to there";
        of(Quantity::FaultCurrent, formula, "copper as warm as its load makes it".to_owned(), fault)
    });
    let cold = format!("copper at {} C", figure(coldest(context.plan)));
    far.into_iter().chain(near.map(|fault| {
        let formula = "volts there with every load off / resistance of the whole cold loop up to there";
        of(Quantity::FaultAtProtection, formula, cold, fault)
    }))
}

/// The fuse or breaker of a circuit or feeder, and the feeder whose protection protects it as well.
struct OnThePath<'p> {
    own: Option<(&'p Protection, &'p ProtectionReport)>,
    guard: Option<(&'p FeederId, Opener)>,
    /// Whether the rules require no protection of it at all.
    is_exempt: bool,
    /// Whether every battery feeds it through a current-limiting fuse.
    is_limited: bool,
    load: Option<ElectricCurrent>,
}

impl<'p> OnThePath<'p> {
    fn new(
        own: Option<&'p Protection>,
        figures: &'p ConductorReport,
        openers: &HashMap<&FeederId, Opener>,
    ) -> Self {
        let guard = figures.protected_by.as_ref();
        Self {
            own: own.zip(figures.protection.as_ref()),
            guard: guard.and_then(|guard| Some((guard, *openers.get(guard)?))),
            is_exempt: false,
            is_limited: false,
            load: figures.design_current_a.map(ElectricCurrent::new::<ampere>),
        }
    }

    fn own_opener(&self) -> Option<Opener> {
        let (protection, figures) = self.own?;
        Some(protection.opener(ElectricCurrent::new::<ampere>(figures.rating_a?)))
    }

    /// Whether a short at the far end leaves every protection on the path closed: the finding about its own, or
    /// else about the one that guards it.
    fn far_end(&self, far: &ShortCircuit) -> Option<RuleFinding> {
        let judged = |opener: &Opener| opening::judge_far_end(opener, Some(far.current()));
        let own = self.own_opener();
        let of_guard = self.guard.map(|(by, guard)| judged(&guard).map(|judged| guarded_by(by, judged)));
        match (own.as_ref().map(judged), of_guard) {
            (Some(None), _) | (_, Some(None)) | (None, None) => None,
            (Some(own), _) => own,
            (None, Some(of_guard)) => of_guard,
        }
    }

    /// Adds to a short circuit that is too weak, whatever the sizes, what would help.
    fn nearest_change(
        &self,
        context: &CheckContext<'_>,
        subject: &Subject,
        far: &ShortCircuit,
        weak: RuleFinding,
    ) -> RuleFinding {
        match self.own_opener().or(self.guard.map(|(_, guard)| guard)) {
            Some(opener) if context.needed.unmet(subject, weak.code).is_some() => {
                let change = remedy::of_weak_fault(&opener, far.current(), self.load);
                RuleFinding { text: weak.text.then(change), ..weak }
            }
            _ => weak,
        }
    }

    /// Whether its own protection can interrupt a short directly after it.
    fn interrupts(&self, context: &CheckContext<'_>, near: &ShortCircuit) -> Option<RuleFinding> {
        let (protection, _) = self.own?;
        let interrupts = protection.interrupt_a.map(|interrupts| interrupts.quantity());
        let judged = opening::judge_interrupt(
            context.plan.job.rules,
            protection.kind,
            interrupts,
            Some(near.current()),
        )?;
        Some(if self.is_limited { limited(judged) } else { judged })
    }

    fn say(
        &self,
        context: &mut CheckContext<'_>,
        subject: &Subject,
        far: Option<&ShortCircuit>,
        near: Option<&ShortCircuit>,
    ) {
        let weak = far.and_then(|far| Some(self.nearest_change(context, subject, far, self.far_end(far)?)));
        let level = |weak: &RuleFinding| if self.is_exempt { Level::Note } else { weak.level };
        let weak = weak.map(|weak| RuleFinding { level: level(&weak), ..weak });
        let bursts = near.and_then(|near| self.interrupts(context, near));
        context.say_all(subject, weak.into_iter().chain(bursts));
    }
}

/// Whether every path from a battery to a point passes a class T fuse, which limits the current of a short circuit.
fn is_limited(context: &CheckContext<'_>, point: &PointId) -> bool {
    let is_open = |feeder: &Feeder| {
        let limits = feeder.protection.as_ref().is_some_and(|fuse| fuse.kind == Family::ClassTFuse);
        feeder.polarity == Polarity::Positive && !limits
    };
    let joined = context.joined(point, is_open);
    !joined.points().any(|point| matches!(point.body, Body::Battery(_)))
}

/// A fuse after a current-limiting one counts as limited (common practice, no source). How far, its manufacturer says.
fn limited(judged: RuleFinding) -> RuleFinding {
    if judged.code == Code::InputMissing {
        return judged;
    }
    let text = say!(
        "It could not interrupt the short circuit by itself. The class T fuse before it limits the current. Read in its \
         data to how much."
    );
    RuleFinding { level: Level::Note, code: Code::InterruptUnconfirmed, text, ..judged }
}

fn guarded_by(by: &FeederId, judged: RuleFinding) -> RuleFinding {
    let text = say!("It is protected by {}. {}", by, judged.text);
    let text = match judged.code {
        Code::InputMissing => {
            text.then(say!("Enter it on {} as the current at which it blows or trips.", by))
        }
        _ => text,
    };
    RuleFinding { text, ..judged }
}

/// A battery without a known internal resistance would deliver unlimited current in the calculation. A supposed
/// one is named as such.
fn say_internal_resistance(context: &mut CheckContext<'_>) {
    for point in &context.plan.points {
        if matches!(point.body, Body::Converter(_)) {
            let what = "whether a short circuit opens the protection behind it";
            let said = RuleFinding::not_checked("the current that it gives into a short circuit", what);
            context.say(Subject::new(SubjectKind::Point, &point.id), said);
        }
        let Body::Battery(battery) = &point.body else { continue };
        let said = match (battery.internal(), battery.supposed()) {
            (None, _) => RuleFinding::missing(
                "the internal resistance",
                "every short-circuit current from this battery",
            ),
            (Some(_), None) => continue,
            (Some(_), Some(supposed)) => resistance_supposed(supposed),
        };
        context.say(Subject::new(SubjectKind::Point, &point.id), said);
    }
}

fn resistance_supposed(supposed: SupposedResistance) -> RuleFinding {
    let text = say!(
        "The internal resistance is not entered. {} is supposed. Measure it, or read it in the manufacturer's data.",
        format!("{:.1} m\u{2126}", supposed.resistance.get::<milliohm>())
    );
    RuleFinding::new(Code::ResistanceSupposed, text).working(supposed.working)
}

/// The sources of which nothing is known in a short circuit.
struct UnknownSources<'a>(HashSet<&'a PointId>);

impl<'a> UnknownSources<'a> {
    fn of(context: &CheckContext<'a>) -> Self {
        let points = context.plan.points.iter().map(|point| &point.id);
        Self(points.filter(|point| !has_internal_resistance(context, point)).collect())
    }

    /// Whether one of them may feed a point.
    fn feed(&self, context: &CheckContext<'a>, point: &PointId) -> bool {
        let points = context.ways_to(point).map(|ways| ways.points.as_slice()).unwrap_or_default();
        !self.0.is_empty() && points.iter().any(|point| self.0.contains(point))
    }
}

/// Whether a point is not a battery, or is a battery with a known internal resistance. A converter limits its own
/// current, so nothing is known of a short circuit behind it.
fn has_internal_resistance(context: &CheckContext<'_>, point: &PointId) -> bool {
    match context.point(point).map(|point| &point.body) {
        Some(Body::Battery(battery)) => battery.internal().is_some(),
        Some(Body::Converter(_)) => false,
        _ => true,
    }
}
