//! The one-line diagram: the positive side of the whole supply, with automatic layout.
//!
//! Sources are at the left, loads at the right. Each distribution point is an upright bar, each feeder and each
//! circuit one horizontal line. So a supply without loops is drawn without a crossing.
//!
//! Points are in layers by their longest path from a source. Circuits have a row each at the right. Barycenters
//! improve their order until the number of crossings no longer falls. Negatives are left out, as usual in one-line
//! diagrams.
//!
//! A supply that is too large for one sheet takes several. A line that leaves a sheet says on which one it goes on.

mod circuit_columns;
mod draw;
mod graph;
mod order;
mod place;
mod row;
mod sheets;
mod text;

use super::part::{DrawnPart, PartLink};
use super::svg::{Drawing, TextBox};
use crate::job::plan::{Plan, Protection};
use crate::trade::conductor::Size;
use graph::Graph;

pub use graph::is_drawn;
pub use row::{TEXT, WireText, WireTexts};

/// One sheet of a one-line diagram and data about its layout.
#[derive(Debug, Clone, PartialEq)]
pub struct OneLineSheet {
    /// The drawing.
    pub drawing: Drawing,
    /// Every text with its estimated box.
    pub texts: Vec<(String, TextBox)>,
    /// How often a line crosses a bar that it does not belong to.
    pub crossings: usize,
}

/// Draws the diagram of a plan on as many sheets as it needs, at least one. `wire` returns the texts on each wire;
/// [`given`] returns those of the plan itself.
pub fn draw(plan: &Plan, wire: &WireText<'_>, address: &PartLink<'_>) -> Vec<OneLineSheet> {
    let whole = Graph::of(plan, wire);
    let divided = sheets::divided(&whole, wire);
    let count = divided.len();
    let sheet = |(at, graph): (usize, Graph<'_>)| {
        let placed = order::best(&graph, wire);
        let crossings = placed.crossings(&graph);
        let (drawing, texts) = draw::drawn(plan, &graph, &placed, wire, address, (at + 1, count));
        OneLineSheet { drawing, texts, crossings }
    };
    divided.into_iter().enumerate().map(sheet).collect()
}

/// The size and rating of a wire as in the plan.
pub fn given(plan: &Plan, part: DrawnPart<'_>) -> WireTexts {
    let known = match part {
        DrawnPart::Feeder(id) => plan.feeder(id).map(|feeder| (feeder.size, feeder.protection.as_ref())),
        DrawnPart::Circuit(id) => plan.circuit(id).map(|circuit| (circuit.size, circuit.protection.as_ref())),
        DrawnPart::Point(_) | DrawnPart::Device(_) | DrawnPart::Position(..) => None,
    };
    let Some((size, protection)) = known else { return WireTexts::default() };
    let rating = |own: &Protection| {
        own.rating_a.map_or_else(|| "to choose".to_owned(), |rating| format!("{rating} A"))
    };
    WireTexts {
        size: Some(size.map_or("size to choose", Size::text).to_owned()),
        rating: protection.map(rating),
    }
}
