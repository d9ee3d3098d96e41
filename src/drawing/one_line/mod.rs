//! The one-line diagram: the positive side of the whole supply, with automatic layout.
//!
//! Sources are at the left, loads at the right. Each distribution point is an upright bar, each feeder and each
//! circuit one horizontal line. So a supply without loops is drawn without a crossing.
//!
//! Points are in layers by their longest path from a source. Circuits have a row each at the right. Barycenters
//! improve their order until the number of crossings no longer falls. Negatives are left out, as usual in one-line
//! diagrams.

mod draw;
mod graph;
mod order;
mod place;
mod text;

use super::part::{DrawnPart, PartLink};
use super::svg::{Drawing, TextBox};
use crate::job::plan::Plan;
use crate::job::value::LengthM;
use crate::trade::conductor::Size;
use graph::Graph;

pub use text::{TEXT, WireText};

/// A one-line diagram and data about its layout.
#[derive(Debug, Clone, PartialEq)]
pub struct OneLine {
    /// The drawing.
    pub drawing: Drawing,
    /// Every text with its estimated box.
    pub texts: Vec<(String, TextBox)>,
    /// How often a line crosses a bar that it does not belong to.
    pub crossings: usize,
}

/// Draws the diagram of a plan. `wire` returns the text on each wire; [`given`] returns the data in the plan
/// itself.
pub fn draw(plan: &Plan, wire: &WireText<'_>, address: &PartLink<'_>) -> OneLine {
    let graph = Graph::of(plan);
    let placed = order::best(&graph, wire);
    let crossings = placed.crossings(&graph);
    let (drawing, texts) = draw::drawn(plan, &graph, &placed, wire, address);
    OneLine { drawing, texts, crossings }
}

/// Size and length of a wire as in the plan.
pub fn given(plan: &Plan, part: DrawnPart<'_>) -> Option<String> {
    match part {
        DrawnPart::Feeder(id) => {
            let feeder = plan.feeders.iter().find(|feeder| feeder.id == *id)?;
            Some(size_and_length(feeder.size, feeder.length_m))
        }
        DrawnPart::Circuit(id) => {
            let circuit = plan.circuits.iter().find(|circuit| circuit.id == *id)?;
            Some(size_and_length(circuit.size, circuit.length_m))
        }
        DrawnPart::Point(_) | DrawnPart::Device(_) | DrawnPart::Position(..) => None,
    }
}

fn size_and_length(size: Option<Size>, length: Option<LengthM>) -> String {
    let size = size.map_or("size to choose", Size::text);
    length.map_or_else(|| size.to_owned(), |length| format!("{size} \u{b7} {length} m"))
}
