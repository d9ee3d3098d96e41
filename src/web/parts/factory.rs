//! A factory cable in words and as it is drawn, like a wire's row and page have it.

use super::bench::Bench;
use super::wire_row::WireRow;
use crate::drawing::wire::Wire;
use crate::job::cable::Cable;
use crate::job::plan::Plan;
use crate::job::subject::{Kind, Subject};
use crate::job::value::LocationId;
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Cell;

/// The cable as a drawn piece with these labels on its sleeves. Nobody chooses the color of its jacket.
pub fn drawn(cable: Cable<'_>, labels: [&str; 2]) -> Wire {
    Wire::new("from its manufacturer", cable.made.kind.words(), labels)
}

/// The cable in words: `antenna coax, 6 m`.
pub fn words(cable: Cable<'_>, unit: LengthUnit) -> String {
    format!("{}, {}", cable.made.kind.words(), unit.said(cable.made.length_m.number()))
}

/// Where it runs: `Radar, T-top → Inside the console`.
pub fn way(plan: &Plan, cable: Cable<'_>) -> String {
    let [from, to] = ends(plan, cable);
    format!("{from} \u{2192} {to}")
}

/// What is at each of its ends: its device with its location, and the location it goes to.
pub fn ends(plan: &Plan, cable: Cable<'_>) -> [String; 2] {
    let [from, to] = cable.ends().map(|end| location(plan, end.location));
    [format!("{}, {from}", cable.device.name), to]
}

/// The page of a cable.
pub fn href(job: &Opened, cable: Cable<'_>) -> String {
    format!("{}/cables/{}", job.href(), cable.id())
}

/// A cable as a row of a list of wires.
pub fn row(bench: &Bench<'_>, cable: Cable<'_>) -> WireRow {
    let unit = bench.frame.length_unit();
    let [near, far] = cable.ends().map(|end| end.id);
    WireRow {
        id: format!("Cable of {}", cable.id()),
        href: href(bench.job, cable),
        wire: drawn(cable, [&near, &far]),
        words: cable.made.kind.words().to_owned(),
        way: way(&bench.job.plan, cable),
        role: "factory cable",
        length: Some(Cell::by(cable.id(), "length", Figure::length(cable.made.length_m.number(), unit), [])),
        measured: false,
        state: state(bench, cable),
    }
}

/// What is open on it in the hand, or that nothing is.
fn state(bench: &Bench<'_>, cable: Cable<'_>) -> String {
    let subject = Subject::new(Kind::Cable, cable.id());
    let steps = bench.job.steps.of_subject(&subject).filter(|step| bench.is_open(&step.key));
    let open: Vec<&str> = steps.map(|step| step.key.action.open()).collect();
    if open.is_empty() { "pulled, labeled and tied down".to_owned() } else { open.join(", ") }
}

fn location(plan: &Plan, id: &LocationId) -> String {
    plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string())
}
