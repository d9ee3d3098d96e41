//! Ignition protection where gasoline or propane vapor can gather.

use std::collections::BTreeSet;

use crate::job::check::context::CheckContext;
use crate::job::plan::{Boat, Engine, Fuel, Location, Protection, Vapor};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{LocationId, PointId};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, say};
use crate::trade::source::CFR_410;
use crate::trade::working::Working;

/// 33 CFR 183.410 (a), read: an electrical component must not ignite a propane and air mixture, or must be
/// isolated from sources of gasoline. On boats outside that law it is good practice. Propane needs the same.
pub(super) fn check(context: &mut CheckContext<'_>) {
    let aboard = aboard(&context.plan.boat);
    if aboard == Some(false) {
        return;
    }
    if aboard.is_none() {
        let missing = RuleFinding::missing("the fuel and whether propane is aboard", NEEDED_FOR);
        context.say(Subject::new(SubjectKind::Job, "job"), missing);
    }
    let parts = parts(context);
    say_unknown_locations(context, &parts);
    for part in parts {
        let location = context.plan.location(part.location);
        if location.and_then(|location| gathers(&context.plan.boat, location)) == Some(true) {
            context.say_all(&part.subject, judge(&part));
        }
    }
}

const NEEDED_FOR: &str = "which parts must be ignition protected";

/// Whether gasoline or propane is aboard; `None` if it is not known.
fn aboard(boat: &Boat) -> Option<bool> {
    let gasoline = boat.fuel.map(|fuel| fuel == Fuel::Gasoline);
    match (gasoline, boat.propane) {
        (Some(true), _) | (_, Some(true)) => Some(true),
        (Some(false), Some(false)) => Some(false),
        _ => None,
    }
}

/// Whether vapor can gather at a location. In the engine space of an inboard gasoline engine it can, unless the
/// plan says that the space is open.
fn gathers(boat: &Boat, location: &Location) -> Option<bool> {
    let by_engine =
        location.engine_space && boat.fuel == Some(Fuel::Gasoline) && boat.engine != Some(Engine::Outboard);
    location.vapor.map(|vapor| vapor == Vapor::Gathers).or(by_engine.then_some(true))
}

/// A part, or the fuse or breaker of a conductor, that can make a spark.
struct SparkingPart<'a> {
    subject: Subject,
    location: &'a LocationId,
    /// Whether it is marked as ignition protected.
    marked: Option<bool>,
    /// The part as the sentence names it.
    what: &'static str,
}

/// Everything that can make a spark. A battery cannot: its posts are covered.
fn parts<'a>(context: &CheckContext<'a>) -> Vec<SparkingPart<'a>> {
    let devices = context.plan.devices.iter().map(|device| SparkingPart {
        subject: Subject::new(SubjectKind::Device, &device.id),
        location: &device.location,
        marked: device.ignition_protected,
        what: "It",
    });
    let points = context.plan.points.iter().filter(|point| point.body.kind() != PointKind::Battery);
    let points = points.map(|point| SparkingPart {
        subject: Subject::new(SubjectKind::Point, &point.id),
        location: &point.location,
        marked: point.ignition_protected,
        what: "It",
    });
    let of_circuits = context.plan.circuits.iter().filter_map(|circuit| {
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        fuse(context, subject, &circuit.from, circuit.protection.as_ref())
    });
    let of_feeders = context.plan.feeders.iter().filter_map(|feeder| {
        let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
        fuse(context, subject, context.power_end(feeder), feeder.protection.as_ref())
    });
    devices.chain(points).chain(of_circuits).chain(of_feeders).collect()
}

/// The fuse or breaker of a conductor, at its source. One in a block or a panel is part of that.
fn fuse<'a>(
    context: &CheckContext<'a>,
    subject: Subject,
    source: &PointId,
    fitted: Option<&Protection>,
) -> Option<SparkingPart<'a>> {
    let point = context.point(source)?;
    let in_block = matches!(point.body.kind(), PointKind::FuseBlock | PointKind::SwitchPanel);
    let fitted = fitted.filter(|_| !in_block)?;
    let what = "Its fuse or breaker";
    Some(SparkingPart { subject, location: &point.location, marked: fitted.ignition_protected, what })
}

/// Reports the locations of parts where it is not known whether vapor can gather.
fn say_unknown_locations(context: &mut CheckContext<'_>, parts: &[SparkingPart<'_>]) {
    let used: BTreeSet<&LocationId> = parts.iter().map(|part| part.location).collect();
    let plan = context.plan;
    let is_unknown =
        |location: &&Location| used.contains(&location.id) && gathers(&plan.boat, location).is_none();
    let unknown: Vec<&LocationId> =
        plan.locations.iter().filter(is_unknown).map(|location| &location.id).collect();
    if !unknown.is_empty() {
        let what = say!("whether gasoline or propane vapor can gather at {}", Part::all(unknown));
        let missing = RuleFinding::missing(what, NEEDED_FOR);
        context.say(Subject::new(SubjectKind::Job, "job"), missing);
    }
}

fn judge(part: &SparkingPart<'_>) -> Option<RuleFinding> {
    let (code, text) = match part.marked {
        Some(true) => return None,
        Some(false) => (
            Code::NotIgnitionProtected,
            say!(
                "{} is not ignition protected, and vapor can gather at {}. A spark can explode it. Move it out of there, or \
                 fit one with the mark.",
                part.what,
                part.location
            ),
        ),
        None => (
            Code::IgnitionProtectionUnknown,
            say!(
                "Vapor can gather at {}. {} must be ignition protected there. Read the mark on the part and enter it.",
                part.location,
                part.what
            ),
        ),
    };
    let working = Working {
        what: Quantity::IgnitionProtection,
        formula: "marked as ignition protected, or isolated from sources of fuel",
        numbers: if part.marked.is_some() { "not marked" } else { "not entered" }.into(),
        result: "not shown".into(),
        source: &CFR_410,
    };
    Some(RuleFinding::new(code, text).working(working))
}
