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

use uom::si::area::square_meter;
use uom::si::length::meter;

use super::needed::Needed;
use super::report::Report;
use crate::job::conductor::Conductor;
use crate::job::finding::Finding;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::joint::{BrokenLimit, RaisableWire, RaisedSize, raise};
use crate::trade::say::say;

pub(super) use broken::{Broken, all as broken_limits};

/// Circuits and feeders that may be checked in all rounds together.
const WORK: usize = 8_000;
/// The largest number of rounds, however small the plan is.
const MOST_ROUNDS: usize = 60;

/// The same with everything raised that these limits need; `None` if nothing is left to raise.
fn raised(needed: &Needed, open: &[Broken], wires: &Wires<'_>) -> Option<Needed> {
    let mut next = needed.clone();
    for (subject, rating) in open.iter().flat_map(|broken| &broken.ratings) {
        let held = next.ratings.entry(subject.clone()).or_insert(*rating);
        *held = held.max(*rating);
    }
    let mut named: Vec<&Subject> = open.iter().flat_map(|b| b.adds.iter().map(|(wire, _)| wire)).collect();
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
    (next != *needed).then_some(next)
}

/// A new beginning without these limits, which no sizes keep.
fn without(needed: &Needed, open: Vec<Broken>) -> Needed {
    let unmet = open.into_iter().map(|broken| ((broken.subject, broken.code), broken.value));
    Needed { unmet: needed.unmet.clone().into_iter().chain(unmet).collect(), ..Needed::default() }
}

/// Chooses the sizes and ratings that a plan leaves open. `check` checks the plan with what the network needed
/// so far. Returned are what it needs in the end, and the check with that.
pub(super) fn settle(
    plan: &Plan,
    conductors: &Conductors,
    from: &Needed,
    check: impl Fn(&Needed) -> (Report, Vec<Broken>),
) -> (Needed, Report) {
    let mut needed = from.clone();
    let mut rounds = (WORK / (plan.circuits.len() + plan.feeders.len()).max(1)).clamp(1, MOST_ROUNDS);
    loop {
        let (mut report, broken) = check(&needed);
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
        needed = raised(&needed, &open, &wires).unwrap_or_else(|| without(&needed, open));
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
        let now = self.report.of_wire(wire)?.size?;
        let thicker = Size::stocked(self.plan.job.rules.system()).filter(|size| *size > now);
        Some(std::iter::once(now).chain(thicker).collect())
    }

    fn raisable(&self, wire: &Subject, sizes: &[Size]) -> RaisableWire {
        let copper_m = copper_m(self.conductors, wire);
        let now = sizes.first().map_or(0.0, |size| size.area().get::<square_meter>());
        let raised = |size: &Size| {
            let area = size.area().get::<square_meter>();
            RaisedSize { share: now / area, cost: copper_m * area }
        };
        RaisableWire { sizes: sizes.iter().map(raised).collect() }
    }
}

/// The length of all its conductors that have no size of their own.
pub(super) fn copper_m(conductors: &Conductors, wire: &Subject) -> f64 {
    let own: Vec<&Conductor> = match wire.kind {
        SubjectKind::Circuit => {
            wire.id.parse().map(|id| conductors.of_circuit(&id).iter().collect()).unwrap_or_default()
        }
        _ => wire.id.parse().ok().and_then(|id| conductors.of_feeder(&id)).into_iter().collect(),
    };
    let of_its_size = own.into_iter().filter(|one| one.size.is_none());
    of_its_size.filter_map(|one| Some(one.length?.get::<meter>())).sum()
}
