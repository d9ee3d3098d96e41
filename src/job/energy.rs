//! Energy balance of a plan: the battery banks, their daily consumption and their charging.
//!
//! Batteries whose positive posts are joined by feeders form one bank. Chargers and alternators on the same
//! feeders charge it, in the modes in which the plan says they run. The consumption of a circuit is its
//! loads' current at nominal voltage, times its share of the mode.

mod report;

use std::collections::BTreeSet;

use foldhash::{HashMap, HashSet};
use petgraph::unionfind::UnionFind;
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, Time};
use uom::si::ratio::{percent, ratio};
use uom::si::time::hour;

use super::finding::Finding;
use super::plan::{Circuit, Device, Mode, Plan, Polarity};
use super::point::{self, Battery, Body, Charger};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, FloorPct, Peukert, PointId, SourceV};
use crate::trade::energy::battery::{Chemistry, RatedCapacity, end_voltage};
use crate::trade::energy::{self, Bank, DayStretch, LoadUse, Outlook, Pattern, Sample, Starting};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::count;
pub use report::{BandReport, BankReport, CourseReport, EnergyReport, ModeCharge, Moment, Since};

/// How many days the use pattern is simulated.
pub const DAYS: u8 = 3;
/// The work budget of the simulation: modes, over all banks.
const MOST_STRETCHES: usize = 100_000;
/// Time between two points of the curve, in hours.
const CURVE_HOURS: f64 = 0.5;

/// The batteries and chargers that feeders join.
#[derive(Default)]
pub(super) struct Members<'a> {
    pub(super) batteries: Vec<(&'a point::Point, &'a Battery)>,
    chargers: Vec<(&'a point::Point, &'a Charger)>,
    pub(super) circuits: Vec<&'a Circuit>,
    by_id: HashMap<&'a CircuitId, &'a Circuit>,
    cranks: bool,
}

impl<'a> Members<'a> {
    fn feed(&mut self, circuit: &'a Circuit) {
        self.circuits.push(circuit);
        self.by_id.insert(&circuit.id, circuit);
    }

    /// The circuit with this id, if they feed it.
    pub(super) fn circuit(&self, id: &CircuitId) -> Option<&'a Circuit> {
        self.by_id.get(id).copied()
    }

    /// The name of the bank for people.
    pub(super) fn name(&self) -> String {
        self.batteries.iter().map(|(point, _)| point.called()).collect::<Vec<_>>().join(" and ")
    }
}

/// Simulates the use pattern for every bank.
pub(super) fn check(plan: &Plan) -> (EnergyReport, Vec<Finding>) {
    let mut findings = Vec::new();
    if plan.modes.is_empty() {
        let said = RuleFinding::not_checked("a use pattern by modes", "the state of charge over a day");
        findings.push(Finding::about(Subject::new(SubjectKind::Job, "job"), said));
        return (EnergyReport { days: DAYS, banks: Vec::new() }, findings);
    }
    let banks = banks(plan);
    let budget = MOST_STRETCHES / plan.modes.len();
    if banks.len() > budget {
        let text = say!(
            "{} banks in {} modes are too many to calculate. The state of charge is calculated for the first {} banks \
             only. Enter fewer modes.",
            count(banks.len()),
            count(plan.modes.len()),
            count(budget)
        );
        findings.push(Finding::about(
            Subject::new(SubjectKind::Job, "job"),
            RuleFinding::new(Code::WorkLimit, text),
        ));
    }
    let used: HashSet<&CircuitId> =
        plan.modes.iter().flat_map(|mode| &mode.on).map(|used| &used.circuit).collect();
    let judged = banks.iter().take(budget);
    let banks = judged.map(|members| bank(plan, members, &used, &mut findings)).collect();
    (EnergyReport { days: DAYS, banks }, findings)
}

/// Groups of points that positive feeders join, each with a battery among them, in the order of the plan.
pub(super) fn banks(plan: &Plan) -> Vec<Members<'_>> {
    let index: HashMap<&PointId, usize> = plan.points.iter().map(|point| &point.id).zip(0..).collect();
    let mut joined = UnionFind::<usize>::new(plan.points.len());
    for feeder in plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive) {
        if let (Some(from), Some(to)) = (index.get(&feeder.from), index.get(&feeder.to)) {
            joined.union(*from, *to);
        }
    }
    let home = |id: &PointId| index.get(id).map(|at| joined.find(*at));
    let mut members: Vec<(usize, Members<'_>)> = Vec::new();
    let at = |members: &mut Vec<(usize, Members<'_>)>, home| {
        members.iter().position(|(own, _)| *own == home).unwrap_or_else(|| {
            members.push((home, Members::default()));
            members.len() - 1
        })
    };
    for point in &plan.points {
        let Some(home) = home(&point.id) else { continue };
        match &point.body {
            Body::Battery(battery) => {
                let location = at(&mut members, home);
                members[location].1.batteries.push((point, battery));
            }
            Body::Charger(charger) => {
                let location = at(&mut members, home);
                members[location].1.chargers.push((point, charger));
            }
            _ => {}
        }
    }
    for circuit in &plan.circuits {
        let of = home(&circuit.from).and_then(|home| members.iter_mut().find(|(own, _)| *own == home));
        if let Some((_, members)) = of {
            members.feed(circuit);
        }
    }
    for feeder in plan.feeders.iter().filter(|feeder| feeder.cranking) {
        let of = home(&feeder.to).and_then(|home| members.iter_mut().find(|(own, _)| *own == home));
        if let Some((_, members)) = of {
            members.cranks |= feeder.polarity == Polarity::Positive;
        }
    }
    members.retain(|(_, members)| !members.batteries.is_empty());
    members.into_iter().map(|(_, members)| members).collect()
}

fn bank(
    plan: &Plan,
    members: &Members<'_>,
    used: &HashSet<&CircuitId>,
    findings: &mut Vec<Finding>,
) -> BankReport {
    let about = members.batteries.first().map_or_else(
        || Subject::new(SubjectKind::Job, "job"),
        |(point, _)| Subject::new(SubjectKind::Point, &point.id),
    );
    let used_circuits: Vec<&Circuit> =
        members.circuits.iter().copied().filter(|circuit| used.contains(&circuit.id)).collect();
    say_unknown_loads(plan, &used_circuits, findings);
    let mut say = |said| findings.push(Finding::about(about.clone(), said));
    let not_counted: Vec<CircuitId> = used_circuits
        .iter()
        .filter(|circuit| unknown(plan, circuit).next().is_some())
        .map(|circuit| circuit.id.clone())
        .collect();
    for (charger, _) in members.chargers.iter().filter(|(point, charger)| {
        charger.rating_a.is_none() && plan.modes.iter().any(|mode| mode.charging.contains(&point.id))
    }) {
        say(RuleFinding::missing(say!("the rated current of {}", &charger.id), "what it charges"));
    }
    for (engine, charger) in &members.chargers {
        let runs = |mode: &Mode| mode.rpm.is_some() && mode.charging.contains(&engine.id);
        let is_engine = charger.starter_a.is_some();
        if is_engine && charger.curve.is_empty() && charger.rating_a.is_some() && plan.modes.iter().any(runs)
        {
            let curve = say!("the output curve of {} by engine speed", &engine.id);
            let what = "the output at the speed of a mode, for which the rating is used";
            say(RuleFinding::missing(curve, what));
        }
    }
    let bank = as_bank(plan, members);
    let day: Vec<DayStretch> = plan.modes.iter().map(|mode| stretch(plan, members, mode)).collect();
    let charging: Vec<f64> = day.iter().map(|stretch| stretch.charging.get::<ampere>()).collect();
    let pattern = Pattern { day, days: DAYS, from: Ratio::new::<ratio>(1.0) };
    let outlook = energy::outlook(&bank, &pattern).unwrap_or_else(|bad| {
        say(RuleFinding::new(Code::UsePatternInvalid, say!("{}. Correct the use pattern.", bad.statement())));
        Outlook { by_mode: Vec::new(), daily: uom::ConstZero::ZERO, fares: None, findings: Vec::new() }
    });
    let Outlook { by_mode, daily, fares, findings: said } = outlook;
    if bank.capacity.is_none() && bank.chemistry.is_none() {
        say(RuleFinding::not_checked("the capacity and chemistry of the bank", "its state of charge"));
    } else {
        said.into_iter().for_each(say);
    }
    BankReport {
        batteries: members.batteries.iter().map(|(point, _)| point.id.clone()).collect(),
        name: members.name(),
        chargers: members.chargers.iter().map(|(point, _)| point.id.clone()).collect(),
        capacity_ah: bank.capacity.map(|capacity| capacity.charge.get::<ampere_hour>()),
        daily_ah: daily.get::<ampere_hour>(),
        modes: by_mode
            .into_iter()
            .zip(charging)
            .map(|(mode, charging_a)| ModeCharge {
                hours: mode.lasts.get::<hour>(),
                used_ah: mode.used.get::<ampere_hour>(),
                charging_a,
                mode: mode.mode,
                working: mode.working,
            })
            .collect(),
        not_counted,
        course: fares.map(course),
    }
}

/// Reports each device in use whose load is not known: the bank is judged without it.
fn say_unknown_loads(plan: &Plan, used: &[&Circuit], findings: &mut Vec<Finding>) {
    let devices: BTreeSet<_> =
        used.iter().flat_map(|circuit| unknown(plan, circuit)).map(|device| &device.id).collect();
    for device in devices {
        let said = RuleFinding::missing("the load of this device", "what it draws from the bank");
        findings.push(Finding::about(Subject::new(SubjectKind::Device, device), said));
    }
}

/// The devices of a circuit whose load is not known.
fn unknown<'a>(plan: &'a Plan, circuit: &'a Circuit) -> impl Iterator<Item = &'a Device> {
    circuit.devices().filter_map(|id| plan.device(id)).filter(|device| device.load.is_none())
}

/// The current of a circuit's known loads at nominal voltage.
fn current(plan: &Plan, nominal: ElectricPotential, circuit: &Circuit) -> ElectricCurrent {
    let loads = circuit.devices().filter_map(|id| Some(plan.device(id)?.load?.current_at(nominal)));
    loads.fold(ElectricCurrent::new::<ampere>(0.0), |sum, current| sum + current)
}

fn stretch(plan: &Plan, members: &Members<'_>, mode: &Mode) -> DayStretch {
    let on = mode.on.iter().filter_map(|used| Some((members.circuit(&used.circuit)?, used.share.number())));
    let on: Vec<(&Circuit, f64)> = on.filter(|(_, share)| *share > 0.0).collect();
    let running = members.chargers.iter().filter(|(point, _)| mode.charging.contains(&point.id));
    let gives = running.filter_map(|(_, charger)| charger.gives(mode.rpm));
    DayStretch {
        mode: mode.name.to_string(),
        lasts: mode.hours.quantity(),
        charging: gives.fold(ElectricCurrent::new::<ampere>(0.0), |sum, one| sum + one),
        ..loads(plan, members, &on)
    }
}

/// Circuits that are on for a share of an hour, without any source.
pub(super) fn loads(plan: &Plan, members: &Members<'_>, on: &[(&Circuit, f64)]) -> DayStretch {
    let nominal = nominal_of(plan, members);
    let uses = on.iter().map(|(circuit, share)| LoadUse {
        what: circuit.id.to_string(),
        current: current(plan, nominal, circuit),
        share: Ratio::new::<ratio>(*share),
    });
    let unknown = on.iter().flat_map(|(circuit, _)| {
        unknown(plan, circuit).map(|device| format!("{} of {}", device.id, circuit.id))
    });
    DayStretch {
        mode: String::new(),
        lasts: Time::new::<hour>(1.0),
        uses: uses.collect(),
        unknown: unknown.collect(),
        charging: ElectricCurrent::new::<ampere>(0.0),
    }
}

/// Batteries in parallel as one bank: their capacities add up, and so do their conductances.
pub(super) fn as_bank(plan: &Plan, members: &Members<'_>) -> Bank {
    let batteries = || members.batteries.iter().map(|(_, battery)| *battery);
    let capacity: Option<f64> = batteries().map(|one| Some(one.capacity_ah?.number())).sum();
    let conductance: Option<f64> = batteries().map(|one| Some(1.0 / one.internal()?.get::<ohm>())).sum();
    let internal = conductance.filter(|all| all.is_finite() && *all > 0.0).map(|all| 1.0 / all);
    let chemistry = one_chemistry(batteries());
    let nominal = nominal_of(plan, members);
    Bank {
        capacity: capacity.map(RatedCapacity::over_20_hours),
        chemistry,
        nominal,
        temperature: plan.job.ambient_c.quantity(),
        internal: internal.map(ElectricalResistance::new::<ohm>),
        peukert: worst(batteries().filter_map(|one| one.peukert).map(Peukert::number)),
        floor: worst(batteries().filter_map(|one| one.floor_pct).map(FloorPct::number))
            .map(Ratio::new::<percent>),
        low_voltage: worst(batteries().filter_map(|one| one.low_v).map(SourceV::number))
            .map(ElectricPotential::new::<volt>)
            .or(chemistry.filter(|made_of| made_of.is_lead()).map(|_| end_voltage(nominal))),
        starting: starting(members),
    }
}

/// The nominal voltage of a bank: its own, or that of the job.
pub(super) fn nominal_of(plan: &Plan, members: &Members<'_>) -> ElectricPotential {
    let stated = members.batteries.first().and_then(|(point, _)| point.body.nominal());
    stated.unwrap_or(plan.job.nominal_v).quantity()
}

/// The largest of the values that the manufacturers of a bank's batteries state. That is the most
/// unfavorable exponent, minimum state of charge or low voltage.
fn worst(stated: impl Iterator<Item = f64>) -> Option<f64> {
    stated.reduce(f64::max)
}

/// The chemistry of all batteries of a bank; `None` if they differ, which should not happen in a bank.
fn one_chemistry<'a>(batteries: impl Iterator<Item = &'a Battery>) -> Option<Chemistry> {
    let mut made_of = batteries.map(|battery| battery.chemistry);
    let first = made_of.next()??;
    made_of.all(|other| other == Some(first)).then_some(first)
}

fn starting(members: &Members<'_>) -> Starting {
    // Engines are started one after the other: the largest starter current decides.
    let demands = members.chargers.iter().filter_map(|(_, charger)| charger.starter_a);
    let demand = demands.reduce(|most, next| if next > most { next } else { most });
    if !members.cranks && demand.is_none() {
        return Starting::NotFromBank;
    }
    let ratings = members.batteries.iter().map(|(_, battery)| Some(battery.cranking_a?.number()));
    let rating: Option<f64> = ratings.sum();
    Starting::FromBank {
        demand: demand.map(|demand| demand.quantity()),
        rating: rating.map(ElectricCurrent::new::<ampere>),
    }
}

fn course(fares: energy::Fares) -> CourseReport {
    let course = &fares.course;
    let hours = |time: uom::si::f64::Time| time.get::<hour>();
    let bands = course.bands.iter().map(|band| BandReport {
        mode: band.mode.clone(),
        from_h: hours(band.from),
        to_h: hours(band.to),
    });
    CourseReport {
        curve: curve(&course.samples, &course.lowest),
        full_ah: course.full.get::<ampere_hour>(),
        peukert: course.exponent,
        efficiency: course.efficiency.get::<ratio>(),
        bands: bands.collect(),
        floor_pct: course.floor.get::<percent>(),
        lowest_pct: course.lowest.charge.get::<percent>(),
        lowest_at_h: hours(course.lowest.at),
        end_pct: course.end().get::<percent>(),
        floor_at_h: course.floor_at.map(hours),
        low_voltage_at_h: course.low_voltage_at.map(hours),
        back_to_full_h: course.recovery.map(|recovery| hours(recovery.takes)),
        alone_h: fares.alone.map(hours),
        needed_ah: fares.needed.map(|needed| needed.get::<ampere_hour>()),
        workings: fares.workings,
    }
}

/// The curve: a sample every half hour, plus the lowest one at any time.
fn curve(samples: &[Sample], lowest: &Sample) -> Vec<Moment> {
    let mut due = 0.0;
    let mut curve = Vec::new();
    let mut before: Option<&Sample> = None;
    for sample in samples {
        let at = sample.at.get::<hour>();
        let on_time = at >= due - 1e-9;
        if on_time {
            due = (at / CURVE_HOURS + 1e-9).floor() * CURVE_HOURS + CURVE_HOURS;
        }
        if on_time || sample.at == lowest.at {
            curve.push(Moment {
                hours: at,
                charge_pct: sample.charge.get::<percent>(),
                current_a: sample.current.get::<ampere>(),
                since: before.map(|before| Since::of(before, sample)),
            });
            before = Some(sample);
        }
    }
    curve
}
