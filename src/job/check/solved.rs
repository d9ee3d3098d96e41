//! The plan solved as a network: the expected voltages and currents, and the short-circuit currents.

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;
use uom::si::ratio::percent;

use super::context::CheckContext;
use super::cranking;
use super::full_load::FullLoad;
use super::report::{CircuitReport, DeviceReport, Report};
use super::sizes::Sizes;
use super::warm::{self, WarmCopper};
use super::{shorts, sources};
use crate::job::extent::Extent;
use crate::job::network::{CircuitModel, Solved};
use crate::job::passing::Passing;
use crate::job::plan::{Circuit, Feeder, Plan};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, PointId};
use crate::job::wiring::Conductors;
use crate::trade::dc_network::{ShortCircuit, Trouble, Unusable};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// The results of the network for the distribution points.
#[derive(Default)]
pub(super) struct Answers {
    /// The currents with every circuit on.
    pub(super) passing: Passing,
    /// The short-circuit current when a point touches the negative post of its source, if every source is
    /// known.
    pub(super) shorts: HashMap<PointId, ShortCircuit>,
}

/// The network of a plan, with warm conductors and with cold ones.
pub(super) struct Loaded<'a> {
    pub(super) copper: WarmCopper<'a>,
    /// For every state under load, and for the least fault currents.
    pub(super) warm: CircuitModel<'a>,
    /// For the greatest fault currents.
    pub(super) cold: CircuitModel<'a>,
}

impl<'a> Loaded<'a> {
    pub(super) fn of(
        plan: &'a Plan,
        conductors: &'a Conductors,
        report: &Report,
        sizes: &Sizes,
    ) -> Result<Self, Unusable> {
        let copper = WarmCopper::of(plan, report);
        let warm = copper.wire(conductors, sizes)?;
        Ok(Self { warm, cold: warm::cold(plan, conductors, sizes)?, copper })
    }
}

/// The circuits whose every conductor to the sources and back is known. A circuit behind a feeder without a
/// size, without a length or without a source has no solved figures.
pub(super) fn supplied<'a>(context: &CheckContext<'a>, report: &Report) -> HashSet<&'a CircuitId> {
    let known = |feeder: &&Feeder| {
        let figures = report.feeders.get(&feeder.id);
        figures.is_some_and(|own| own.conductor.size.is_some() && own.conductor.one_way_m.is_some())
    };
    let is_supplied = |circuit: &&Circuit| {
        let ways = context.ways_of(circuit);
        !ways.is_empty() && ways.iter().all(|ways| ways.source.is_some() && ways.feeders.iter().all(known))
    };
    context.plan.circuits.iter().filter(is_supplied).map(|circuit| &circuit.id).collect()
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
    loaded: &Loaded<'_>,
    whole: &Extent<'_>,
    all_on: &Result<Solved<'_>, Trouble>,
    supplied: &HashSet<&CircuitId>,
) -> Answers {
    let mut answers = Answers::default();
    let wired = &loaded.warm;
    match all_on {
        Ok(solved) => {
            currents_and_voltages(context, report, solved, supplied);
            answers.passing = Passing::of(whole, context.conductors, solved);
        }
        Err(trouble) => {
            context.say(whole_job(), not_solved(wired, trouble));
            cranking::say_collapsed(context, "All on", &wired.concerned(trouble), |_| true);
        }
    }
    say_temperatures(context, report, &loaded.copper);
    sources::say_tied(context, wired);
    if let (Ok(warm), Ok(cold)) = (wired.shorts(), loaded.cold.shorts()) {
        let alone = shorts::alone(context, &warm);
        let studies = shorts::Studies { warm: &warm, alone: &alone, cold: &cold };
        shorts::short_circuits(context, report, &studies, supplied);
        answers.shorts = shorts::at_points(context, &cold);
    }
    answers
}

/// Adds how warm the load makes the conductors of each circuit and feeder.
fn say_temperatures(context: &CheckContext<'_>, report: &mut Report, copper: &WarmCopper<'_>) {
    for (id, figures) in &mut report.circuits {
        let wires = context.conductors.of_circuit(id).iter();
        let warmest = wires
            .max_by(|one, other| copper.temperature(one).value.total_cmp(&copper.temperature(other).value));
        figures.conductor.workings.extend(warmest.and_then(|wire| copper.working(wire)));
    }
    for (id, figures) in &mut report.feeders {
        let wire = context.conductors.of_feeder(id);
        figures.conductor.workings.extend(wire.and_then(|wire| copper.working(wire)));
    }
}

fn whole_job() -> Subject {
    Subject::new(SubjectKind::Job, "job")
}

fn not_solved(wired: &CircuitModel<'_>, trouble: &Trouble) -> RuleFinding {
    RuleFinding::new(Code::NotSolved, wired.explain(trouble).then(say!("No voltage is calculated.")))
}

fn currents_and_voltages(
    context: &mut CheckContext<'_>,
    report: &mut Report,
    solved: &Solved<'_>,
    supplied: &HashSet<&CircuitId>,
) {
    for circuit in &context.plan.circuits {
        if !supplied.contains(&circuit.id) {
            continue;
        }
        let Some(figures) = report.circuits.get_mut(&circuit.id) else { continue };
        if !voltages(context, circuit, figures, solved) {
            say_not_reached(context, circuit, report);
        }
    }
    for feeder in &context.plan.feeders {
        let Some(figures) = report.feeders.get_mut(&feeder.id) else { continue };
        let Some(conductor) = context.conductors.of_feeder(&feeder.id) else { continue };
        let drop = solved.lost_along(&conductor.id);
        figures.conductor.solved_drop_v = volts(drop);
        figures.conductor.solved_drop_pct =
            drop.map(|drop| (drop / context.sides().of_feeder(feeder)).get::<percent>());
        figures.conductor.solved_current_a =
            solved.of_conductor(&conductor.id).map(|current| current.get::<ampere>());
        let through = figures.conductor.solved_current_a;
        figures.conductor.workings.extend(volts(drop).zip(through).map(|(drop, amperes)| Working {
            what: Quantity::SolvedDrop,
            formula: "current through it x its warm resistance with its contacts, every circuit on",
            numbers: match amperes == 0.0 {
                true => "nothing flows in it".into(),
                false => format!("{} A x {} ohm", figure(amperes), figure(drop / amperes)).into(),
            },
            result: format!("{} V", figure(drop)).into(),
            source: &CIRCUIT_LAWS,
        }));
    }
    FullLoad::of(context, report).say(context, report);
}

/// Fills in a circuit's voltages, if each of its devices has one.
fn voltages(
    context: &CheckContext<'_>,
    circuit: &Circuit,
    figures: &mut CircuitReport,
    solved: &Solved<'_>,
) -> bool {
    // Its current is not known, so neither is its drop. The missing load has its own finding.
    if !loads_are_known(context, circuit) {
        return true;
    }
    let at_devices =
        circuit.devices().map(|device| Some((device, volts(solved.at_device(&circuit.id, device))?)));
    let Some(at_devices) = at_devices.collect::<Option<Vec<_>>>() else { return false };
    let nominal = context.sides().of_circuit(circuit).get::<volt>();
    let source = volts(solved.at_source(&circuit.id));
    let battery = context.ways_to(&circuit.from).and_then(|ways| ways.source);
    let posts = battery.and_then(|battery| volts(solved.at_point(battery)));
    for (device, voltage) in at_devices {
        let Some(own) = figures.devices.get_mut(device) else { continue };
        let share = |drop: f64| 100.0 * drop / nominal;
        own.voltage_v = Some(voltage);
        own.solved_drop_v = source.map(|source| source - voltage);
        own.solved_drop_pct = own.solved_drop_v.map(share);
        own.solved_drop_from_battery_v = posts.map(|posts| posts - voltage);
        own.solved_drop_from_battery_pct = own.solved_drop_from_battery_v.map(share);
    }
    figures.conductor.solved_current_a =
        solved.of_circuit(&circuit.id).map(|current| current.get::<ampere>());
    let named = figures.drop_at.as_ref().and_then(|device| figures.devices.get(device)).cloned();
    let Some(named) = named else { return true };
    let conductor = &mut figures.conductor;
    (conductor.solved_drop_v, conductor.solved_drop_pct) = (named.solved_drop_v, named.solved_drop_pct);
    figures.solved_drop_from_battery_v = named.solved_drop_from_battery_v;
    figures.solved_drop_from_battery_pct = named.solved_drop_from_battery_pct;
    conductor.workings.extend(drop_workings(&named, source, posts));
    true
}

/// How the solved drops of the device that the circuit names were calculated.
fn drop_workings(named: &DeviceReport, source: Option<f64>, posts: Option<f64>) -> Vec<Working> {
    let of = |what, formula, from: Option<f64>, drop: Option<f64>, share: Option<f64>| {
        let ((from, drop), (share, at)) = (from.zip(drop)?, share.zip(named.voltage_v)?);
        Some(Working {
            what,
            formula,
            numbers: format!("{} V - {} V", figure(from), figure(at)).into(),
            result: format!("{} V ({} %)", figure(drop), figure(share)).into(),
            source: &CIRCUIT_LAWS,
        })
    };
    let own = of(
        Quantity::SolvedDrop,
        "volts at its source less volts at the device, every circuit on, conductors warm",
        source,
        named.solved_drop_v,
        named.solved_drop_pct,
    );
    let total = of(
        Quantity::SolvedDropFromBattery,
        "volts at the battery's posts less volts at the device, every circuit on, conductors warm",
        posts,
        named.solved_drop_from_battery_v,
        named.solved_drop_from_battery_pct,
    );
    own.into_iter().chain(total).collect()
}

pub(super) fn loads_are_known(context: &CheckContext<'_>, circuit: &Circuit) -> bool {
    circuit.devices().all(|device| context.device(device).is_some_and(|device| device.load.is_some()))
}

/// Reports a device without voltage although no input is missing.
fn say_not_reached(context: &mut CheckContext<'_>, circuit: &Circuit, report: &Report) {
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    let about = |finding: &&crate::job::finding::Finding| finding.subject == subject;
    let explained =
        context.findings.iter().filter(about).any(|found| matches!(found.code, Code::Unfed | Code::NoReturn));
    let own = report.circuits.get(&circuit.id);
    let own_known = own
        .is_some_and(|figures| figures.conductor.size.is_some() && figures.conductor.round_trip_m.is_some());
    if explained || !own_known {
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
