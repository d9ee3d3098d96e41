//! The sizes and ratings that a plan leaves open, chosen together on its whole network.
//!
//! Each open size is first the smallest that the rules allow for its own wire. The network is solved with
//! these sizes and checked. Every limit that it breaks names the chosen wires and fuses that can help.
//! [`raise`] raises them at the least cost of copper, and the plan is checked again. It is the same check
//! that judges the plan in the end, so the choice and the verdict cannot disagree. Loops, several batteries
//! and links need no case of their own.
//!
//! Sizes only rise, so the search ends. A limit that the thickest sizes do not keep either is set aside, and
//! the search begins again without it. The number of rounds has a budget that depends on the plan alone.

mod broken;
pub(super) mod report;

use std::collections::BTreeMap;
use std::rc::Rc;

use uom::si::area::square_meter;
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;
use uom::si::length::meter;

use super::context::{CheckContext, Index};
use super::report::{By, ConductorReport, Report};
use super::sizes_by_themselves;
use crate::job::conductor::Conductor;
use crate::job::finding::Finding;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId};
use crate::job::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::joint::{BrokenLimit, RaisableWire, RaisedSize, raise};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::LEAST_COPPER;
use crate::trade::working::{Working, figure};
use report::{JointReport, WireSize};

pub(super) use broken::{Broken, all as broken_limits};

/// Copper, in kg/m3.
const COPPER_KG_PER_M3: f64 = 8960.0;
/// Circuits and feeders that may be checked in all rounds together.
const WORK: usize = 8_000;
/// The largest number of rounds, however small the plan is.
const MOST_ROUNDS: usize = 60;

/// What the network needs of the sizes and ratings that the program chooses.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Needed {
    sizes: BTreeMap<Subject, Size>,
    ratings: BTreeMap<Subject, f64>,
    unmet: BTreeMap<(Subject, Code), f64>,
}

impl Needed {
    /// The thinnest size to choose for a circuit or feeder.
    pub(super) fn size(&self, subject: &Subject) -> Option<Size> {
        self.sizes.get(subject).copied()
    }

    /// The smallest rating to choose for its fuse or breaker.
    pub(super) fn rating(&self, subject: &Subject) -> Option<ElectricCurrent> {
        self.ratings.get(subject).copied().map(ElectricCurrent::new::<ampere>)
    }

    /// The value that is left with the thickest sizes, for a limit that no sizes keep.
    pub(super) fn unmet(&self, subject: &Subject, code: Code) -> Option<f64> {
        self.unmet.get(&(subject.clone(), code)).copied()
    }

    /// The same with everything raised that these limits need; `None` if nothing is left to raise.
    fn raised(&self, open: &[Broken], wires: &Wires<'_>) -> Option<Self> {
        let mut next = self.clone();
        for (subject, rating) in open.iter().flat_map(|broken| &broken.ratings) {
            let held = next.ratings.entry(subject.clone()).or_insert(*rating);
            *held = held.max(*rating);
        }
        let mut named: Vec<&Subject> =
            open.iter().flat_map(|b| b.adds.iter().map(|(wire, _)| wire)).collect();
        named.sort_unstable();
        named.dedup();
        let may_rise: Vec<(&Subject, Vec<Size>)> =
            named.into_iter().filter_map(|wire| Some((wire, wires.sizes_from(wire)?))).collect();
        let place = |wire: &Subject| may_rise.iter().position(|(one, _)| *one == wire);
        let raisable: Vec<RaisableWire> =
            may_rise.iter().map(|(wire, sizes)| wires.raisable(wire, sizes)).collect();
        let of_wires = open.iter().filter(|broken| !broken.adds.is_empty());
        let limits: Vec<BrokenLimit> = of_wires
            .map(|broken| BrokenLimit {
                excess: broken.excess,
                adds: broken.adds.iter().filter_map(|(wire, adds)| Some((place(wire)?, *adds))).collect(),
            })
            .collect();
        for ((wire, sizes), at) in may_rise.iter().zip(raise(&raisable, &limits)) {
            if let Some(size) = sizes.get(at).filter(|_| at > 0) {
                next.sizes.insert((*wire).clone(), *size);
            }
        }
        (next != *self).then_some(next)
    }

    /// A new beginning without these limits, which no sizes keep.
    fn without(&self, open: Vec<Broken>) -> Self {
        let unmet = open.into_iter().map(|broken| ((broken.subject, broken.code), broken.value));
        Self { unmet: self.unmet.clone().into_iter().chain(unmet).collect(), ..Self::default() }
    }
}

/// Chooses the sizes and ratings that a plan leaves open, and returns the check with them.
pub(super) fn settle<'a>(
    plan: &'a Plan,
    conductors: &'a Conductors,
    index: &Rc<Index<'a>>,
    from: &Needed,
) -> (Needed, Report) {
    let mut needed = from.clone();
    let mut rounds = (WORK / (plan.circuits.len() + plan.feeders.len()).max(1)).clamp(1, MOST_ROUNDS);
    loop {
        let (mut report, broken) = super::electrics(plan, conductors, index.clone(), &needed);
        let is_open = |broken: &Broken| needed.unmet(&broken.subject, broken.code).is_none();
        let open: Vec<Broken> = broken.into_iter().filter(is_open).collect();
        rounds -= 1;
        if open.is_empty() {
            return (needed, report);
        }
        if rounds == 0 {
            report.findings.push(not_settled());
            return (needed, report);
        }
        let wires = Wires { plan, conductors, report: &report };
        needed = needed.raised(&open, &wires).unwrap_or_else(|| needed.without(open));
    }
}

fn not_settled() -> Finding {
    let text = say!(
        "The search for sizes ended at its work budget. The sizes chosen so far may break limits that thicker ones keep. \
         Enter sizes for some feeders."
    );
    Finding::about(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::SizesNotSettled, text))
}

/// The wires of a checked plan.
struct Wires<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    report: &'a Report,
}

impl Wires<'_> {
    /// The sizes of a chosen wire from its present one up.
    fn sizes_from(&self, wire: &Subject) -> Option<Vec<Size>> {
        let now = figures(self.report, wire)?.size?;
        let thicker = Size::stocked(self.plan.job.rules.system()).filter(|size| *size > now);
        Some(std::iter::once(now).chain(thicker).collect())
    }

    fn raisable(&self, wire: &Subject, sizes: &[Size]) -> RaisableWire {
        let copper_m = self.copper_m(wire);
        let now = sizes.first().map_or(0.0, |size| size.area().get::<square_meter>());
        let raised = |size: &Size| {
            let area = size.area().get::<square_meter>();
            RaisedSize { share: now / area, cost: copper_m * area }
        };
        RaisableWire { sizes: sizes.iter().map(raised).collect() }
    }

    /// The length of all its conductors that have no size of their own.
    fn copper_m(&self, wire: &Subject) -> f64 {
        let conductors: Vec<&Conductor> = match wire.kind {
            SubjectKind::Circuit => {
                wire.id.parse().map(|id| self.conductors.of_circuit(&id).iter().collect()).unwrap_or_default()
            }
            _ => wire.id.parse().ok().and_then(|id| self.conductors.of_feeder(&id)).into_iter().collect(),
        };
        let of_its_size = conductors.into_iter().filter(|one| one.size.is_none());
        of_its_size.filter_map(|one| Some(one.length?.get::<meter>())).sum()
    }
}

/// The sizes of a checked plan beside those with every size chosen again. This takes as long as another check.
pub fn together(plan: &Plan, report: &Report) -> JointReport {
    let open = without_sizes(plan);
    let conductors = report.conductors(plan);
    let (anew, nothing) = (super::check(&open), Needed::default());
    let smallest = sizes_by_themselves(&CheckContext::new(&open, &conductors, Index::of(&open), &nothing));
    let wires = Wires { plan, conductors: &conductors, report };
    let subjects = (plan.feeders.iter().map(|one| Subject::new(SubjectKind::Feeder, &one.id)))
        .chain(plan.circuits.iter().map(|one| Subject::new(SubjectKind::Circuit, &one.id)));
    let sized = |subject: Subject| WireSize {
        copper_m: wires.copper_m(&subject),
        planned: figures(report, &subject).and_then(|own| own.size),
        given: figures(report, &subject).is_some_and(|own| own.size_by == Some(By::Given)),
        anew: figures(&anew, &subject).and_then(|own| own.size),
        smallest: smallest.of_wire(&subject),
        subject,
    };
    let wires: Vec<WireSize> = subjects.map(sized).collect();
    let kilograms = |size: fn(&WireSize) -> Option<Size>| {
        let each = wires.iter().filter_map(|wire| Some(wire.copper_m * kilograms_per_meter(size(wire)?)));
        each.sum::<f64>()
    };
    let anew_kg = kilograms(|wire| wire.anew);
    JointReport {
        planned_kg: kilograms(|wire| wire.planned),
        lower_bound_kg: kilograms(|wire| wire.smallest),
        working: copper_working(&wires, anew_kg),
        anew_kg,
        wires,
    }
}

/// The plan with its sizes left open, except those of starter cables and of single conductors.
fn without_sizes(plan: &Plan) -> Plan {
    let mut open = plan.clone();
    open.feeders.iter_mut().filter(|feeder| !feeder.cranking).for_each(|feeder| feeder.size = None);
    open.circuits.iter_mut().for_each(|circuit| circuit.size = None);
    open
}

fn kilograms_per_meter(size: Size) -> f64 {
    size.area().get::<square_meter>() * COPPER_KG_PER_M3
}

fn copper_working(wires: &[WireSize], kg: f64) -> Working {
    let term = |wire: &WireSize| {
        let per_meter = figure(kilograms_per_meter(wire.anew?));
        Some(format!("{} m x {per_meter} kg/m ({})", figure(wire.copper_m), wire.subject.id))
    };
    Working {
        what: Quantity::Copper,
        formula: "sum of length x area x 8960 kg/m3",
        numbers: wires.iter().filter_map(term).collect::<Vec<_>>().join(" + ").into(),
        result: format!("{} kg", figure(kg)).into(),
        source: &LEAST_COPPER,
    }
}

/// The figures of a circuit or feeder.
fn figures<'r>(report: &'r Report, wire: &Subject) -> Option<&'r ConductorReport> {
    match wire.kind {
        SubjectKind::Circuit => {
            report.circuits.get(&wire.id.parse::<CircuitId>().ok()?).map(|own| &own.conductor)
        }
        SubjectKind::Feeder => {
            report.feeders.get(&wire.id.parse::<FeederId>().ok()?).map(|own| &own.conductor)
        }
        _ => None,
    }
}

/// Whether the program chose the size of a circuit or feeder.
fn is_chosen(report: &Report, wire: &Subject) -> bool {
    figures(report, wire).is_some_and(|own| own.size_by == Some(By::Chosen))
}
