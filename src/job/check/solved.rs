//! The plan solved as a network: the expected voltages and currents, and the short-circuit currents.

use std::collections::HashMap;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};
use uom::si::ratio::percent;

use super::context::CheckContext;
use super::report::{By, CircuitReport, ProtectionReport, Report};
use super::{shorts, sources};
use crate::job::modes::{ModesReport, SolvedState, StateOf};
use crate::job::network::{CircuitModel, Solved};
use crate::job::passing::Passing;
use crate::job::plan::{Circuit, Feeder};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::dc_network::{ShortCircuit, Trouble, Unusable};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::heat;
use crate::trade::protection::opening::{self, MotorSurge};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part as Said, Statement, say};
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::units::{amps, percent as percent_of, volts as volts_of};
use crate::trade::working::{Working, figure, keeps_to};

/// The results of the network for the distribution points.
#[derive(Default)]
pub(super) struct Answers {
    /// The currents with every circuit on.
    pub(super) passing: Passing,
    /// The short-circuit current when a point touches the negative post of its source, if every source is
    /// known.
    pub(super) shorts: HashMap<PointId, ShortCircuit>,
}

/// Reports that no network can be built from the plan.
pub(super) fn say_unusable(context: &mut CheckContext<'_>, unusable: &Unusable) {
    context.say(
        whole_job(),
        RuleFinding::new(
            Code::NotSolved,
            say!("The network cannot be calculated: {}.", unusable.to_string()),
        ),
    );
}

/// Fills in the results of the network, solved with every circuit on.
pub(super) fn fill(
    context: &mut CheckContext<'_>,
    report: &mut Report,
    wired: &CircuitModel<'_>,
    all_on: &Result<Solved<'_>, Trouble>,
) -> Answers {
    let mut answers = Answers::default();
    match all_on {
        Ok(solved) => {
            currents_and_voltages(context, report, solved);
            answers.passing = Passing::of(context.plan, context.conductors, solved);
        }
        Err(trouble) => context.say(whole_job(), not_solved(wired, trouble)),
    }
    sources::say_tied(context, wired);
    if let Ok(shorted) = wired.shorts() {
        let alone = shorts::alone(context, &shorted);
        shorts::short_circuits(context, report, &shorted, &alone);
        answers.shorts = shorts::at_points(context, &shorted);
    }
    answers
}

fn whole_job() -> Subject {
    Subject::new(SubjectKind::Job, "job")
}

fn not_solved(wired: &CircuitModel<'_>, trouble: &Trouble) -> RuleFinding {
    RuleFinding::new(Code::NotSolved, wired.explain(trouble).then(say!("No voltage is calculated.")))
}

fn currents_and_voltages(context: &mut CheckContext<'_>, report: &mut Report, solved: &Solved<'_>) {
    for circuit in &context.plan.circuits {
        let Some(figures) = report.circuits.get_mut(&circuit.id) else { continue };
        if !voltages(context, circuit, figures, solved) {
            say_not_reached(context, circuit, report);
        }
    }
    let nominal = context.nominal();
    for feeder in &context.plan.feeders {
        let Some(figures) = report.feeders.get_mut(&feeder.id) else { continue };
        let Some(conductor) = context.conductors.of_feeder(&feeder.id) else { continue };
        let drop = solved.lost_along(&conductor.id);
        figures.conductor.solved_drop_v = volts(drop);
        figures.conductor.solved_drop_pct = drop.map(|drop| (drop / nominal).get::<percent>());
        figures.conductor.solved_current_a =
            solved.of_conductor(&conductor.id).map(|current| current.get::<ampere>());
        let through = figures.conductor.solved_current_a;
        let flowing = Solve {
            design: figures.conductor.design_current_a,
            solved: through,
            fuse: figures.conductor.protection.as_ref(),
            carries: figures.conductor.derated_ampacity_a,
        };
        flowing.say(context, &Subject::new(SubjectKind::Feeder, &feeder.id), say!("it carries"));
        figures.conductor.workings.extend(volts(drop).zip(through).map(|(drop, amperes)| Working {
            what: Quantity::SolvedDrop,
            formula: "current through it x its resistance with its contacts, every circuit on",
            numbers: match amperes == 0.0 {
                true => "nothing flows in it".into(),
                false => format!("{} A x {} ohm", figure(amperes), figure(drop / amperes)).into(),
            },
            result: format!("{} V", figure(drop)).into(),
            source: &CIRCUIT_LAWS,
        }));
    }
}

/// Fills in a circuit's voltages, if each of its devices has one.
fn voltages(
    context: &mut CheckContext<'_>,
    circuit: &Circuit,
    figures: &mut CircuitReport,
    solved: &Solved<'_>,
) -> bool {
    // Its current is not known, so neither is its drop. The missing load has its own finding.
    if !loads_are_known(context, circuit) {
        return true;
    }
    let at_devices = circuit
        .devices()
        .filter_map(|device| Some((device.clone(), solved.at_device(&circuit.id, device)?.get::<volt>())));
    figures.voltage_at = at_devices.collect();
    if figures.voltage_at.len() < circuit.legs.len() {
        return false;
    }
    let lowest = figures.voltage_at.values().copied().fold(f64::INFINITY, f64::min);
    let nominal = context.nominal().get::<volt>();
    figures.conductor.solved_current_a =
        solved.of_circuit(&circuit.id).map(|current| current.get::<ampere>());
    let drawn = Solve {
        design: figures.conductor.design_current_a,
        solved: figures.conductor.solved_current_a,
        fuse: figures.conductor.protection.as_ref(),
        carries: figures.conductor.derated_ampacity_a,
    };
    let flows = say!("{} arrives at its loads, which draw", volts_of(lowest));
    drawn.say(context, &Subject::new(SubjectKind::Circuit, &circuit.id), flows);
    if let Some(source) = volts(solved.at_source(&circuit.id)) {
        let drop = source - lowest;
        figures.conductor.solved_drop_v = Some(drop);
        figures.conductor.solved_drop_pct = Some(100.0 * drop / nominal);
        figures.conductor.workings.push(Working {
            what: Quantity::SolvedDrop,
            formula: "volts at its source less volts at the device, every circuit on",
            numbers: format!("{} V - {} V", figure(source), figure(lowest)).into(),
            result: format!("{} V ({} %)", figure(drop), figure(100.0 * drop / nominal)).into(),
            source: &CIRCUIT_LAWS,
        });
    }
    let battery = context.ways_to(&circuit.from).and_then(|ways| ways.source);
    if let Some(posts) = battery.and_then(|battery| volts(solved.at_point(battery))) {
        figures.solved_drop_from_battery_v = Some(posts - lowest);
        figures.solved_drop_from_battery_pct = Some(100.0 * (posts - lowest) / nominal);
        figures.conductor.workings.push(Working {
            what: Quantity::SolvedDropFromBattery,
            formula: "volts at the battery's posts less volts at the device, every circuit on",
            numbers: format!("{} V - {} V", figure(posts), figure(lowest)).into(),
            result: format!(
                "{} V ({} %)",
                figure(posts - lowest),
                figure(100.0 * (posts - lowest) / nominal)
            )
            .into(),
            source: &CIRCUIT_LAWS,
        });
    }
    true
}

/// The solved current against fuse and wire, if it exceeds the design current. Constant-power loads draw
/// more at a lower voltage, and batteries drive current between each other.
struct Solve<'f> {
    design: Option<f64>,
    solved: Option<f64>,
    fuse: Option<&'f ProtectionReport>,
    carries: Option<f64>,
}

impl Solve<'_> {
    fn say(&self, context: &mut CheckContext<'_>, subject: &Subject, flows: Statement) {
        let (Some(design), Some(solved)) = (self.design, self.solved.map(f64::abs)) else { return };
        let fuse = self.fuse.and_then(|fuse| fuse.rating_a);
        let limits = [
            (Code::FuseUnderLoad, "The rating of its fuse or breaker", fuse),
            (Code::CurrentOverAmpacity, "The ampacity of its conductor", self.carries),
        ];
        for (code, what, limit) in limits {
            // An excess at nominal voltage already has its own finding.
            let Some(limit) = limit.filter(|limit| keeps_to(design, *limit) && !keeps_to(solved, *limit))
            else {
                continue;
            };
            let (solved_a, limit_a) = (amps(solved).beside(limit), amps(limit));
            let text = say!(
                "With every circuit on, {} {}. {} is {}. Use a larger one.",
                flows.clone(),
                solved_a,
                what,
                limit_a
            );
            context.say(subject.clone(), RuleFinding::new(code, text).against(solved, limit, "A"));
        }
    }
}

fn loads_are_known(context: &CheckContext<'_>, circuit: &Circuit) -> bool {
    circuit.devices().all(|device| context.device(device).is_some_and(|device| device.load.is_some()))
}

/// The calculated drop covers only the circuit's own wire; the total drop is measured from the battery. A
/// circuit is judged in the modes in which it is on. A circuit that is on in no mode is judged with all
/// circuits on.
///
/// If the program chose a size on the route, the program must also propose the remedy.
pub(super) fn say_drop_from_battery(context: &mut CheckContext<'_>, report: &Report, modes: &ModesReport) {
    let nominal = context.nominal().get::<volt>();
    let is_mode = |state: &&SolvedState| matches!(state.of, StateOf::Mode { .. });
    for circuit in &context.plan.circuits {
        let battery = context.ways_to(&circuit.from).and_then(|ways| ways.source);
        let Some(battery) = battery.filter(|_| loads_are_known(context, circuit)) else { continue };
        let lost = |state: &'_ SolvedState| {
            let posts = state.volts.get(battery)?;
            let devices = state.devices.get(&circuit.id)?.iter();
            let shares = devices.map(|(device, volts)| {
                (
                    device.clone(),
                    100.0 * (posts - volts) / nominal,
                    context.drop_limit(device).get::<percent>(),
                )
            });
            let worst = shares.max_by(|one, other| (one.1 / one.2).total_cmp(&(other.1 / other.2)))?;
            Some((state.name.clone(), worst))
        };
        let in_modes: Vec<_> = modes.states.iter().filter(is_mode).filter_map(lost).collect();
        let all_on =
            || modes.states.iter().filter(|state| state.of == StateOf::AllOn).filter_map(lost).collect();
        let judged: Vec<_> = if in_modes.is_empty() { all_on() } else { in_modes };
        let worst =
            judged.into_iter().max_by(|(_, one), (_, other)| (one.1 / one.2).total_cmp(&(other.1 / other.2)));
        let Some((state, (device, share, limit))) = worst.filter(|(_, worst)| !keeps_to(worst.1, worst.2))
        else {
            continue;
        };
        let chosen = chosen_on_the_way(context, report, circuit);
        let (code, remedy) = match chosen.is_empty() {
            true => (Code::TotalDrop, say!("Check the sizes of its feeders.")),
            false => {
                let remedy = say!(
                    "The size of {} was chosen for its own length alone. Use the sizes of the sizing page, which keep the \
                     limit by the handbook formula.",
                    Said::all(chosen)
                );
                (Code::TotalDropOfChosen, remedy)
            }
        };
        let text = say!(
            "{}: the total drop, battery to {}, is {}; the limit is {}. {}",
            state,
            &device,
            percent_of(share).beside(limit),
            percent_of(limit),
            remedy
        );
        let finding = RuleFinding::new(code, text).against(share, limit, "%");
        context.say(Subject::new(SubjectKind::Circuit, &circuit.id), finding);
    }
}

/// Every feeder that carries a starter's current, marked or not, must withstand it while the engine cranks.
/// So must its protection. Both are judged with all joined batteries, and with each of them alone.
pub(super) fn say_cranking(
    context: &mut CheckContext<'_>,
    report: &Report,
    modes: &ModesReport,
    wired: &CircuitModel<'_>,
) {
    let engine = |state: &'_ SolvedState| match &state.of {
        StateOf::EngineStart { engine } => Some(engine.clone()),
        _ => None,
    };
    let starts: Vec<(&SolvedState, PointId)> =
        modes.states.iter().filter_map(|state| Some((state, engine(state)?))).collect();
    let joined = context.joined_batteries();
    let alone: Vec<_> = starts
        .iter()
        .flat_map(|(_, engine)| joined.iter().map(move |battery| wired.solve_cranking_from(engine, battery)))
        .filter_map(Result::ok)
        .collect();
    for feeder in &context.plan.feeders {
        let Some(conductor) = context.conductors.of_feeder(&feeder.id) else { continue };
        let together = starts.iter().filter_map(|(state, _)| state.conductors.get(&conductor.id).copied());
        let each = alone.iter().filter_map(|solved| solved.of_conductor(&conductor.id));
        let cranked = together.chain(each.map(|current| current.get::<ampere>()));
        let Some(most) = cranked.map(f64::abs).reduce(f64::max) else { continue };
        let (current, figures) = (ElectricCurrent::new::<ampere>(most), report.feeders.get(&feeder.id));
        let burns = figures.and_then(|own| heat::judge_cranking(own.conductor.size?, current));
        let surge = MotorSurge { current, lasts: heat::cranked_for() };
        let opens = report.opener(feeder).and_then(|opener| opening::judge_inrush(&opener, &surge));
        let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
        if burns.is_some() {
            // The finding that leaves this to the manufacturer's manual would contradict this one.
            context.findings.retain(|said| said.code != Code::CrankingNotChecked || said.subject != subject);
        }
        context.say_all(&subject, burns.into_iter().chain(opens));
    }
}

/// The circuit, and the feeders on its supply paths, whose sizes the program chose.
fn chosen_on_the_way(context: &CheckContext<'_>, report: &Report, circuit: &Circuit) -> Vec<Subject> {
    let own = report.circuits.get(&circuit.id).and_then(|own| own.conductor.size_by);
    let feeders = context.ways_of(circuit).iter().flat_map(|ways| &ways.feeders);
    let feeders = feeders.filter_map(|feeder| {
        Some((
            Subject::new(SubjectKind::Feeder, &feeder.id),
            report.feeders.get(&feeder.id)?.conductor.size_by?,
        ))
    });
    let all = own.map(|by| (Subject::new(SubjectKind::Circuit, &circuit.id), by)).into_iter().chain(feeders);
    all.filter(|(_, by)| *by == By::Chosen).map(|(thing, _)| thing).collect()
}

/// Reports a device without voltage although no input is missing.
fn say_not_reached(context: &mut CheckContext<'_>, circuit: &Circuit, report: &Report) {
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    let about = |finding: &&crate::job::finding::Finding| finding.subject == subject;
    let explained =
        context.findings.iter().filter(about).any(|found| matches!(found.code, Code::Unfed | Code::NoReturn));
    let feeders = context.ways_of(circuit).iter().flat_map(|ways| &ways.feeders);
    let known = |feeder: &&Feeder| {
        report
            .feeders
            .get(&feeder.id)
            .is_some_and(|figures| figures.conductor.size.is_some() && figures.conductor.one_way_m.is_some())
    };
    let own = report.circuits.get(&circuit.id);
    let own_known = own
        .is_some_and(|figures| figures.conductor.size.is_some() && figures.conductor.round_trip_m.is_some());
    if explained || !own_known || !feeders.copied().all(|feeder| known(&feeder)) {
        return;
    }
    let text = say!(
        "Its positive and its negative do not lead to the same battery. No current can flow. Check its feeders."
    );
    context.say(subject, RuleFinding::new(Code::Unfed, text));
}

fn volts(potential: Option<ElectricPotential>) -> Option<f64> {
    // Adding 0.0 removes the sign of a negative zero.
    potential.map(|potential| potential.get::<volt>() + 0.0)
}
