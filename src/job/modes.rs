//! The boat in each of its modes, solved as a network.
//!
//! Each mode is solved with all of its circuits on at once, on the batteries alone. Chargers are off, which
//! is the harder case for every load. Besides the modes of the plan there is *all on*. There is also the
//! start of each engine, with the circuits that its own mode keeps on all the time.

mod report;

use std::collections::BTreeMap;

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;

use super::extent::{Extent, Extents};
use super::finding::Finding;
use super::network::{CircuitModel, Solved};
use super::passing::{Passing, ThroughPoint};
use super::plan::{Circuit, Mode, Plan};
use super::point::{Battery, Body, Charger, Point};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, DeviceId, PointId};
use super::wiring::Conductors;
use crate::trade::dc_network::Trouble;
use crate::trade::energy::cranking;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::{CIRCUIT_LAWS, CRANKING_VOLTAGE, STARTER_CABLES};
use crate::trade::units::{amps, count, volts as volts_of};
use crate::trade::working::{Working, figure, keeps_to};

pub use report::{ModesReport, PointOverModes, SolvedState, StateOf, VoltsOverModes};

/// Maximum drop in starter cables, out and back, as a share of nominal voltage; common practice, no source.
const STARTER_CABLE_SHARE: f64 = 0.10;

/// The work budget of all modes and engine starts: distribution points, conductors and devices, over all states.
const MOST_THINGS: usize = 2_000_000;

/// A state with the results of the network.
struct Answered {
    state: SolvedState,
    all: Passing,
    /// The currents of what is on all the time; `None`: the same as with everything on.
    continuous: Option<Passing>,
}

/// Solves every mode and compares it with the ratings.
pub(super) fn check(
    plan: &Plan,
    conductors: &Conductors,
    wired: &CircuitModel<'_>,
    extents: &Extents<'_>,
    all_on: &Result<Solved<'_>, Trouble>,
) -> (ModesReport, Vec<Finding>) {
    let mut findings = Vec::new();
    let bench = Bench { plan, conductors, wired, extents };
    let (mut states, mut over) = (Vec::new(), OverPoints::of(plan));
    let mut read = |answered: Answered| {
        over.add(&answered);
        states.push(answered.state);
    };
    read(bench.all_on(all_on));
    let mut budget = Budget { left: MOST_THINGS };
    let modes = plan.modes.iter().filter(|_| budget.may_solve(&extents.whole));
    modes.for_each(|mode| read(bench.in_mode(mode)));
    for (point, engine) in engines(plan) {
        match engine.starter_a {
            None => findings.push(starter_missing(point)),
            Some(_) if budget.may_solve(extents.beside(wired, &point.id)) => read(bench.engine_start(point)),
            Some(_) => {}
        }
    }
    let planned =
        1 + plan.modes.len() + engines(plan).filter(|(_, engine)| engine.starter_a.is_some()).count();
    findings.extend((states.len() < planned).then(|| say_spent(states.len(), planned)));
    for state in &states {
        findings.extend(not_solved(state));
        findings.extend(cranking_voltage(plan, state));
        findings.extend(starter_cables(plan, state));
    }
    let points = over.report();
    findings.extend(over_rating(plan, &points));
    let circuits = over_circuits(plan, &states);
    (ModesReport { states, points, circuits }, findings)
}

/// The work left for further states, in things of the plan.
struct Budget {
    left: usize,
}

impl Budget {
    /// Takes the work of one more state; `false` if too little is left.
    fn may_solve(&mut self, extent: &Extent<'_>) -> bool {
        let left = self.left.checked_sub(extent.things());
        self.left = left.unwrap_or(0);
        left.is_some()
    }
}

fn say_spent(solved: usize, planned: usize) -> Finding {
    let text = say!(
        "{} modes and engine starts are too many for so much wiring. Only {} are calculated. Enter fewer modes, or \
         divide the wiring.",
        count(planned),
        count(solved)
    );
    Finding::about(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::WorkLimit, text))
}

/// The circuits that are on for the whole time of a mode.
fn all_the_time(mode: &Mode) -> Vec<CircuitId> {
    let always = mode.on.iter().filter(|used| used.share.number() >= 1.0);
    always.map(|used| used.circuit.clone()).collect()
}

/// The plan with its network, to be solved in one state after another.
struct Bench<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    wired: &'a CircuitModel<'a>,
    extents: &'a Extents<'a>,
}

impl Bench<'_> {
    fn all_on(&self, solved: &Result<Solved<'_>, Trouble>) -> Answered {
        let on = self.plan.circuits.iter().map(|circuit| circuit.id.clone()).collect();
        let whole = &self.extents.whole;
        let (state, all) = self.read(StateOf::AllOn, "All on".to_owned(), on, whole, solved);
        Answered { state, all, continuous: None }
    }

    fn in_mode(&self, mode: &Mode) -> Answered {
        let on: Vec<_> = mode.on.iter().map(|used| used.circuit.clone()).collect();
        let (always, whole) = (all_the_time(mode), &self.extents.whole);
        let continuous = (always.len() < on.len()).then(|| {
            let solved = self.solve(&always);
            solved.map(|solved| Passing::of(whole, self.conductors, &solved)).unwrap_or_default()
        });
        let solved = self.solve(&on);
        let of = StateOf::Mode { mode: mode.id.clone() };
        let (state, all) = self.read(of, mode.name.to_string(), on, whole, &solved);
        Answered { state, all, continuous }
    }

    fn engine_start(&self, engine: &Point) -> Answered {
        let running = self.plan.modes.iter().find(|mode| mode.charging.contains(&engine.id));
        let extent = self.extents.beside(self.wired, &engine.id);
        let always = running.map(all_the_time).unwrap_or_default();
        let always: HashSet<&CircuitId> = always.iter().collect();
        let is_on = |circuit: &&&Circuit| always.contains(&circuit.id);
        let on = extent.circuits.iter().filter(is_on).map(|circuit| circuit.id.clone()).collect();
        let solved = self.wired.solve_cranking(&engine.id, |circuit| always.contains(circuit));
        let of = StateOf::EngineStart { engine: engine.id.clone() };
        let (state, all) = self.read(of, format!("Starting: {}", engine.called()), on, extent, &solved);
        Answered { state, all, continuous: None }
    }

    fn solve(&self, on: &[CircuitId]) -> Result<Solved<'_>, Trouble> {
        let on: HashSet<&CircuitId> = on.iter().collect();
        self.wired.solve(|circuit| on.contains(circuit))
    }

    /// The results of the network in a state.
    fn read(
        &self,
        of: StateOf,
        name: String,
        on: Vec<CircuitId>,
        extent: &Extent<'_>,
        solved: &Result<Solved<'_>, Trouble>,
    ) -> (SolvedState, Passing) {
        let mut state = SolvedState {
            of,
            name,
            on,
            drawn_a: None,
            lost_w: None,
            volts: BTreeMap::new(),
            amperes: BTreeMap::new(),
            conductors: BTreeMap::new(),
            devices: BTreeMap::new(),
            not_solved: None,
            collapsed: Vec::new(),
            workings: Vec::new(),
        };
        let passing = match solved {
            Ok(solved) => self.fill(&mut state, extent, solved),
            Err(trouble) => {
                state.not_solved = Some(self.wired.explain(trouble));
                state.collapsed = self.wired.concerned(trouble);
                Passing::default()
            }
        };
        (state, passing)
    }

    fn fill(&self, state: &mut SolvedState, extent: &Extent<'_>, solved: &Solved<'_>) -> Passing {
        let passing = Passing::of(extent, self.conductors, solved);
        let batteries = extent.points.iter().copied().filter(|point| matches!(point.body, Body::Battery(_)));
        let of_source = |point: &Point| Some(solved.of_source(&point.id)?.get::<ampere>());
        let gives: Vec<(&Point, f64)> =
            batteries.filter_map(|point| Some((point, of_source(point)?))).collect();
        let mut heat = Vec::new();
        for wire in &extent.wires {
            let (Some(current), Some(lost)) = (solved.of_conductor(&wire.id), solved.lost_along(&wire.id))
            else {
                continue;
            };
            let amperes = current.get::<ampere>();
            heat.push((wire.id.as_str(), amperes * lost.get::<volt>()));
            state.conductors.insert(wire.id.clone(), amperes);
        }
        let on: HashSet<&CircuitId> = state.on.iter().collect();
        let is_on = |circuit: &&&Circuit| on.contains(&circuit.id);
        let is_known = |circuit: &&Circuit| extent.knows(solved, circuit);
        // The current of a starter is large beside that of any load. Else one unknown current makes every sum wrong.
        let is_starting = matches!(state.of, StateOf::EngineStart { .. });
        if is_starting || extent.circuits.iter().filter(is_on).all(is_known) {
            state.drawn_a = Some(gives.iter().map(|(_, amperes)| amperes).sum());
            state.lost_w = Some(heat.iter().map(|(_, watts)| watts).sum());
            state.workings = vec![given(&gives), lost(heat)];
            state.amperes.extend(gives.iter().map(|(battery, amperes)| (battery.id.clone(), *amperes)));
        }
        state.volts = passing.volts.iter().map(|(id, volts)| (id.clone(), *volts)).collect();
        state.amperes.extend(passing.amperes.iter().map(|(id, amperes)| (id.clone(), *amperes)));
        let shown = extent.circuits.iter().filter(is_on).filter(|circuit| is_known(circuit));
        let devices = shown.map(|circuit| {
            let at = |device: &DeviceId| {
                Some((device.clone(), solved.at_device(&circuit.id, device)?.get::<volt>()))
            };
            (circuit.id.clone(), circuit.devices().filter_map(at).collect())
        });
        let devices = devices.collect();
        state.devices = devices;
        passing
    }
}

/// The sum of the currents that the batteries deliver.
fn given(gives: &[(&Point, f64)]) -> Working {
    let term = |(point, amperes): &(&Point, f64)| format!("{} A ({})", figure(*amperes), point.called());
    let terms: Vec<_> = gives.iter().map(term).collect();
    Working {
        what: Quantity::BatteryCurrent,
        formula: "sum of the current out of each battery, the network solved",
        numbers: if terms.is_empty() { "no battery".into() } else { terms.join(" + ").into() },
        result: format!("{} A", figure(gives.iter().map(|(_, amperes)| amperes).sum())).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// How many conductors the sum lists one by one.
const NAMED: usize = 6;

/// The heat in all conductors: the hottest by name, the others as one sum.
fn lost(mut heat: Vec<(&str, f64)>) -> Working {
    heat.sort_by(|one, other| other.1.total_cmp(&one.1));
    let (named, others) = heat.split_at(heat.len().min(NAMED));
    let sum = |heat: &[(&str, f64)]| heat.iter().map(|(_, watts)| watts).sum::<f64>();
    let mut terms: Vec<_> = named.iter().map(|(id, watts)| format!("{} W ({id})", figure(*watts))).collect();
    if !others.is_empty() {
        terms.push(format!("{} W ({} more)", figure(sum(others)), others.len()));
    }
    Working {
        what: Quantity::LostInWire,
        formula: "sum of current x volts lost along it, of each conductor with its ends and fuse",
        numbers: if terms.is_empty() { "no conductor".into() } else { terms.join(" + ").into() },
        result: format!("{} W", figure(sum(&heat))).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// Engines, as their chargers: those that a cranking feeder leads to.
fn engines(plan: &Plan) -> impl Iterator<Item = (&Point, &Charger)> {
    let cranked: HashSet<&PointId> = plan
        .feeders
        .iter()
        .filter(|feeder| feeder.cranking)
        .flat_map(|feeder| [&feeder.from, &feeder.to])
        .collect();
    plan.points.iter().filter_map(move |point| match &point.body {
        Body::Charger(charger) if charger.starter_a.is_some() || cranked.contains(&point.id) => {
            Some((point, charger))
        }
        _ => None,
    })
}

fn starter_missing(engine: &Point) -> Finding {
    let said = RuleFinding::not_checked("the current of the starter", "the voltage while cranking");
    Finding::about(Subject::new(SubjectKind::Point, &engine.id), said)
}

/// The check of the whole plan already reports the state with all on.
fn not_solved(state: &SolvedState) -> Option<Finding> {
    let trouble = state.not_solved.as_ref()?;
    let subject = match &state.of {
        StateOf::AllOn => return None,
        StateOf::Mode { mode } => Subject::new(SubjectKind::Mode, mode),
        StateOf::EngineStart { engine } => Subject::new(SubjectKind::Point, engine),
    };
    let text = say!("{}: {} No voltage is calculated.", state.name.clone(), trouble.clone());
    Some(Finding::about(subject, RuleFinding::new(Code::NotSolved, text)))
}

/// Reports each battery whose voltage falls too far while it cranks.
fn cranking_voltage(plan: &Plan, state: &SolvedState) -> Vec<Finding> {
    if !matches!(state.of, StateOf::EngineStart { .. }) {
        return Vec::new();
    }
    let least = |point: &Point| nominal_of(plan, point) * cranking::LEAST_SHARE;
    let unknown = batteries_that_crank(plan, state).filter(|(_, battery)| battery.internal().is_none());
    let unknown = unknown.map(|(point, _)| {
        let said =
            RuleFinding::not_checked("the internal resistance of the battery", "the voltage while cranking");
        Finding::about(Subject::new(SubjectKind::Point, &point.id), said)
    });
    let known = batteries_that_crank(plan, state).filter(|(_, battery)| battery.internal().is_some());
    let low = known.filter_map(|(point, _)| {
        let volts = state.volts.get(&point.id).copied().filter(|volts| *volts < least(point))?;
        Some((point, volts, state.amperes.get(&point.id).copied().unwrap_or_default()))
    });
    let low = low.map(|(point, volts, amperes)| {
        let least = least(point);
        let text = say!(
            "The starter pulls it down to {}; the limit is {}. Charge and test it, or use a battery of less internal \
             resistance. No cable raises this voltage.",
            volts_of(volts).beside(least),
            volts_of(least)
        );
        let working = Working {
            what: Quantity::CrankingPostVoltage,
            formula: "the network solved with the starter's current",
            numbers: format!("{} A out of {}", figure(amperes), point.called()).into(),
            result: format!("{} V", figure(volts)).into(),
            source: &CRANKING_VOLTAGE,
        };
        let said = RuleFinding::new(Code::CrankingVoltageLow, text).against(volts, least, "V").working(working);
        Finding::about(Subject::new(SubjectKind::Point, &point.id), said)
    });
    unknown.chain(low).collect()
}

/// The nominal voltage of a battery's side.
fn nominal_of(plan: &Plan, battery: &Point) -> f64 {
    battery.body.nominal().unwrap_or(plan.job.nominal_v).number()
}

/// The batteries that deliver current in a state.
fn batteries_that_crank<'a>(
    plan: &'a Plan,
    state: &'a SolvedState,
) -> impl Iterator<Item = (&'a Point, &'a Battery)> {
    plan.points.iter().filter_map(|point| match &point.body {
        Body::Battery(battery) if state.amperes.get(&point.id).is_some_and(|amperes| *amperes > 0.0) => {
            Some((point, battery))
        }
        _ => None,
    })
}

/// Reports the drop in the starter cables between the cranking battery and the engine's posts.
fn starter_cables(plan: &Plan, state: &SolvedState) -> Option<Finding> {
    let StateOf::EngineStart { engine } = &state.of else { return None };
    let gives = |point: &&Point| matches!(point.body, Body::Battery(_));
    let amperes = |point: &&Point| state.amperes.get(&point.id).copied().unwrap_or_default();
    let battery =
        plan.points.iter().filter(gives).max_by(|one, other| amperes(one).total_cmp(&amperes(other)))?;
    let (posts, starter) = (*state.volts.get(&battery.id)?, *state.volts.get(engine)?);
    let (lost, limit) = (posts - starter, STARTER_CABLE_SHARE * nominal_of(plan, battery));
    if keeps_to(lost, limit) {
        return None;
    }
    let text = say!(
        "While cranking, {} has {} and the starter {}. The starter cables lose {}; the limit is {}. Use thicker or \
         shorter starter cables, positive and negative.",
        &battery.id,
        volts_of(posts),
        volts_of(starter),
        volts_of(lost).beside(limit),
        volts_of(limit)
    );
    let working = Working {
        what: Quantity::LostInStarterCables,
        formula: "volts at the battery's posts less volts at the starter, both while cranking",
        numbers: format!("{} V - {} V at {} A", figure(posts), figure(starter), figure(amperes(&battery)))
            .into(),
        result: format!("{} V", figure(lost)).into(),
        source: &STARTER_CABLES,
    };
    let said = RuleFinding::new(Code::StarterCableDrop, text).against(lost, limit, "V").working(working);
    Some(Finding::about(Subject::new(SubjectKind::Point, engine), said))
}

/// The largest currents through each point, over the states read so far.
struct OverPoints<'a> {
    plan: &'a Plan,
    worst: HashMap<&'a PointId, Most>,
    continuous: HashMap<&'a PointId, Most>,
}

/// The largest current through a point, and the name of the state.
struct Most {
    through: ThroughPoint,
    name: String,
}

impl<'a> OverPoints<'a> {
    fn of(plan: &'a Plan) -> Self {
        Self { plan, worst: HashMap::default(), continuous: HashMap::default() }
    }

    /// Compares a state with those before. The state with all on counts only if there is no mode. An engine
    /// cranks for seconds, which is not continuous.
    fn add(&mut self, answered: &Answered) {
        if answered.state.of == StateOf::AllOn && !self.plan.modes.is_empty() {
            return;
        }
        let name = &answered.state.name;
        let continuous = answered.continuous.as_ref().unwrap_or(&answered.all);
        let is_lasting = !matches!(answered.state.of, StateOf::EngineStart { .. });
        for point in &self.plan.points {
            keep_most(&mut self.worst, &point.id, &answered.all, name);
            if is_lasting {
                keep_most(&mut self.continuous, &point.id, continuous, name);
            }
        }
    }

    fn report(mut self) -> BTreeMap<PointId, PointOverModes> {
        let over = self.plan.points.iter().filter_map(|point| {
            let (worst, continuous) = (self.worst.remove(&point.id)?, self.continuous.remove(&point.id));
            let lasting = continuous.as_ref().and_then(|most| most.through.working());
            let lasting =
                lasting.map(|working| Working { what: Quantity::ContinuousThroughPoint, ..working });
            let over = PointOverModes {
                worst_a: worst.through.amperes.abs(),
                worst_in: worst.name,
                continuous_a: continuous.as_ref().map(|most| most.through.amperes.abs()),
                continuous_in: continuous.map(|most| most.name),
                workings: worst.through.working().into_iter().chain(lasting).collect(),
            };
            Some((point.id.clone(), over))
        });
        over.collect()
    }
}

/// Keeps the larger current. If states differ only by rounding, the first is named.
fn keep_most<'a>(most: &mut HashMap<&'a PointId, Most>, point: &'a PointId, passing: &Passing, name: &str) {
    let Some(amperes) = passing.amperes.get(point).map(|amperes| amperes.abs()) else { return };
    if most.get(point).is_none_or(|held| !keeps_to(amperes, held.through.amperes.abs())) {
        let through = passing.through(point);
        most.extend(through.map(|through| (point, Most { through, name: name.to_owned() })));
    }
}

/// Cranking lasts seconds: only the manufacturer can state what a switch carries for so short a time.
fn over_rating(plan: &Plan, points: &BTreeMap<PointId, PointOverModes>) -> Vec<Finding> {
    let over = plan.points.iter().filter_map(|point| {
        let rating = point.body.rating()?.number();
        let over = points.get(&point.id)?;
        let (amperes, mode) = over.continuous_a.zip(over.continuous_in.as_ref())?;
        let no_source = !point.body.kind().is_source();
        (no_source && !keeps_to(amperes, rating)).then_some((point, rating, amperes, mode))
    });
    over.map(|(point, rating, amperes, mode)| {
        let text = say!(
            "{}: {} passes it continuously; its rating is {}. Fit a larger one or divide the load.",
            mode.clone(),
            amps(amperes).beside(rating),
            amps(rating)
        );
        let said = RuleFinding::new(Code::PointOverRating, text).against(amperes, rating, "A");
        Finding::about(Subject::new(SubjectKind::Point, &point.id), said)
    })
    .collect()
}

fn over_circuits(plan: &Plan, states: &[SolvedState]) -> BTreeMap<CircuitId, VoltsOverModes> {
    let mut volts: HashMap<&CircuitId, Vec<(&str, f64)>> = HashMap::default();
    for state in states {
        for id in state.devices.keys() {
            let lowest = state.lowest(id).map(|(_, volts)| (state.name.as_str(), volts));
            volts.entry(id).or_default().extend(lowest);
        }
    }
    let over = |id: &CircuitId| {
        let read = volts.get(id)?;
        let lowest = read.iter().min_by(|one, other| one.1.total_cmp(&other.1))?;
        let highest = read.iter().max_by(|one, other| one.1.total_cmp(&other.1))?;
        Some(VoltsOverModes {
            lowest_v: lowest.1,
            lowest_in: lowest.0.to_owned(),
            highest_v: highest.1,
            highest_in: highest.0.to_owned(),
        })
    };
    plan.circuits.iter().filter_map(|circuit| Some((circuit.id.clone(), over(&circuit.id)?))).collect()
}
