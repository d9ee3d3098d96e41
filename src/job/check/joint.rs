//! Feeders and branches of each battery sized together.
//!
//! Each device keeps its limit from the battery's post to its own terminals and back, by the handbook
//! formula. A branch carries all of its loads; a feeder carries the most that the circuits behind it take
//! in any one mode, and all of them where the plan has no mode. Every size that may be taken carries the
//! whole design current and what its fuse lets through, its own or the one before it.
//!
//! A return feeder that serves the same circuits as a positive one is chosen with it. Any other return
//! keeps its size, and what it loses is taken off the limits first. What hangs on a point with two ways
//! in, or on a wire of unknown length, is left out and named.

use std::collections::BTreeSet;

use serde::Serialize;
use uom::si::area::square_meter;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::circuit::{self, Branch};
use super::desk::{Desk, insulation, laying};
use super::report::Report;
use crate::job::plan::{Circuit, Feeder, Plan, Polarity};
use crate::job::point::Kind;
use crate::job::subject::{Kind as Thing, Subject};
use crate::job::value::{CircuitId, PointId};
use crate::trade::ampacity::{self, Conditions};
use crate::trade::conductor::Size;
use crate::trade::drop::{self, PathLength};
use crate::trade::joint::{self, Choice, NoSizing, Sizing, Stretch};
use crate::trade::minimum;
use crate::trade::source::LEAST_COPPER;
use crate::trade::working::{Working, figure};

/// Copper, in kg/m3.
const COPPER_KG_PER_M3: f64 = 8960.0;

/// What sizing together comes to, battery by battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointReport {
    /// Each battery with its feeders and branches.
    pub trees: Vec<TreeReport>,
    /// What could not be part of it, and why.
    pub left_out: Vec<LeftOut>,
}

/// Something that sizing together leaves as it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// What.
    #[serde(flatten)]
    pub subject: Subject,
    /// Why.
    pub why: String,
}

/// All that hangs on one battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeReport {
    /// The battery.
    pub source: PointId,
    /// With the sizes that the plan gives kept, and the rest chosen.
    pub planned: Option<Outcome>,
    /// With every size chosen anew.
    pub anew: Option<Outcome>,
}

/// Sizes that cost least together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// Copper of all wires of the tree.
    pub copper_kg: f64,
    /// No sizes at all that keep the limits take less than this.
    pub lower_bound_kg: f64,
    /// Copper with each wire sized by itself, its share of the limit by its length; none where that way
    /// finds no sizes.
    pub alone_kg: Option<f64>,
    /// What sizing together saves.
    pub saved_kg: Option<f64>,
    /// Each wire.
    pub wires: Vec<WireSize>,
    /// Circuits whose limit no size keeps; they get the least that can be lost.
    pub unmet: Vec<Unmet>,
    /// How it came about.
    pub working: Working,
}

/// One wire with its sizes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WireSize {
    /// The feeder or circuit.
    #[serde(flatten)]
    pub subject: Subject,
    /// The size chosen together.
    pub size: Size,
    /// Whether it was kept as the plan gives it.
    pub given: bool,
    /// The size it has when each is sized by itself.
    pub alone: Option<Size>,
    /// Metres of conductor.
    pub copper_m: f64,
    /// What it carries.
    pub current_a: f64,
    /// Lost from the battery to its far end and back.
    pub lost_v: f64,
    /// What may be lost there.
    pub limit_v: Option<f64>,
    /// How what is lost came about.
    pub working: Working,
}

/// A limit that no size keeps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Unmet {
    /// The circuit.
    pub circuit: CircuitId,
    /// What may be lost.
    pub limit_v: f64,
    /// What is lost at the least.
    pub least_v: f64,
}

/// Sizes every battery's tree together.
fn check(desk: &Desk<'_>, report: &Report) -> JointReport {
    let mut surveyor = Surveyor { desk, report, left_out: Vec::new() };
    let batteries = desk.plan.points.iter().filter(|point| point.body.kind() == Kind::Battery);
    let trees: Vec<TreeReport> = batteries.filter_map(|battery| surveyor.tree(&battery.id)).collect();
    surveyor.say_passed_over(&trees);
    JointReport { trees, left_out: surveyor.left_out }
}

/// Sizes the wires of a checked plan together. It takes far longer than the check itself.
pub fn together(plan: &Plan, report: &Report) -> JointReport {
    let conductors = report.conductors(plan);
    check(&Desk::new(plan, &conductors), report)
}

/// A wire of the tree before it has a size.
struct Leg<'a> {
    subject: Subject,
    above: Option<usize>,
    /// Metres over which it loses.
    drop_m: f64,
    /// Metres of conductor that it takes.
    copper_m: f64,
    current: ElectricCurrent,
    sizes: Vec<(Size, ElectricCurrent)>,
    given: Option<Size>,
    /// Whether it keeps its size even where all are chosen anew.
    is_kept: bool,
    /// Volts that may be lost up to its far end, and the circuit that asks.
    limit: Option<(f64, &'a CircuitId)>,
}

struct Surveyor<'d, 'a> {
    desk: &'d Desk<'a>,
    report: &'d Report,
    left_out: Vec<LeftOut>,
}

impl<'d, 'a> Surveyor<'d, 'a> {
    fn tree(&mut self, battery: &'a PointId) -> Option<TreeReport> {
        let mut legs = Vec::new();
        self.below(battery, None, &mut legs);
        prune(&mut legs);
        if legs.is_empty() {
            return None;
        }
        let planned = self.outcome(&legs, true);
        let anew = self.outcome(&legs, false);
        Some(TreeReport { source: battery.clone(), planned, anew })
    }

    /// Everything that hangs on a point: its circuits, then its feeders with what is behind them.
    fn below(&mut self, point: &'a PointId, above: Option<usize>, legs: &mut Vec<Leg<'a>>) {
        let plan = self.desk.plan;
        for circuit in plan.circuits.iter().filter(|circuit| circuit.from == *point) {
            if let Some(leg) = self.branch(circuit, above) {
                legs.push(leg);
            }
        }
        for feeder in plan.feeders.iter().filter(|feeder| is_way_out(feeder, point)) {
            if self.ways_into(&feeder.to) > 1 {
                let why = format!("{} can be fed more than one way", feeder.to);
                self.leave_out(Subject::new(Thing::Feeder, &feeder.id), why);
                continue;
            }
            let Some(leg) = self.feeder(feeder, above) else { continue };
            legs.push(leg);
            let mut here = legs.len() - 1;
            if let Some(back) = self.return_of(feeder).and_then(|back| self.feeder(back, Some(here))) {
                legs.push(back);
                here = legs.len() - 1;
            }
            self.below(&feeder.to, Some(here), legs);
        }
    }

    /// Feeders into a point that bring current from batteries.
    fn ways_into(&self, point: &PointId) -> usize {
        let charges = |feeder: &Feeder| self.desk.kind(&feeder.from) == Some(Kind::Charger);
        let into = |feeder: &&Feeder| feeder.polarity == Polarity::Positive && feeder.to == *point;
        self.desk.plan.feeders.iter().filter(into).filter(|feeder| !charges(feeder)).count()
    }

    fn feeder(&mut self, feeder: &'a Feeder, above: Option<usize>) -> Option<Leg<'a>> {
        let figures = self.report.feeders.get(&feeder.id)?;
        let subject = Subject::new(Thing::Feeder, &feeder.id);
        let Some(length) = self.desk.length_of(feeder).map(|length| length.get::<meter>()) else {
            self.leave_out(subject, "its length is not known".to_owned());
            return None;
        };
        if feeder.cranking {
            return self.cranking_feeder(feeder, subject, above);
        }
        let Some(design) = figures.design_current_a else {
            self.leave_out(subject, "its current is not known".to_owned());
            return None;
        };
        let own = figures.protection.as_ref().and_then(|fuse| fuse.rating_a);
        let carries = self.with_fuse(design, own.or(figures.let_through_a));
        Some(Leg {
            subject,
            above,
            drop_m: length,
            copper_m: length,
            current: ElectricCurrent::new::<ampere>(self.current_in_use(&figures.circuits, None)),
            sizes: self.feeder_sizes(feeder).into_iter().filter(|(_, may)| *may >= carries).collect(),
            given: feeder.size,
            is_kept: false,
            limit: None,
        })
    }

    /// A starter's cable keeps its size whatever else hangs on it.
    fn cranking_feeder(
        &mut self,
        feeder: &'a Feeder,
        subject: Subject,
        above: Option<usize>,
    ) -> Option<Leg<'a>> {
        let figures = self.report.feeders.get(&feeder.id)?;
        let (Some(size), Some(length)) = (feeder.size, self.desk.length_of(feeder)) else {
            self.leave_out(subject, "it feeds a starter, and its size or length is not given".to_owned());
            return None;
        };
        let current = ElectricCurrent::new::<ampere>(self.current_in_use(&figures.circuits, None));
        Some(Leg {
            subject,
            above,
            drop_m: length.get::<meter>(),
            copper_m: length.get::<meter>(),
            current,
            sizes: vec![(size, current)],
            given: Some(size),
            is_kept: true,
            limit: None,
        })
    }

    fn branch(&mut self, circuit: &'a Circuit, above: Option<usize>) -> Option<Leg<'a>> {
        let subject = Subject::new(Thing::Circuit, &circuit.id);
        let Some(branch) = circuit::branch(self.desk, circuit) else {
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
        let fuse = self.report.circuits.get(&circuit.id).and_then(|own| own.protection.as_ref()?.rating_a);
        let carries = self.with_fuse(branch.current.get::<ampere>(), fuse);
        let (drop_m, share) = strictest(&branch);
        let limit = share * self.desk.nominal().get::<volt>() - kept;
        Some(Leg {
            subject,
            above,
            drop_m,
            copper_m: branch.copper.get::<meter>(),
            current: branch.current,
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
        let rules = self.desk.plan.job.rules;
        let conductor = self.desk.conductors.of_feeder(&feeder.id);
        let conditions = Conditions {
            rules,
            insulation: insulation(feeder.insulation_c),
            ambient: self.desk.ambient(),
            engine_space: conductor.is_some_and(|conductor| conductor.engine_space),
            nominal_voltage: Some(self.desk.nominal()),
            bundle: self.desk.bundle_of_feeder(feeder),
        };
        let one_way = self.desk.length_of(feeder);
        let may = |size: &Size| minimum::judge(*size, rules, laying(feeder.sheathed), one_way).is_none();
        let carries = |size| Some((size, ampacity::allowable(size, &conditions).ok()?.derated));
        Size::stocked(rules.system()).filter(may).filter_map(carries).collect()
    }

    /// The return that serves exactly the circuits that a positive feeder serves.
    fn return_of(&self, feeder: &Feeder) -> Option<&'a Feeder> {
        let served = self.served(feeder);
        let plan = self.desk.plan;
        let returns = plan.feeders.iter().filter(|other| other.polarity == Polarity::Negative);
        // Of several positive feeders in a row the first takes the return, so that none is counted twice.
        let first = plan.feeders.iter().find(|other| is_out(other) && self.served(other) == served)?;
        let mut alike = returns.filter(|other| !other.cranking && self.served(other) == served);
        (first.id == feeder.id && !served.is_empty()).then(|| alike.next()).flatten()
    }

    fn served(&self, feeder: &Feeder) -> BTreeSet<&'d CircuitId> {
        self.report.feeders.get(&feeder.id).map(|own| own.circuits.iter().collect()).unwrap_or_default()
    }

    /// What the returns lose that keep their sizes; none where a length or size is missing.
    fn lost_in_kept_returns(&self, circuit: &Circuit) -> Option<f64> {
        let back = self.desk.ways_of(circuit).last()?;
        let source = self.desk.ways_to(&circuit.from)?.source?;
        let chosen: BTreeSet<_> = self
            .desk
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
        let per_metre = self.per_metre(figures.size?);
        Some(per_metre.get::<ohm>() * current * figures.one_way_m?)
    }

    /// The most that circuits take in one mode, of those that this battery feeds.
    fn current_in_use(&self, circuits: &[CircuitId], source: Option<&PointId>) -> f64 {
        let plan = self.desk.plan;
        let is_fed = |id: &CircuitId| {
            source.is_none_or(|source| {
                let fed_by = plan.circuit(id).and_then(|circuit| self.desk.ways_to(&circuit.from)?.source);
                fed_by == Some(source)
            })
        };
        let takes =
            |id: &CircuitId| self.report.circuits.get(id).and_then(|own| own.design_current_a).unwrap_or(0.0);
        let fed = || circuits.iter().filter(|id| is_fed(id));
        if plan.modes.is_empty() {
            return fed().map(takes).sum();
        }
        let in_mode = |mode: &crate::job::plan::Mode| -> f64 {
            let is_on = |id: &&CircuitId| mode.on.iter().any(|used| used.circuit == **id);
            fed().filter(is_on).map(takes).sum()
        };
        plan.modes.iter().map(in_mode).fold(0.0, f64::max)
    }

    fn per_metre(&self, size: Size) -> ElectricalResistance {
        let (one_ampere, metre) = (ElectricCurrent::new::<ampere>(1.0), Length::new::<meter>(1.0));
        let length = PathLength::RoundTrip(metre);
        let drop = drop::handbook(self.desk.plan.job.rules, size, one_ampere, length, self.desk.nominal());
        ElectricalResistance::new::<ohm>(drop.volts.get::<volt>())
    }

    fn outcome(&self, legs: &[Leg<'_>], keep_given: bool) -> Option<Outcome> {
        let (sizes, mut stretches): (Vec<Vec<Size>>, Vec<Stretch>) =
            legs.iter().map(|leg| self.stretch(leg, keep_given)).unzip();
        let mut unmet = Vec::new();
        let sizing = match joint::size(&stretches) {
            Err(NoSizing::Limits { unmet: limits }) => {
                for limit in limits {
                    // A hair more than the least, which is itself a sum.
                    let least = limit.least * (1.0 + 1e-9);
                    stretches.get_mut(limit.stretch)?.limit = Some(least);
                    unmet.extend(legs.get(limit.stretch).and_then(|leg| leg.limit).map(|(_, circuit)| {
                        Unmet {
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

    fn stretch(&self, leg: &Leg<'_>, keep_given: bool) -> (Vec<Size>, Stretch) {
        let given = leg.given.filter(|_| keep_given || leg.is_kept);
        let mut sizes = leg.sizes.clone();
        if let Some(given) = given.filter(|given| sizes.iter().all(|(size, _)| size != given)) {
            sizes.push((given, leg.current));
        }
        // What a metre of drop takes in copper, because pairs to several devices take more of it.
        let copper = if leg.drop_m > 0.0 { leg.copper_m / leg.drop_m } else { 1.0 };
        let choice = |(size, may): &(Size, ElectricCurrent)| Choice {
            per_metre: self.per_metre(*size),
            ampacity: *may,
            cost_per_metre: copper * kilograms_per_metre(*size),
        };
        let stretch = Stretch {
            above: leg.above,
            length: Length::new::<meter>(leg.drop_m),
            current: leg.current,
            choices: sizes.iter().map(choice).collect(),
            fixed: given.and_then(|given| sizes.iter().position(|(size, _)| *size == given)),
            limit: leg.limit.map(|(volts, _)| ElectricPotential::new::<volt>(volts)),
        };
        (sizes.into_iter().map(|(size, _)| size).collect(), stretch)
    }

    fn leave_out(&mut self, subject: Subject, why: String) {
        self.left_out.push(LeftOut { subject, why });
    }

    /// Circuits that no tree reached and nothing was said of.
    fn say_passed_over(&mut self, trees: &[TreeReport]) {
        let sized = |subject: &Subject| {
            let outcomes = trees.iter().filter_map(|tree| tree.planned.as_ref().or(tree.anew.as_ref()));
            outcomes.flat_map(|outcome| &outcome.wires).any(|wire| wire.subject == *subject)
        };
        let subjects = self.desk.plan.circuits.iter().map(|one| Subject::new(Thing::Circuit, &one.id));
        let passed_over: Vec<Subject> = subjects
            .filter(|subject| !sized(subject) && self.left_out.iter().all(|left| left.subject != *subject))
            .collect();
        for subject in passed_over {
            self.leave_out(subject, "what feeds it is left out, or none of its sizes will do".to_owned());
        }
    }
}

/// A positive feeder to something else than a starter.
fn is_out(feeder: &Feeder) -> bool {
    feeder.polarity == Polarity::Positive && !feeder.cranking
}

/// Cranking feeders lead to battery switches as well, from which circuits may be fed.
fn is_way_out(feeder: &Feeder, point: &PointId) -> bool {
    feeder.polarity == Polarity::Positive && feeder.from == *point
}

/// The longest way with the strictest limit: what keeps that keeps each of its devices inside its own.
fn strictest(branch: &Branch) -> (f64, f64) {
    let longest = branch.ways.iter().map(|(length, _)| length.get::<meter>()).fold(0.0, f64::max);
    let limit = branch.ways.iter().map(|(_, limit)| limit.get::<ratio>()).fold(f64::INFINITY, f64::min);
    (longest, limit)
}

/// Takes away feeders that nothing hangs on, outermost first.
fn prune(legs: &mut Vec<Leg<'_>>) {
    while let Some(bare) = (0..legs.len()).rev().find(|at| {
        legs.get(*at).is_some_and(|leg| leg.limit.is_none()) && legs.iter().all(|leg| leg.above != Some(*at))
    }) {
        legs.remove(bare);
        for leg in legs.iter_mut() {
            leg.above = leg.above.map(|above| if above > bare { above - 1 } else { above });
        }
    }
}

fn kilograms_per_metre(size: Size) -> f64 {
    size.area().get::<square_meter>() * COPPER_KG_PER_M3
}

fn outcome(
    legs: &[Leg<'_>],
    sizes: &[Vec<Size>],
    stretches: &[Stretch],
    sizing: &Sizing,
    unmet: Vec<Unmet>,
) -> Outcome {
    let pick = |chosen: &[usize], at: usize| Some(*sizes.get(at)?.get(*chosen.get(at)?)?);
    let wires = legs.iter().enumerate().filter_map(|(at, leg)| {
        Some(WireSize {
            subject: leg.subject.clone(),
            size: pick(&sizing.chosen, at)?,
            given: stretches.get(at)?.fixed.is_some(),
            alone: sizing.alone.as_ref().and_then(|alone| pick(&alone.chosen, at)),
            copper_m: leg.copper_m,
            current_a: leg.current.get::<ampere>(),
            lost_v: sizing.lost.get(at)?.get::<volt>(),
            limit_v: leg.limit.map(|(volts, _)| volts),
            working: lost_working(legs, sizing, at)?,
        })
    });
    let wires: Vec<WireSize> = wires.collect();
    let alone_kg = sizing.alone.as_ref().map(|alone| alone.cost);
    Outcome {
        copper_kg: sizing.cost,
        lower_bound_kg: sizing.proof.lower_bound,
        alone_kg,
        saved_kg: alone_kg.map(|alone| alone - sizing.cost),
        working: working(&wires, sizing),
        wires,
        unmet,
    }
}

/// What each wire loses, from the battery to the far end of one of them.
fn lost_working(legs: &[Leg<'_>], sizing: &Sizing, at: usize) -> Option<Working> {
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
        what: "lost from the battery, out and back",
        formula: "sum of current x resistance by the handbook of every wire on the way",
        numbers: terms.join(" + "),
        result: format!("{} V", figure(lost(at)?)),
        source: &LEAST_COPPER,
    })
}

fn working(wires: &[WireSize], sizing: &Sizing) -> Working {
    let term = |wire: &WireSize| {
        format!(
            "{} m x {} kg/m ({})",
            figure(wire.copper_m),
            figure(kilograms_per_metre(wire.size)),
            wire.subject.id
        )
    };
    Working {
        what: "copper of the tree",
        formula: "sum of length x area x 8960 kg/m3, least of all choices that keep every limit",
        numbers: wires.iter().map(term).collect::<Vec<_>>().join(" + "),
        result: format!("{} kg", figure(sizing.cost)),
        source: &LEAST_COPPER,
    }
}
