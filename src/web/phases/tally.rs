//! All terminals, heat shrink and connectors of a job, and its cable to cut, counted for the order.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::materials::{CableToCut, Connectors, HeatShrink, Terminals};
use crate::job::run::PieceId;
use crate::job::value::LocationId;
use crate::trade::conductor::Size;
use crate::trade::say::capital;
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};

/// The count as a piece of a page.
#[derive(Debug, Template)]
#[template(path = "hand/tally.html")]
pub struct TallyPiece {
    terminals: Vec<Row>,
    tubes: Vec<Row>,
    connectors: Vec<Row>,
    cables: Vec<CableRow>,
    not_chosen: usize,
    missing: [String; 2],
}

impl HtmlSafe for TallyPiece {}

/// One line of the count.
#[derive(Debug)]
struct Row {
    location: String,
    what: String,
    how_much: Sentence,
}

/// The cable of one kind.
#[derive(Debug)]
struct CableRow {
    what: String,
    count: usize,
    how_much: Sentence,
}

impl TallyPiece {
    /// The count of a job.
    pub fn of(job: &Opened, unit: LengthUnit) -> Self {
        let counted = &job.report.materials;
        Self {
            terminals: counted.terminals.iter().map(|count| terminal(job, count)).collect(),
            tubes: counted
                .heat_shrink
                .iter()
                .zip(1..)
                .map(|(count, number)| tube(job, count, number, unit))
                .collect(),
            connectors: counted.connectors.iter().map(|count| connector(job, count)).collect(),
            cables: counted.cable_to_cut.iter().map(|count| cable(job, count, unit)).collect(),
            not_chosen: counted.terminals_not_chosen,
            missing: ["points", "devices"].map(|list| format!("{}/plan/{list}", job.href())),
        }
    }
}

fn terminal(job: &Opened, count: &Terminals) -> Row {
    let gauge = count.gauge.map_or_else(String::new, |gauge: Size| format!(" for {gauge}"));
    let (kind, barrel) = (capital(count.kind.words()), count.barrel.words());
    Row {
        location: location(job, count.location.as_ref()),
        what: format!("{kind}, {barrel}{gauge}, {}", count.sits_on),
        how_much: count.count.to_string().into(),
    }
}

fn tube(job: &Opened, count: &HeatShrink, number: usize, unit: LengthUnit) -> Row {
    Row {
        location: location(job, count.location.as_ref()),
        what: format!("{} mm before it shrinks, {} pieces", count.diameter_mm, count.pieces),
        how_much: Sentence::default().figure(Cell::by(
            &format!("Tube {number}"),
            "length",
            Figure::length(count.length_m, unit),
            [count.working.clone()],
        )),
    }
}

fn connector(job: &Opened, count: &Connectors) -> Row {
    Row {
        location: location(job, count.location.as_ref()),
        what: count.name.to_string(),
        how_much: count.count.to_string().into(),
    }
}

/// The length of a kind of cable, and the cables that it does not count.
fn cable(job: &Opened, count: &CableToCut, unit: LengthUnit) -> CableRow {
    let label = |id: &PieceId| job.pieces().get(id.as_str()).map(|piece| piece.label().to_owned());
    let unknown: Vec<String> = count.unmeasured.iter().filter_map(label).collect();
    let unknown = (!unknown.is_empty()).then(|| format!("length not known: {}", unknown.join(", ")));
    let known = (count.unmeasured.len() < count.cables).then(|| {
        let value = Figure::length(count.length_m, unit);
        Cell::by(count.kind.words(), "length to cut", value, [count.working.clone()])
    });
    let how_much = match (known, unknown) {
        (Some(cell), Some(unknown)) => Sentence::default().figure(cell).words(format!("; {unknown}")),
        (Some(cell), None) => Sentence::default().figure(cell),
        (None, unknown) => unknown.unwrap_or_default().into(),
    };
    CableRow { what: capital(count.kind.words()), count: count.cables, how_much }
}

fn location(job: &Opened, id: Option<&LocationId>) -> String {
    let name = id.and_then(|id| job.plan.location(id)).map(|location| location.name.to_string());
    name.unwrap_or_else(|| "elsewhere".to_owned())
}
