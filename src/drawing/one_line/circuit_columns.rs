//! The columns of the circuits at the right: protection, switch, terminal, wire, load, name and devices.

use super::graph::{Graph, GraphNode};
use super::row::{CircuitRow, TEXT, widest};
use crate::drawing::svg::text_width;
use crate::drawing::symbol;

/// The columns of the circuits at the right.
pub(super) struct CircuitColumns {
    pub(super) protection: f64,
    pub(super) switch: f64,
    pub(super) terminal: f64,
    pub(super) wire: f64,
    pub(super) load: f64,
    pub(super) name: f64,
    pub(super) devices: f64,
    pub(super) right: f64,
}

impl CircuitColumns {
    /// The columns that the circuits of a graph need, from a left edge on.
    pub(super) fn of(graph: &Graph<'_>, left: f64) -> Self {
        let rows: Vec<&CircuitRow<'_>> = graph.nodes.iter().filter_map(GraphNode::circuit).collect();
        let most = |of: &dyn Fn(&CircuitRow<'_>) -> Option<f64>| {
            rows.iter().filter_map(|row| of(row)).reduce(f64::max)
        };
        // An unused column takes no space.
        let room = |of: &dyn Fn(&CircuitRow<'_>) -> Option<f64>, least: f64| {
            most(of).map_or(0.0, |width| width.max(least) + 18.0)
        };
        let rating = |row: &CircuitRow<'_>| row.rating.as_ref().map_or(0.0, |text| text_width(text, TEXT));
        let protection = room(&|row| row.circuit.protection.as_ref().map(|_| rating(row)), symbol::WIDTH);
        let switch = room(&|row| Some(widest(row.switch.as_ref()?)), symbol::WIDTH);
        let terminal = room(&|row| Some(text_width(row.junction?, TEXT)), symbol::WIDTH);
        let wire = room(&|row| Some(text_width(row.size.as_ref()?, TEXT)), 40.0);
        let name = most(&|row| Some(widest(&row.name))).unwrap_or_default();
        let devices = most(&|row| Some(row.devices_width())).unwrap_or_default();
        let start = left + 10.0;
        let load = start + protection + switch + terminal + wire + 14.0;
        Self {
            protection: start + protection / 2.0,
            switch: start + protection + switch / 2.0,
            terminal: start + protection + switch + terminal / 2.0,
            wire: start + protection + switch + terminal + wire / 2.0,
            load,
            name: load + 24.0,
            devices: load + 24.0 + name + 18.0,
            right: if rows.is_empty() { 0.0 } else { load + 24.0 + name + 18.0 + devices },
        }
    }
}
