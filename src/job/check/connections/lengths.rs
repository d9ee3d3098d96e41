//! Entered lengths that cannot be right: nothing, or far less than from one location to the other.

use foldhash::{HashMap, HashSet};
use uom::si::length::meter;

use crate::job::check::context::CheckContext;
use crate::job::check::report::Report;
use crate::job::conductor::{Landing, Of};
use crate::job::layout::straight;
use crate::job::plan::Spot;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::LocationId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::meters;
use crate::trade::working::keeps_to;

/// The share of the straight distance under which a length is implausible: positions on a drawing are rough.
const LEAST_OF_STRAIGHT: f64 = 0.8;

/// An entered length, and the two locations that it must reach.
struct Entered<'a> {
    subject: Subject,
    length: f64,
    between: [&'a LocationId; 2],
    /// Whether a route is known; the check of routes then compares with it.
    is_routed: bool,
}

/// A wire is no shorter than the straight distance between its ends, and none between two locations has no
/// length. Geometry, no source.
pub(super) fn check(context: &mut CheckContext<'_>, report: &Report) {
    let spots: HashMap<&LocationId, &Spot> = context
        .plan
        .locations
        .iter()
        .filter_map(|location| Some((&location.id, location.at.as_ref()?)))
        .collect();
    let entered = of_wires(context, report).into_iter().chain(of_circuits(context, report));
    let found: Vec<_> =
        entered.filter_map(|entered| Some((entered.subject.clone(), judge(&entered, &spots)?))).collect();
    let mut said = HashSet::default();
    for (subject, finding) in found {
        if said.insert(subject.clone()) {
            context.say(subject, finding);
        }
    }
}

/// The lengths that were entered for feeders and single conductors.
fn of_wires<'a>(context: &CheckContext<'a>, report: &Report) -> Vec<Entered<'a>> {
    let routed = routed(report);
    let entered = context.conductors.all().iter().filter(|conductor| conductor.measured && conductor.pulled);
    let entered = entered.filter_map(|conductor| {
        let subject = match &conductor.of {
            Of::Feeder(_) => conductor.of.subject(),
            Of::Circuit(_) => Subject::new(SubjectKind::Conductor, &conductor.id),
        };
        Some(Entered {
            subject,
            length: conductor.length?.get::<meter>(),
            between: [location(context, &conductor.from)?, location(context, &conductor.to)?],
            is_routed: routed.contains(conductor.id.as_str()),
        })
    });
    entered.collect()
}

/// The lengths that were entered for circuits, to each of their devices.
fn of_circuits<'a>(context: &CheckContext<'a>, report: &Report) -> Vec<Entered<'a>> {
    let routed = routed(report);
    let circuits = context.plan.circuits.iter().filter_map(|circuit| Some((circuit, circuit.length_m?)));
    let entered = circuits.flat_map(|(circuit, length)| {
        let wires = context.conductors.of_circuit(&circuit.id);
        let is_routed = wires.iter().any(|wire| routed.contains(wire.id.as_str()));
        let from = context.point(&circuit.from).map(|point| &point.location);
        circuit.devices().filter_map(move |device| {
            Some(Entered {
                subject: Subject::new(SubjectKind::Circuit, &circuit.id),
                length: length.number(),
                between: [from?, &context.device(device)?.location],
                is_routed,
            })
        })
    });
    entered.collect()
}

/// The wires with a route of known length.
fn routed(report: &Report) -> HashSet<&str> {
    let runs = report.routes.of_wires().filter(|(_, run)| run.cut.is_some());
    runs.flat_map(|(_, run)| run.conductors.iter().map(|id| id.as_str())).collect()
}

fn location<'a>(context: &CheckContext<'a>, at: &Landing) -> Option<&'a LocationId> {
    match at {
        Landing::Point { id, .. } => context.point(id).map(|point| &point.location),
        Landing::Device(id) => context.device(id).map(|device| &device.location),
    }
}

fn judge(entered: &Entered<'_>, spots: &HashMap<&LocationId, &Spot>) -> Option<RuleFinding> {
    let [one, other] = entered.between;
    let distance = || Some(straight(spots.get(one)?, spots.get(other)?));
    let distance = (one != other).then(distance)?;
    let is_short =
        |distance: f64| !entered.is_routed && !keeps_to(LEAST_OF_STRAIGHT * distance, entered.length);
    if entered.length > 0.0 && !distance.is_some_and(is_short) {
        return None;
    }
    let length = meters(entered.length);
    Some(match distance {
        Some(distance) => {
            let text = say!(
                "Its length is {}; {} and {} are {} apart in a straight line. Measure it again.",
                length,
                one,
                other,
                meters(distance)
            );
            RuleFinding::new(Code::LengthImplausible, text).against(entered.length, distance, "m")
        }
        None => {
            let text = say!("Its length is {}, but it joins {} and {}. Measure it.", length, one, other);
            RuleFinding::new(Code::LengthImplausible, text)
        }
    })
}
