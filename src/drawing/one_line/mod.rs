//! The one-line diagram: the positive side of the whole supply, laid out by the program.
//!
//! Sources stand at the left, loads at the right. Each point is an upright bar, each feeder and each
//! circuit one level line, so that a supply without loops is drawn without a crossing. Points stand in
//! layers by their longest way from a source; circuits take a row each at the right, in an order that is
//! improved by barycenters until crossings no longer fall. Returns are left out, as one-line diagrams
//! have it.

mod draw;
mod graph;
mod place;

use super::part::{Address, Part};
use super::svg::{Drawing, TextBox};
use crate::job::plan::Plan;
use crate::job::value::LengthM;
use crate::trade::conductor::Size;
use graph::Graph;
use place::Placed;

/// The size of all text in drawing units: 11 px and more when 40 circuits fill a sheet of A3.
pub const TEXT: f64 = 14.0;

/// Says what stands on the wire of a feeder or circuit: its size and length.
pub type WireText<'a> = dyn Fn(Part<'_>) -> Option<String> + 'a;

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
pub fn draw(plan: &Plan, wire: &WireText<'_>, address: &Address<'_>) -> OneLine {
    let graph = Graph::of(plan);
    let placed = best(&graph, wire);
    let crossings = placed.crossings(&graph);
    let (drawing, texts) = draw::drawn(plan, &graph, &placed, wire, address);
    OneLine { drawing, texts, crossings }
}

/// The order of rows with the fewest crossings that barycenters find.
fn best(graph: &Graph<'_>, wire: &WireText<'_>) -> Placed {
    const SWEEPS: usize = 8;
    let mut order = graph.order();
    let mut best = Placed::new(graph, &order, wire);
    let mut fewest = best.crossings(graph);
    for _ in 0..SWEEPS {
        if fewest == 0 {
            break;
        }
        order = order.by_barycenter(graph, &best);
        let next = Placed::new(graph, &order, wire);
        let crossings = next.crossings(graph);
        if crossings < fewest {
            (best, fewest) = (next, crossings);
        }
    }
    best
}

/// Size and length of a wire as the plan gives them.
pub fn given(plan: &Plan, part: Part<'_>) -> Option<String> {
    match part {
        Part::Feeder(id) => {
            let feeder = plan.feeders.iter().find(|feeder| feeder.id == *id)?;
            Some(size_and_length(feeder.size, feeder.length_m))
        }
        Part::Circuit(id) => {
            let circuit = plan.circuits.iter().find(|circuit| circuit.id == *id)?;
            Some(size_and_length(circuit.size, circuit.length_m))
        }
        Part::Point(_) | Part::Device(_) | Part::Position(..) => None,
    }
}

fn size_and_length(size: Option<Size>, length: Option<LengthM>) -> String {
    let size = size.map_or("size to choose", Size::text);
    length.map_or_else(|| size.to_owned(), |length| format!("{size} \u{b7} {length} m"))
}
