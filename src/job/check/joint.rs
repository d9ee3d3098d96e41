//! Sizes the feeders and branches of each battery together.
//!
//! Each device keeps its drop limit from the battery's posts to its own terminals and back. The drop
//! follows the handbook formula. A branch carries all of its loads. A feeder carries the largest current
//! that the circuits downstream of it take in any one mode. If the plan has no mode, it carries the current
//! of all circuits. Every allowed size carries the whole design current, and its own or its upstream fuse
//! protects it.
//!
//! A return feeder that serves the same circuits as a positive feeder is chosen with it. Any other return
//! keeps its size, and its drop is first subtracted from the limits. A point with two incoming feeders, or
//! a wire of unknown length, is left out and named, with all that is downstream of it.

pub(super) mod report;
mod tree;

use uom::si::area::square_meter;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length};
use uom::si::length::meter;

use super::context::{CheckContext, Index};
use super::report::Report;
use crate::job::plan::Plan;
use crate::job::point::PointKind;
use crate::trade::conductor::Size;
use crate::trade::joint::{self, NoSizing, SizeChoice, TreeSizing, TreeStretch};
use crate::trade::quantity::Quantity;
use crate::trade::source::LEAST_COPPER;
use crate::trade::working::{self, Numbers, Working, figure};
use report::{JointReport, TreeOutcome, TreeReport, UnmetLimit, WireSize};
use tree::{Surveyor, TreeLeg};

/// Copper, in kg/m3.
const COPPER_KG_PER_M3: f64 = 8960.0;

/// Sizes the wires of every battery together.
fn check(context: &CheckContext<'_>, report: &Report) -> JointReport {
    let mut surveyor = Surveyor::new(context, report);
    let batteries = context.plan.points.iter().filter(|point| point.body.kind() == PointKind::Battery);
    let trees = batteries.filter_map(|battery| {
        let legs = surveyor.legs(&battery.id);
        if legs.is_empty() {
            return None;
        }
        let (planned, anew) = (sized(context, &legs, true), sized(context, &legs, false));
        Some(TreeReport { source: battery.id.clone(), planned, anew })
    });
    let trees: Vec<TreeReport> = trees.collect();
    surveyor.say_passed_over(&trees);
    JointReport { trees, left_out: surveyor.left_out }
}

/// Sizes the wires of a checked plan together. This takes far longer than the check itself.
pub fn together(plan: &Plan, report: &Report) -> JointReport {
    let conductors = report.conductors(plan);
    check(&CheckContext::new(plan, &conductors, Index::of(plan)), report)
}

/// The sizes with the least total copper. Sizes that the plan gives are kept, or all sizes are chosen
/// again.
fn sized(context: &CheckContext<'_>, legs: &[TreeLeg<'_>], keep_given: bool) -> Option<TreeOutcome> {
    let (sizes, mut stretches): (Vec<Vec<Size>>, Vec<TreeStretch>) =
        legs.iter().map(|leg| stretch(context, leg, keep_given)).unzip();
    let mut unmet = Vec::new();
    let sizing = match joint::size(&stretches) {
        Err(NoSizing::Limits { unmet: limits }) => {
            for limit in limits {
                // Slightly above the minimum, because the minimum is itself a rounded sum.
                let least = limit.least * (1.0 + 1e-9);
                stretches.get_mut(limit.stretch)?.limit = Some(least);
                unmet.extend(legs.get(limit.stretch).and_then(|leg| leg.limit).map(|(_, circuit)| {
                    UnmetLimit {
                        circuit: circuit.clone(),
                        limit_v: limit.limit.get::<volt>(),
                        least_v: limit.least.get::<volt>(),
                    }
                }));
            }
            joint::size(&stretches).ok()?
        }
        answer => answer.ok()?,
    };
    Some(outcome(legs, &sizes, &stretches, &sizing, unmet))
}

fn stretch(context: &CheckContext<'_>, leg: &TreeLeg<'_>, keep_given: bool) -> (Vec<Size>, TreeStretch) {
    let given = leg.given.filter(|_| keep_given || leg.is_kept);
    let mut sizes = leg.sizes.clone();
    if let Some(given) = given.filter(|given| sizes.iter().all(|(size, _)| size != given)) {
        sizes.push((given, leg.current));
    }
    // Copper per meter of drop length: pairs to several devices use more of it.
    let copper = if leg.drop_m > 0.0 { leg.copper_m / leg.drop_m } else { 1.0 };
    let choice = |(size, may): &(Size, ElectricCurrent)| SizeChoice {
        per_meter: tree::per_meter(context, *size),
        ampacity: *may,
        cost_per_meter: copper * kilograms_per_meter(*size),
    };
    let stretch = TreeStretch {
        above: leg.above,
        length: Length::new::<meter>(leg.drop_m),
        current: leg.current,
        choices: sizes.iter().map(choice).collect(),
        fixed: given.and_then(|given| sizes.iter().position(|(size, _)| *size == given)),
        limit: leg.limit.map(|(volts, _)| ElectricPotential::new::<volt>(volts)),
    };
    (sizes.into_iter().map(|(size, _)| size).collect(), stretch)
}

fn kilograms_per_meter(size: Size) -> f64 {
    size.area().get::<square_meter>() * COPPER_KG_PER_M3
}

fn outcome(
    legs: &[TreeLeg<'_>],
    sizes: &[Vec<Size>],
    stretches: &[TreeStretch],
    sizing: &TreeSizing,
    unmet: Vec<UnmetLimit>,
) -> TreeOutcome {
    let pick = |chosen: &[usize], at: usize| Some(*sizes.get(at)?.get(*chosen.get(at)?)?);
    let wires = legs.iter().enumerate().filter_map(|(at, leg)| {
        Some(WireSize {
            subject: leg.subject.clone(),
            size: pick(&sizing.chosen, at)?,
            given: stretches.get(at)?.fixed.is_some(),
            alone: sizing.alone.as_ref().and_then(|alone| pick(&alone.chosen, at)),
            alone_working: sizing
                .alone
                .as_ref()
                .and_then(|alone| Some(alone_working(leg, pick(&alone.chosen, at)?, *alone.shares.get(at)?))),
            copper_m: leg.copper_m,
            current_a: leg.current.get::<ampere>(),
            current_working: leg.current_working.clone(),
            lost_v: sizing.lost.get(at)?.get::<volt>(),
            limit_v: leg.limit.map(|(volts, _)| volts),
            working: lost_working(legs, sizing, at)?,
        })
    });
    let wires: Vec<WireSize> = wires.collect();
    let alone_kg = sizing.alone.as_ref().map(|alone| alone.cost);
    TreeOutcome {
        copper_kg: sizing.cost,
        lower_bound_kg: sizing.proof.lower_bound,
        alone_kg,
        saved_kg: alone_kg.map(|alone| alone - sizing.cost),
        working: working(&wires, sizing),
        wires,
        unmet,
    }
}

/// How the size of a wire sized by itself was chosen.
fn alone_working(leg: &TreeLeg<'_>, size: Size, share: Option<ElectricPotential>) -> Working {
    let carried = Numbers::filled(
        "{} A over {}",
        [figure(leg.current.get::<ampere>()).into(), working::length(leg.drop_m)],
    );
    Working {
        what: Quantity::SizeAlone,
        formula: "the thinnest that carries its current and fuse and loses no more than its share: what is left of \
            the limit after sizes that are fixed, by length",
        numbers: match share {
            Some(share) => {
                Numbers::filled("{}, a share of {} V", [carried, figure(share.get::<volt>()).into()])
            }
            None => Numbers::filled("{}; its size is fixed, or no limit asks after it", [carried]),
        },
        result: size.text().to_owned().into(),
        source: &LEAST_COPPER,
    }
}

/// How much each wire loses, from the battery to the far end of one of them.
fn lost_working(legs: &[TreeLeg<'_>], sizing: &TreeSizing, at: usize) -> Option<Working> {
    let lost = |at: usize| sizing.lost.get(at).map(|volts| volts.get::<volt>());
    let way = std::iter::successors(Some(at), |at| legs.get(*at)?.above);
    let terms = way.map(|at| {
        let leg = legs.get(at)?;
        let before = leg.above.map_or(Some(0.0), lost)?;
        Some(format!(
            "{} V ({}, {} A)",
            figure(lost(at)? - before),
            leg.subject.id,
            figure(leg.current.get::<ampere>())
        ))
    });
    let mut terms = terms.collect::<Option<Vec<_>>>()?;
    terms.reverse();
    Some(Working {
        what: Quantity::LostFromBattery,
        formula: "sum of current x resistance by the handbook of every wire on the way",
        numbers: terms.join(" + ").into(),
        result: format!("{} V", figure(lost(at)?)).into(),
        source: &LEAST_COPPER,
    })
}

fn working(wires: &[WireSize], sizing: &TreeSizing) -> Working {
    let term = |wire: &WireSize| {
        format!(
            "{} m x {} kg/m ({})",
            figure(wire.copper_m),
            figure(kilograms_per_meter(wire.size)),
            wire.subject.id
        )
    };
    Working {
        what: Quantity::Copper,
        formula: "sum of length x area x 8960 kg/m3, least of all choices that keep every limit",
        numbers: wires.iter().map(term).collect::<Vec<_>>().join(" + ").into(),
        result: format!("{} kg", figure(sizing.cost)).into(),
        source: &LEAST_COPPER,
    }
}
