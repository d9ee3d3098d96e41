//! The one-line diagram: the positive side of the whole supply, laid out by the program.
//!
//! Sources stand at the left, loads at the right. Each point is an upright bar, each feeder and each
//! circuit one level line, so that a supply without loops is drawn without a crossing. Points stand in
//! layers by their longest way from a source; circuits take a row each at the right, in an order that is
//! improved by barycenters until crossings no longer fall. Returns are left out, as one-line diagrams
//! have it.

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

/// A one-line diagram and what it is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct OneLine {
    /// The drawing.
    pub drawing: Drawing,
    /// Every text with the box it fills, by estimate.
    pub texts: Vec<(String, TextBox)>,
    /// How often a line crosses a bar it does not belong to.
    pub crossings: usize,
}

/// Draws the diagram of a plan. What stands on each wire is asked of `wire`; [`given`] says what the
/// plan itself gives.
pub fn draw(plan: &Plan, wire: &WireText<'_>, address: &PartLink<'_>) -> OneLine {
    let graph = Graph::of(plan);
    let placed = order::best(&graph, wire);
    let crossings = placed.crossings(&graph);
    let (drawing, texts) = draw::drawn(plan, &graph, &placed, wire, address);
    OneLine { drawing, texts, crossings }
}

/// Size and length of a wire as the plan gives them.
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
