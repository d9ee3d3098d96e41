//! The sources, and what hangs on them: their voltage, the ways to them, what opens first between them and a
//! circuit.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricCurrent;

use super::desk::Desk;
use super::report::Report;
use crate::job::network::Wired;
use crate::job::point::Body;
use crate::job::subject::{Kind as Thing, Subject};
use crate::job::value::FeederId;
use crate::trade::coordination;
use crate::trade::finding::{Code, Finding};
use crate::trade::network::Part;
use crate::trade::source::NOMINAL_VOLTAGE;
use crate::trade::working::{Working, figure, keeps_to};

/// Shares of nominal voltage between which a battery at rest stands, and up to which it is charged.
const BATTERY_UNDER_NOMINAL: f64 = 0.9;
const BATTERY_OVER_NOMINAL: f64 = 1.2;
const CHARGER_OVER_NOMINAL: f64 = 1.35;

/// What is judged without the network being solved: whether every circuit is fed, and what opens first.
pub(super) fn check(desk: &mut Desk<'_>, report: &Report) {
    say_not_nominal(desk);
    say_unfed(desk);
    say_order_of_opening(desk, report);
}

fn say_unfed(desk: &mut Desk<'_>) {
    for circuit in &desk.plan.circuits {
        let subject = Subject::new(Thing::Circuit, &circuit.id);
        let (to, back) = (desk.ways_to(&circuit.from), desk.ways_back(&circuit.r#return));
        let fed = to.is_some_and(|ways| ways.source.is_some());
        let returned = back.is_some_and(|ways| ways.source.is_some());
        if !fed {
            let text = format!("no feeder leads from a battery to {}, where it is fed from", circuit.from);
            desk.say(subject.clone(), Finding::new(Code::Unfed, text));
        }
        if !returned {
            let text = format!(
                "no feeder leads from {}, where its return lands, back to a battery",
                circuit.r#return
            );
            desk.say(subject, Finding::new(Code::NoReturn, text));
        }
    }
}

/// Says which source does not give the boat's voltage.
fn say_not_nominal(desk: &mut Desk<'_>) {
    let nominal = desk.nominal().get::<volt>();
    for point in &desk.plan.points {
        let (volts, most) = match &point.body {
            Body::Battery(battery) => (battery.open_circuit_v.number(), BATTERY_OVER_NOMINAL),
            Body::Charger(charger) => (charger.open_circuit_v.number(), CHARGER_OVER_NOMINAL),
            _ => continue,
        };
        let (least, most) = (BATTERY_UNDER_NOMINAL * nominal, most * nominal);
        if keeps_to(least, volts) && keeps_to(volts, most) {
            continue;
        }
        let text = format!(
            "{} V is not what a boat of {} V has, {} to {} V: correct the one or the other",
            figure(volts),
            figure(nominal),
            figure(least),
            figure(most)
        );
        let working = Working {
            what: "voltage of the source",
            formula: "open-circuit voltage against nominal voltage",
            numbers: format!("{} V / {} V", figure(volts), figure(nominal)),
            result: format!("{} %", figure(100.0 * volts / nominal)),
            source: &NOMINAL_VOLTAGE,
        };
        let finding = Finding::new(Code::SourceNotNominal, text).against(volts, most, "V").working(working);
        desk.say(Subject::new(Thing::Point, &point.id), finding);
    }
}

/// Says which batteries feed others with everything off: tied together, they stand at unlike voltages.
pub(super) fn say_tied(desk: &mut Desk<'_>, wired: &Wired<'_>) {
    let Ok(rest) = wired.solve(|_| false) else { return };
    for circulating in rest.solution().circulating() {
        let names = |parts: &[Part]| {
            let sources = parts.iter().filter_map(|part| wired.source(*part));
            sources.map(|id| id.to_string()).collect::<Vec<_>>()
        };
        let (giving, taking) = (names(&circulating.giving), names(&circulating.taking));
        let amperes = circulating.current.get::<ampere>();
        for battery in &taking {
            let text = format!(
                "with everything off {} feeds it, {} A in all: they are tied together at unlike voltages. Part them \
                    by a switch or a relay, or fit batteries that are alike",
                giving.join(" and "),
                figure(amperes)
            );
            desk.say(Subject::new(Thing::Point, battery), Finding::new(Code::BatteriesTied, text));
        }
    }
}

/// The protection of each circuit and feeder beside the smallest of the nearest before it, of every way to it.
fn say_order_of_opening(desk: &mut Desk<'_>, report: &Report) {
    let of_circuit = |id| report.circuits.get(id)?.protection.as_ref()?.rating_a;
    let circuits =
        desk.plan.circuits.iter().map(|circuit| {
            (Subject::new(Thing::Circuit, &circuit.id), &circuit.from, of_circuit(&circuit.id))
        });
    // Behind a charger's fuse there is the charger alone.
    let feeders = desk.plan.feeders.iter().filter(|feeder| desk.power_end(feeder) == &feeder.from);
    let feeders = feeders
        .map(|feeder| (Subject::new(Thing::Feeder, &feeder.id), &feeder.from, rating(report, &feeder.id)));
    let mut said = Vec::new();
    for (subject, from, branch) in circuits.chain(feeders) {
        let nearest = desk.nearest_before(from, |feeder| rating(report, &feeder.id));
        let feeder = nearest.into_iter().flatten().reduce(f64::min);
        if let (Some(feeder), Some(branch)) = (feeder, branch) {
            let [feeder, branch] = [feeder, branch].map(ElectricCurrent::new::<ampere>);
            said.push((subject, coordination::judge(Some(feeder), Some(branch))));
        }
    }
    for (subject, said) in said {
        desk.say_all(&subject, said);
    }
}

fn rating(report: &Report, feeder: &FeederId) -> Option<f64> {
    report.feeders.get(feeder)?.protection.as_ref()?.rating_a
}
