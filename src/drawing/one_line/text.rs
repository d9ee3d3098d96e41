//! The texts of distribution points and feeders.

use super::graph::{Edge, Graph, GraphNode, NodeThing};
use super::row::{TEXT, WireText, WireTexts};
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::wrapped;
use crate::job::point::{Body, Point};

/// The width of the name of a distribution point, and of one with nothing beside it.
const POINT_NAME: f64 = 150.0;
const LONE_POINT_NAME: f64 = 240.0;

/// The texts of a distribution point: its name and its main data.
pub(super) fn point_texts(graph: &Graph<'_>, node: &GraphNode<'_>) -> Vec<String> {
    match &node.what {
        NodeThing::Point(point) => texts_of(point, node.feeds_circuits_only(graph) && !node.is_source()),
        NodeThing::From(point, sheet) => {
            let from = format!("{}, from sheet {}", point.called(), sheet + 1);
            wrapped(&from, TEXT, if node.feeds_circuits_only(graph) { LONE_POINT_NAME } else { POINT_NAME })
        }
        NodeThing::To(what, sheet) => {
            wrapped(&format!("{}, sheet {}", what, sheet + 1), TEXT, LONE_POINT_NAME)
        }
        NodeThing::Circuit(_) => Vec::new(),
    }
}

fn texts_of(point: &Point, is_alone: bool) -> Vec<String> {
    let known = match &point.body {
        Body::Battery(battery) => battery.capacity_ah.map(|capacity| format!("{capacity} Ah")),
        body => body.rating().map(|rating| format!("{rating} A")),
    };
    match known {
        Some(known) if is_alone => wrapped(&format!("{}, {known}", point.called()), TEXT, LONE_POINT_NAME),
        known => wrapped(point.called(), TEXT, POINT_NAME).into_iter().chain(known).collect(),
    }
}

/// The texts above and below a feeder's line.
pub(super) fn feeder_texts(edge: &Edge<'_>, wire: &WireText<'_>) -> Vec<String> {
    let Some(feeder) = edge.feeder else { return Vec::new() };
    let WireTexts { size, rating } = wire(DrawnPart::Feeder(&feeder.id));
    let label = feeder.label_text();
    let over = rating.map_or_else(|| label.to_owned(), |rating| format!("{label} \u{b7} {rating}"));
    vec![over, size.unwrap_or_default()]
}
