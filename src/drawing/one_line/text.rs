//! The texts on the diagram and their size.

use super::graph::{Edge, Graph, GraphNode, NodeThing};
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::{fitted, text_width};
use crate::job::point::Body;

/// The size of all text in drawing units: 11 px and more when 40 circuits fill a sheet of A3.
pub const TEXT: f64 = 14.0;

/// Returns the text on the wire of a feeder or circuit: its size and length.
pub type WireText<'a> = dyn Fn(DrawnPart<'_>) -> Option<String> + 'a;

/// The maximum width of a name.
const LONGEST: f64 = 150.0;

/// The maximum width of a name with nothing beside it.
const ALONE: f64 = 240.0;

/// The texts of a distribution point: its name and its main data.
pub(super) fn point_texts(graph: &Graph<'_>, node: &GraphNode<'_>) -> Vec<String> {
    let NodeThing::Point(point) = node.what else { return Vec::new() };
    let one_line = node.feeds_circuits_only(graph) && !node.is_source();
    let name = fitted(point.called(), TEXT, if one_line { ALONE } else { LONGEST });
    let known = match &point.body {
        Body::Battery(battery) => battery.capacity_ah.map(|capacity| format!("{capacity} Ah")),
        body => body.rating().map(|rating| format!("{rating} A")),
    };
    match known {
        Some(known) if one_line => vec![format!("{name}, {known}")],
        known => std::iter::once(name).chain(known).collect(),
    }
}

pub(super) fn widest(texts: &[String]) -> f64 {
    texts.iter().map(|text| text_width(text, TEXT)).fold(0.0, f64::max)
}

/// The texts above and below a feeder's line.
pub(super) fn feeder_texts(edge: &Edge<'_>, wire: &WireText<'_>) -> Vec<String> {
    let Some(feeder) = edge.feeder else { return Vec::new() };
    let rating = feeder.protection.as_ref().map(|protection| {
        protection.rating_a.map_or_else(|| "rating to choose".to_owned(), |rating| format!("{rating} A"))
    });
    let label = feeder.label_text();
    let over = rating.map_or_else(|| label.to_owned(), |rating| format!("{label} \u{b7} {rating}"));
    vec![over, wire(DrawnPart::Feeder(&feeder.id)).unwrap_or_default()]
}
