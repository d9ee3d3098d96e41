//! The total drop, battery to device, in the boat's real modes.
//!
//! A circuit is judged in the modes in which it is on. A circuit that is on in no mode is judged with every
//! circuit on. The limits add what a feeder and a circuit may lose: 3 % + 3 % for critical devices, 3 % + 10 % for
//! others. A device may state the least voltage that it needs.

use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;
use uom::si::ratio::percent;

use super::context::CheckContext;
use super::remedy;
use super::report::{By, Report};
use super::solved::loads_are_known;
use crate::job::modes::{ModesReport, SolvedState, StateOf};
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::DeviceId;
use crate::trade::drop::{CRITICAL_PERCENT, total_limit};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Statement, say};
use crate::trade::source::TOTAL_DROP;
use crate::trade::units::{percent as percent_of, volts};
use crate::trade::working::{Working, figure, keeps_to};

pub(super) fn check(context: &mut CheckContext<'_>, report: &Report, modes: &ModesReport) {
    for circuit in &context.plan.circuits {
        let found = arrivals(context, circuit, modes);
        let said: Vec<_> = worst_total(context, report, circuit, &found)
            .into_iter()
            .chain(least_volts(context, circuit, &found))
            .collect();
        context.say_all(&Subject::new(SubjectKind::Circuit, &circuit.id), said);
    }
}

/// What arrives at a device in one state.
pub(super) struct Arrival<'m> {
    pub(super) state: &'m SolvedState,
    pub(super) device: &'m DeviceId,
    posts: f64,
    pub(super) volts: f64,
    /// The total drop in percent of nominal voltage.
    share: f64,
    is_critical: bool,
}

impl Arrival<'_> {
    /// Its total drop as a share of the limit.
    pub(super) fn strain(&self) -> f64 {
        self.share / self.limit()
    }

    fn limit(&self) -> f64 {
        total_limit(self.is_critical).get::<percent>()
    }

    fn working(&self) -> Working {
        Working {
            what: Quantity::SolvedDropFromBattery,
            formula: "volts at the battery's posts less volts at the device, conductors warm",
            numbers: format!("{} V - {} V in '{}'", figure(self.posts), figure(self.volts), self.state.name)
                .into(),
            result: format!("{} V ({} %)", figure(self.posts - self.volts), figure(self.share)).into(),
            source: &TOTAL_DROP,
        }
    }
}

/// What arrives at the devices of a circuit in each state that counts for it. Nothing is known where a load is
/// not.
pub(super) fn arrivals<'m>(
    context: &CheckContext<'_>,
    circuit: &Circuit,
    modes: &'m ModesReport,
) -> Vec<Arrival<'m>> {
    let battery = context.ways_to(&circuit.from).and_then(|ways| ways.source);
    let Some(battery) = battery.filter(|_| loads_are_known(context, circuit)) else { return Vec::new() };
    let nominal = context.sides().of_circuit(circuit).get::<volt>();
    let of_state = |state: &'m SolvedState| {
        let (posts, devices) = (*state.volts.get(battery)?, state.devices.get(&circuit.id)?);
        Some(devices.iter().map(move |(device, volts)| Arrival {
            state,
            device,
            posts,
            volts: *volts,
            share: 100.0 * (posts - volts) / nominal,
            is_critical: context.is_critical(device),
        }))
    };
    let of = |is_meant: fn(&StateOf) -> bool| -> Vec<_> {
        modes.states.iter().filter(|state| is_meant(&state.of)).filter_map(of_state).flatten().collect()
    };
    let in_modes = of(|state| matches!(state, StateOf::Mode { .. }));
    if in_modes.is_empty() { of(|state| *state == StateOf::AllOn) } else { in_modes }
}

/// The finding about the device whose total drop is farthest over its limit or nearest to it.
fn worst_total(
    context: &CheckContext<'_>,
    report: &Report,
    circuit: &Circuit,
    found: &[Arrival<'_>],
) -> Option<RuleFinding> {
    let worst = |of: &dyn Fn(&Arrival<'_>) -> bool| {
        found
            .iter()
            .filter(|arrival| of(arrival))
            .max_by(|one, other| one.strain().total_cmp(&other.strain()))
    };
    let over = worst(&|arrival| !keeps_to(arrival.share, arrival.limit()));
    let noted = || worst(&|arrival| arrival.is_critical && !keeps_to(arrival.share, CRITICAL_PERCENT));
    let (arrival, code, limit) = match over {
        Some(over) => (over, Code::TotalDrop, over.limit()),
        None => (noted()?, Code::TotalDropNoted, CRITICAL_PERCENT),
    };
    let text = say!(
        "{}: the total drop, battery to {}, is {}; {} is {}.",
        arrival.state.name.clone(),
        arrival.device,
        percent_of(arrival.share).beside(limit),
        if code == Code::TotalDrop { "the limit" } else { "good practice" },
        percent_of(limit)
    );
    let text = text.then(remedy(context, report, circuit, (code, arrival.share, limit)));
    Some(RuleFinding::new(code, text).against(arrival.share, limit, "%").working(arrival.working()))
}

/// Where the program chose sizes on the path, none of them keeps the limit. So it says what would.
fn remedy(
    context: &CheckContext<'_>,
    report: &Report,
    circuit: &Circuit,
    (code, share, limit): (Code, f64, f64),
) -> Statement {
    let chosen = chosen_on_the_way(context, report, circuit);
    if chosen.is_empty() || code != Code::TotalDrop {
        return say!("Use thicker or shorter conductors, its feeders first.");
    }
    let unmet = context.needed.unmet(&Subject::new(SubjectKind::Circuit, &circuit.id), code);
    let least = unmet.unwrap_or(share);
    remedy::of_total_drop(chosen, least, limit)
}

/// The devices that get less than the voltage they need.
fn least_volts(context: &CheckContext<'_>, circuit: &Circuit, found: &[Arrival<'_>]) -> Vec<RuleFinding> {
    let mut lowest: Vec<&Arrival<'_>> = Vec::new();
    for arrival in found {
        match lowest.iter_mut().find(|other| other.device == arrival.device) {
            Some(other) if arrival.volts < other.volts => *other = arrival,
            Some(_) => {}
            None => lowest.push(arrival),
        }
    }
    let under = lowest.into_iter().filter_map(|arrival| {
        let least = context.device(arrival.device)?.least_v?.number();
        let unmet =
            context.needed.unmet(&Subject::new(SubjectKind::Circuit, &circuit.id), Code::UnderLeastVolts);
        (!keeps_to(least, arrival.volts)).then(|| under_least(arrival, least, unmet))
    });
    under.collect()
}

fn under_least(arrival: &Arrival<'_>, least: f64, unmet: Option<f64>) -> RuleFinding {
    let text = say!(
        "{}: {} gets {}; it needs {}.",
        arrival.state.name.clone(),
        arrival.device,
        volts(arrival.volts).beside(least),
        volts(least)
    );
    let remedy = match unmet {
        Some(most) => {
            remedy::of_least_volts([arrival.posts, most, least].map(ElectricPotential::new::<volt>))
        }
        None => say!("Use thicker or shorter conductors, its feeders too."),
    };
    RuleFinding::new(Code::UnderLeastVolts, text.then(remedy))
        .against(arrival.volts, least, "V")
        .working(arrival.working())
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
