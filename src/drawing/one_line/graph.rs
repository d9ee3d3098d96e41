//! The supply as a graph: distribution points and circuits, the feeders between them, layers and orders.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use super::row::{CircuitRow, WireText};
use crate::job::plan::{Feeder, Plan, Polarity};
use crate::job::point::{Body, Point, PointKind};
use crate::job::value::PointId;

/// What a node represents.
#[derive(Debug, Clone)]
pub(super) enum NodeThing<'a> {
    /// A distribution point.
    Point(&'a Point),
    /// A circuit, at the right end.
    Circuit(Rc<CircuitRow<'a>>),
    /// A distribution point of another sheet that feeds something on this one.
    From(&'a Point, usize),
    /// Where a line goes on: the name of what it feeds, and its sheet.
    To(String, usize),
}

/// A node with its edges.
#[derive(Debug, Clone)]
pub(super) struct GraphNode<'a> {
    pub(super) what: NodeThing<'a>,
    pub(super) layer: usize,
    pub(super) into: Vec<usize>,
    pub(super) out: Vec<usize>,
}

impl<'a> GraphNode<'a> {
    pub(super) fn kind(&self) -> Option<PointKind> {
        match self.what {
            NodeThing::Point(point) => Some(point.body.kind()),
            NodeThing::Circuit(_) | NodeThing::From(..) | NodeThing::To(..) => None,
        }
    }

    pub(super) fn circuit(&self) -> Option<&CircuitRow<'a>> {
        match &self.what {
            NodeThing::Circuit(row) => Some(row),
            _ => None,
        }
    }

    /// Whether it has a bar of its own.
    pub(super) fn has_bar(&self) -> bool {
        matches!(self.what, NodeThing::Point(_) | NodeThing::From(..))
    }

    /// Whether it is only a bar, with its name above.
    pub(super) fn is_bar(&self) -> bool {
        self.has_bar() && !self.is_source()
    }

    pub(super) fn is_source(&self) -> bool {
        self.kind().is_some_and(PointKind::is_source)
    }

    /// Whether it is a source that is fed and feeds nothing: an engine at the end of its cranking cable.
    pub(super) fn is_fed_end(&self) -> bool {
        self.is_source() && self.out.is_empty() && !self.into.is_empty()
    }

    /// Whether it feeds only circuits, so that nothing else is to the right of its name.
    pub(super) fn feeds_circuits_only(&self, graph: &Graph<'_>) -> bool {
        let is_circuit = |edge: &usize| graph.nodes[graph.edges[*edge].to].circuit().is_some();
        self.out.iter().all(is_circuit)
    }

    /// Whether it is a source that is fed and also feeds: a battery with its charger.
    pub(super) fn is_fed_source(&self) -> bool {
        self.is_source() && !self.out.is_empty() && !self.into.is_empty()
    }
}

/// A horizontal line: a feeder, or the beginning of a circuit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge<'a> {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) feeder: Option<&'a Feeder>,
}

/// Distribution points, circuits and the lines between them. Every edge leads to a later layer.
#[derive(Debug, Clone, Default)]
pub(super) struct Graph<'a> {
    pub(super) nodes: Vec<GraphNode<'a>>,
    pub(super) edges: Vec<Edge<'a>>,
}

impl<'a> Graph<'a> {
    /// The positive side of a plan. Feeders and circuits without an end are left out.
    pub(super) fn of(plan: &'a Plan, wire: &WireText<'_>) -> Self {
        let mut graph = Self::default();
        let mut index = HashMap::new();
        let used = used_points(plan);
        for point in plan.points.iter().filter(|point| is_on_positive_side(&used, point)) {
            index.insert(&point.id, graph.add(NodeThing::Point(point)));
        }
        for feeder in plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive) {
            if let (Some(from), Some(to)) = (index.get(&feeder.from), index.get(&feeder.to)) {
                graph.join(Edge { from: *from, to: *to, feeder: Some(feeder) });
            }
        }
        for circuit in &plan.circuits {
            if let Some(from) = index.get(&circuit.from) {
                let to = graph.add(NodeThing::Circuit(Rc::new(CircuitRow::of(plan, circuit, wire))));
                graph.join(Edge { from: *from, to, feeder: None });
            }
        }
        graph.open_loops();
        graph.layer();
        graph
    }

    pub(super) fn add(&mut self, what: NodeThing<'a>) -> usize {
        self.nodes.push(GraphNode { what, layer: 0, into: Vec::new(), out: Vec::new() });
        self.nodes.len() - 1
    }

    pub(super) fn join(&mut self, edge: Edge<'a>) {
        if edge.from != edge.to {
            self.nodes[edge.from].out.push(self.edges.len());
            self.nodes[edge.to].into.push(self.edges.len());
            self.edges.push(edge);
        }
    }

    /// Reverses each edge that closes a loop, because layers need a graph without loops.
    fn open_loops(&mut self) {
        let mut seen = vec![false; self.nodes.len()];
        for start in self.by_source_first() {
            self.turn_back_edges(start, &mut seen);
        }
        for node in &mut self.nodes {
            node.into.clear();
            node.out.clear();
        }
        for (at, edge) in self.edges.iter().enumerate() {
            self.nodes[edge.from].out.push(at);
            self.nodes[edge.to].into.push(at);
        }
    }

    fn by_source_first(&self) -> Vec<usize> {
        let mut starts: Vec<usize> = (0..self.nodes.len()).collect();
        starts.sort_by_key(|at| (!self.nodes[*at].into.is_empty(), !self.nodes[*at].is_source()));
        starts
    }

    /// Searches in depth without recursion. An edge to a node that is still open closes a loop.
    fn turn_back_edges(&mut self, start: usize, seen: &mut [bool]) {
        if seen[start] {
            return;
        }
        seen[start] = true;
        let mut open = vec![(start, 0)];
        while let Some((node, next)) = open.pop() {
            let Some(edge) = self.nodes[node].out.get(next).copied() else { continue };
            open.push((node, next + 1));
            let to = self.edges[edge].to;
            if !seen[to] {
                seen[to] = true;
                open.push((to, 0));
            } else if open.iter().any(|(at, _)| *at == to) {
                let turned = &mut self.edges[edge];
                (turned.from, turned.to) = (turned.to, turned.from);
            }
        }
    }

    /// Sets the layers by the longest path from a source. A source is directly before the first point that it
    /// feeds.
    pub(super) fn layer(&mut self) {
        let mut waits: Vec<usize> = self.nodes.iter().map(|node| node.into.len()).collect();
        let mut ready: Vec<usize> = (0..waits.len()).filter(|at| waits[*at] == 0).collect();
        while let Some(node) = ready.pop() {
            for edge in self.nodes[node].out.clone() {
                let to = self.edges[edge].to;
                self.nodes[to].layer = self.nodes[to].layer.max(self.nodes[node].layer + 1);
                waits[to] -= 1;
                if waits[to] == 0 {
                    ready.push(to);
                }
            }
        }
        let points = self.nodes.iter().filter(|node| node.circuit().is_none()).map(|node| node.layer);
        let last = points.max().map_or(0, |deepest| deepest + 1);
        let circuits = self.nodes.iter_mut().filter(|node| node.circuit().is_some());
        circuits.for_each(|node| node.layer = last);
        self.bring_sources_in();
    }

    fn bring_sources_in(&mut self) {
        for at in 0..self.nodes.len() {
            let fed = |edge: &usize| {
                let to = &self.nodes[self.edges[*edge].to];
                to.circuit().is_none().then_some(to.layer)
            };
            if self.nodes[at].into.is_empty() {
                let nearest = self.nodes[at].out.iter().filter_map(fed).min();
                self.nodes[at].layer = nearest.map_or(self.nodes[at].layer, |layer| layer.saturating_sub(1));
            }
        }
    }

    /// All nodes, each before those it feeds.
    pub(super) fn by_layer(&self) -> Vec<usize> {
        let mut nodes: Vec<usize> = (0..self.nodes.len()).collect();
        nodes.sort_by_key(|at| self.nodes[*at].layer);
        nodes
    }

    /// The order in the plan, for roots and children.
    pub(super) fn order(&self) -> Order {
        let roots = (0..self.nodes.len()).filter(|at| self.nodes[*at].into.is_empty()).collect();
        Order { roots, out: self.nodes.iter().map(|node| node.out.clone()).collect() }
    }
}

/// Whether a point is drawn: it is a source, or a positive feeder or a circuit uses it.
pub fn is_drawn<'a>(plan: &'a Plan) -> impl Fn(&Point) -> bool + use<'a> {
    let used = used_points(plan);
    move |point| is_on_positive_side(&used, point)
}

fn is_on_positive_side(used: &HashSet<&PointId>, point: &Point) -> bool {
    match point.body {
        Body::Battery(_) | Body::Charger(_) | Body::Converter(_) => true,
        Body::NegativeBus(_) => false,
        _ => used.contains(&point.id),
    }
}

/// The points that positive feeders join or that feed a circuit.
fn used_points(plan: &Plan) -> HashSet<&PointId> {
    let positive = plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive);
    let joined = positive.flat_map(|feeder| [&feeder.from, &feeder.to]);
    joined.chain(plan.circuits.iter().map(|circuit| &circuit.from)).collect()
}

/// From top to bottom: the roots, and at each node the edges out of it.
#[derive(Debug, Clone)]
pub(super) struct Order {
    pub(super) roots: Vec<usize>,
    pub(super) out: Vec<Vec<usize>>,
}
