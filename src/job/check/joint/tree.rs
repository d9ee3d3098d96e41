//! The wires of one battery's tree before they have sizes: the current of each and its possible sizes.

use std::collections::{BTreeSet, HashSet};

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricalResistance, Length};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::report::{LeftOut, TreeReport};
use crate::job::check::circuit_size::{self, BranchDemand};
use crate::job::check::context::{CheckContext, insulation, laying};
use crate::job::check::report::Report;
use crate::job::plan::{Circuit, Feeder, Mode, Polarity};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, PointId};
use crate::trade::ampacity::{self, Conditions};
use crate::trade::conductor::Size;
use crate::trade::drop::{self, PathLength};
use crate::trade::minimum;
use crate::trade::quantity::Quantity;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// A wire of the tree before it has a size.
pub(super) struct TreeLeg<'a> {
    pub(super) subject: Subject,
    pub(super) above: Option<usize>,
    /// Meters of conductor that count for the drop.
    pub(super) drop_m: f64,
    /// Meters of conductor that it needs.
    pub(super) copper_m: f64,
    pub(super) current: ElectricCurrent,
    /// How the current of a feeder was calculated.
    pub(super) current_working: Option<Working>,
    pub(super) sizes: Vec<(Size, ElectricCurrent)>,
    pub(super) given: Option<Size>,
    /// Whether it keeps its size even if all sizes are chosen again.
    pub(super) is_kept: bool,
    /// Maximum drop up to its far end, in volts, and the circuit that sets it.
    pub(super) limit: Option<(f64, &'a CircuitId)>,
}

pub(super) struct Surveyor<'d, 'a> {
    context: &'d CheckContext<'a>,
    report: &'d Report,
    pub(super) left_out: Vec<LeftOut>,
}

impl<'d, 'a> Surveyor<'d, 'a> {
    pub(super) fn new(context: &'d CheckContext<'a>, report: &'d Report) -> Self {
        Self { context, report, left_out: Vec::new() }
    }

    /// The wires of a battery's tree that lead to circuits, each after its upstream wire: a point's circuits,
    /// then its feeders, each with all that is downstream of it.
    pub(super) fn legs(&mut self, battery: &'a PointId) -> Vec<TreeLeg<'a>> {
        let mut legs = Vec::new();
        let mut reached = HashSet::from([battery]);
        self.branches(battery, None, &mut legs);
        let mut waiting = self.out_of(battery, None);
        while let Some((feeder, above)) = waiting.pop() {
            if self.ways_into(&feeder.to) > 1 {
                let why = format!("{} can be fed more than one way", feeder.to);
                self.leave_out(Subject::new(SubjectKind::Feeder, &feeder.id), why);
            } else if !reached.insert(&feeder.to) {
                let why = format!("it leads back to {}, which feeds it", feeder.to);
                self.leave_out(Subject::new(SubjectKind::Feeder, &feeder.id), why);
            } else if let Some(here) = self.pair(feeder, above, &mut legs) {
                self.branches(&feeder.to, Some(here), &mut legs);
                waiting.extend(self.out_of(&feeder.to, Some(here)));
            }
        }
        prune(&mut legs);
        legs
    }

    /// The circuits of a point.
    fn branches(&mut self, point: &PointId, above: Option<usize>, legs: &mut Vec<TreeLeg<'a>>) {
        for circuit in self.context.plan.circuits.iter().filter(|circuit| circuit.from == *point) {
            legs.extend(self.branch(circuit, above));
        }
    }

    /// The feeders out of a point, the first one last.
    fn out_of(&self, point: &PointId, above: Option<usize>) -> Vec<(&'a Feeder, Option<usize>)> {
        let feeders = self.context.plan.feeders.iter().rev();
        feeders.filter(|feeder| is_way_out(feeder, point)).map(|feeder| (feeder, above)).collect()
    }

    /// A feeder and its return. Gives the position of the last of them.
    fn pair(
        &mut self,
        feeder: &'a Feeder,
        above: Option<usize>,
        legs: &mut Vec<TreeLeg<'a>>,
    ) -> Option<usize> {
        legs.push(self.feeder(feeder, above)?);
        let here = legs.len() - 1;
        legs.extend(self.return_of(feeder).and_then(|back| self.feeder(back, Some(here))));
        Some(legs.len() - 1)
    }

    /// How many feeders bring current from batteries into a point.
    fn ways_into(&self, point: &PointId) -> usize {
        let charges = |feeder: &Feeder| self.context.kind(&feeder.from) == Some(PointKind::Charger);
        let into = |feeder: &&Feeder| feeder.polarity == Polarity::Positive && feeder.to == *point;
        self.context.plan.feeders.iter().filter(into).filter(|feeder| !charges(feeder)).count()
    }

    fn feeder(&mut self, feeder: &'a Feeder, above: Option<usize>) -> Option<TreeLeg<'a>> {
        let figures = self.report.feeders.get(&feeder.id)?;
        let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
        let Some(length) = self.context.length_of(feeder).map(|length| length.get::<meter>()) else {
            self.leave_out(subject, "its length is not known".to_owned());
            return None;
        };
        if feeder.cranking {
            return self.cranking_feeder(feeder, subject, above);
        }
        let Some(design) = figures.conductor.design_current_a else {
            self.leave_out(subject, "its current is not known".to_owned());
            return None;
        };
        let own = figures.conductor.protection.as_ref().and_then(|fuse| fuse.rating_a);
        let carries = self.with_fuse(design, own.or(figures.let_through_a));
        Some(TreeLeg {
            subject,
            above,
            drop_m: length,
            copper_m: length,
            current: ElectricCurrent::new::<ampere>(self.current_in_use(&figures.circuits, None)),
            current_working: Some(self.in_use_working(&figures.circuits)),
            sizes: self.feeder_sizes(feeder).into_iter().filter(|(_, may)| *may >= carries).collect(),
            given: feeder.size,
            is_kept: false,
            limit: None,
        })
    }

    /// A starter cable keeps its size, whatever else it feeds.
    fn cranking_feeder(
        &mut self,
        feeder: &'a Feeder,
        subject: Subject,
        above: Option<usize>,
    ) -> Option<TreeLeg<'a>> {
        let figures = self.report.feeders.get(&feeder.id)?;
        let (Some(size), Some(length)) = (feeder.size, self.context.length_of(feeder)) else {
            self.leave_out(subject, "it feeds a starter, and its size or length is not given".to_owned());
            return None;
        };
        let current = ElectricCurrent::new::<ampere>(self.current_in_use(&figures.circuits, None));
        Some(TreeLeg {
            subject,
            above,
            drop_m: length.get::<meter>(),
            copper_m: length.get::<meter>(),
            current,
            current_working: Some(self.in_use_working(&figures.circuits)),
            sizes: vec![(size, current)],
            given: Some(size),
            is_kept: true,
            limit: None,
        })
    }

    fn branch(&mut self, circuit: &'a Circuit, above: Option<usize>) -> Option<TreeLeg<'a>> {
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        let Some(branch) = circuit_size::branch(self.context, circuit) else {
            self.leave_out(subject, "a load or a length of it is not known".to_owned());
            return None;
        };
        if branch.is_mixed {
            self.leave_out(subject, "its conductors have sizes of their own".to_owned());
            return None;
        }
        let Some(kept) = self.lost_in_kept_returns(circuit) else {
            self.leave_out(subject, "its way back is not known".to_owned());
            return None;
        };
        let fuse =
            self.report.circuits.get(&circuit.id).and_then(|own| own.conductor.protection.as_ref()?.rating_a);
        let carries = self.with_fuse(branch.current.get::<ampere>(), fuse);
        let (drop_m, share) = strictest(&branch);
        let limit = share * self.context.nominal().get::<volt>() - kept;
        Some(TreeLeg {
            subject,
            above,
            drop_m,
            copper_m: branch.copper.get::<meter>(),
            current: branch.current,
            current_working: None,
            sizes: branch.sizes.into_iter().filter(|(_, may)| *may >= carries).collect(),
            given: circuit.size,
            is_kept: false,
            limit: Some((limit.max(0.0), &circuit.id)),
        })
    }

    fn with_fuse(&self, design_a: f64, fuse_a: Option<f64>) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(fuse_a.unwrap_or(0.0).max(design_a))
    }

    fn feeder_sizes(&self, feeder: &Feeder) -> Vec<(Size, ElectricCurrent)> {
        let rules = self.context.plan.job.rules;
        let conductor = self.context.conductors.of_feeder(&feeder.id);
        let conditions = Conditions {
            rules,
            insulation: insulation(feeder.insulation_c),
            ambient: self.context.ambient(),
            engine_space: conductor.is_some_and(|conductor| conductor.engine_space),
            nominal_voltage: Some(self.context.nominal()),
            bundle: self.context.bundle_of_feeder(feeder),
        };
        let one_way = self.context.length_of(feeder);
        let may = |size: &Size| minimum::judge(*size, rules, laying(feeder.jacketed), one_way).is_none();
        let carries = |size| Some((size, ampacity::allowable(size, &conditions).ok()?.derated));
        Size::stocked(rules.system()).filter(may).filter_map(carries).collect()
    }

    /// The return that serves exactly the same circuits as a positive feeder.
    fn return_of(&self, feeder: &Feeder) -> Option<&'a Feeder> {
        let served = self.served(feeder);
        let plan = self.context.plan;
        let returns = plan.feeders.iter().filter(|other| other.polarity == Polarity::Negative);
        // Of several positive feeders in series, only the first is paired with the return, so that none is
        // counted twice.
        let first = plan.feeders.iter().find(|other| is_out(other) && self.served(other) == served)?;
        let mut alike = returns.filter(|other| !other.cranking && self.served(other) == served);
        (first.id == feeder.id && !served.is_empty()).then(|| alike.next()).flatten()
    }

    fn served(&self, feeder: &Feeder) -> BTreeSet<&'d CircuitId> {
        self.report.feeders.get(&feeder.id).map(|own| own.circuits.iter().collect()).unwrap_or_default()
    }

    /// The drop in the returns that keep their sizes; `None` if a length or size is missing.
    fn lost_in_kept_returns(&self, circuit: &Circuit) -> Option<f64> {
        let back = self.context.ways_of(circuit).last()?;
        let source = self.context.ways_to(&circuit.from)?.source?;
        let chosen: BTreeSet<_> = self
            .context
            .plan
            .feeders
            .iter()
            .filter(|feeder| is_out(feeder))
            .filter_map(|feeder| self.return_of(feeder))
            .map(|feeder| &feeder.id)
            .collect();
        let kept = back.feeders.iter().filter(|feeder| !chosen.contains(&feeder.id));
        kept.map(|feeder| self.lost_in_return(feeder, source)).sum()
    }

    fn lost_in_return(&self, feeder: &Feeder, source: &PointId) -> Option<f64> {
        let figures = self.report.feeders.get(&feeder.id)?;
        let current = self.current_in_use(&figures.circuits, Some(source));
        let per_meter = per_meter(self.context, figures.conductor.size?);
        Some(per_meter.get::<ohm>() * current * figures.conductor.one_way_m?)
    }

    /// The largest current that the circuits fed from this battery take in one mode.
    fn current_in_use(&self, circuits: &[CircuitId], source: Option<&PointId>) -> f64 {
        let plan = self.context.plan;
        let is_fed = |id: &CircuitId| {
            source.is_none_or(|source| {
                let fed_by = plan.circuit(id).and_then(|circuit| self.context.ways_to(&circuit.from)?.source);
                fed_by == Some(source)
            })
        };
        let takes = |id: &CircuitId| {
            self.report.circuits.get(id).and_then(|own| own.conductor.design_current_a).unwrap_or(0.0)
        };
        let fed = || circuits.iter().filter(|id| is_fed(id));
        if plan.modes.is_empty() {
            return fed().map(takes).sum();
        }
        let in_mode = |mode: &Mode| -> f64 {
            let is_on = |id: &&CircuitId| mode.on.iter().any(|used| used.circuit == **id);
            fed().filter(is_on).map(takes).sum()
        };
        plan.modes.iter().map(in_mode).fold(0.0, f64::max)
    }

    /// How that current was calculated.
    fn in_use_working(&self, circuits: &[CircuitId]) -> Working {
        let most = self.current_in_use(circuits, None);
        let takes =
            |id: &CircuitId| self.report.circuits.get(id).and_then(|own| own.conductor.design_current_a);
        let of = |name: &str, counts: &dyn Fn(&CircuitId) -> bool| {
            let on = circuits.iter().filter(|id| counts(id));
            let terms: Vec<_> =
                on.filter_map(|id| Some(format!("{} A ({id})", figure(takes(id)?)))).collect();
            format!("{name}: {}", if terms.is_empty() { "none".to_owned() } else { terms.join(" + ") })
        };
        let in_mode = |mode: &&Mode| {
            let on = circuits.iter().filter(|id| mode.on.iter().any(|used| used.circuit == **id));
            on.filter_map(takes).sum::<f64>() >= most
        };
        let numbers = match self.context.plan.modes.iter().find(in_mode) {
            Some(mode) => of(mode.name.as_str(), &|id| mode.on.iter().any(|used| used.circuit == *id)),
            None => of("All on", &|_| true),
        };
        Working {
            what: Quantity::CurrentInUse,
            formula: "the most that the circuits behind it take in any one mode; all of them where there is no mode",
            numbers: numbers.into(),
            result: format!("{} A", figure(most)).into(),
            source: &CIRCUIT_LAWS,
        }
    }

    fn leave_out(&mut self, subject: Subject, why: String) {
        self.left_out.push(LeftOut { subject, why });
    }

    /// Reports circuits that are in no tree and have no reason yet.
    pub(super) fn say_passed_over(&mut self, trees: &[TreeReport]) {
        let sized = |subject: &Subject| {
            let outcomes = trees.iter().filter_map(|tree| tree.planned.as_ref().or(tree.anew.as_ref()));
            outcomes.flat_map(|outcome| &outcome.wires).any(|wire| wire.subject == *subject)
        };
        let subjects =
            self.context.plan.circuits.iter().map(|one| Subject::new(SubjectKind::Circuit, &one.id));
        let passed_over: Vec<Subject> = subjects
            .filter(|subject| !sized(subject) && self.left_out.iter().all(|left| left.subject != *subject))
            .collect();
        for subject in passed_over {
            self.leave_out(subject, "its feed is not in the calculation, or no size fits".to_owned());
        }
    }
}

/// The drop of a size per meter and ampere, by the handbook formula.
pub(super) fn per_meter(context: &CheckContext<'_>, size: Size) -> ElectricalResistance {
    let (one_ampere, one_meter) = (ElectricCurrent::new::<ampere>(1.0), Length::new::<meter>(1.0));
    let length = PathLength::RoundTrip(one_meter);
    let drop = drop::handbook(context.plan.job.rules, size, one_ampere, length, context.nominal());
    ElectricalResistance::new::<ohm>(drop.volts.get::<volt>())
}

/// Whether it is a positive feeder that does not only feed a starter.
fn is_out(feeder: &Feeder) -> bool {
    feeder.polarity == Polarity::Positive && !feeder.cranking
}

/// Cranking feeders also lead to battery switches, which may feed circuits.
fn is_way_out(feeder: &Feeder, point: &PointId) -> bool {
    feeder.polarity == Polarity::Positive && feeder.from == *point
}

/// The longest path with the strictest limit: a size that keeps this keeps the limit of each device.
fn strictest(branch: &BranchDemand) -> (f64, f64) {
    let longest = branch.ways.iter().map(|(length, _)| length.get::<meter>()).fold(0.0, f64::max);
    let limit = branch.ways.iter().map(|(_, limit)| limit.get::<ratio>()).fold(f64::INFINITY, f64::min);
    (longest, limit)
}

/// Removes feeders without anything downstream, outermost first.
fn prune(legs: &mut Vec<TreeLeg<'_>>) {
    while let Some(bare) = (0..legs.len()).rev().find(|at| {
        legs.get(*at).is_some_and(|leg| leg.limit.is_none()) && legs.iter().all(|leg| leg.above != Some(*at))
    }) {
        legs.remove(bare);
        for leg in legs.iter_mut() {
            leg.above = leg.above.map(|above| if above > bare { above - 1 } else { above });
        }
    }
}
