//! All terminals and heat shrink of a job, counted for the order.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::materials::{HeatShrink, Terminals};
use crate::job::value::LocationId;
use crate::trade::conductor::Size;
use crate::web::kit::figure::Figure;
use crate::web::kit::form::capital;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};

/// The count as a piece of a page.
#[derive(Debug, Template)]
#[template(path = "hand/tally.html")]
pub struct TallyPiece {
    terminals: Vec<Row>,
    tubes: Vec<Row>,
    not_chosen: usize,
    missing: String,
}

impl HtmlSafe for TallyPiece {}

/// One line of the count.
#[derive(Debug)]
struct Row {
    location: String,
    what: String,
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
            not_chosen: counted.terminals_not_chosen,
            missing: format!("{}/plan/points", job.href()),
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

fn location(job: &Opened, id: Option<&LocationId>) -> String {
    let name = id.and_then(|id| job.plan.location(id)).map(|location| location.name.to_string());
    name.unwrap_or_else(|| "elsewhere".to_owned())
}
