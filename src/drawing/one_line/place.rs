//! The layout: a row for each end, a height for each distribution point, a column for each layer.

use super::graph::{Edge, Graph, GraphNode, NodeThing, Order};
use super::row::{CircuitRow, WireText, widest};
use super::text::{feeder_texts, point_texts};
use crate::drawing::symbol;
use crate::job::point::PointKind;

/// Space above a circuit's line for one line of text, and below the line.
const OVER_CIRCUIT: f64 = 18.2;
const UNDER_CIRCUIT: f64 = 7.8;
/// Half the height of a line of text beside a symbol.
const HALF_LINE: f64 = 8.2;
/// Height that a distribution point needs for its symbol and texts.
const POINT: f64 = 76.0;
/// Space between a source's line and the first line of its name, with half a symbol.
const OVER_SOURCE: f64 = 13.0;
/// Space below a feeder's line for the text there.
const UNDER_FEEDER: f64 = 24.0;
/// Height of the end of a line that goes on elsewhere.
const ELSEWHERE: f64 = 40.0;
/// Distance of its charger's line below a fed source's own line.
const UNDER: f64 = 46.0;
/// Space for a distribution point's name above its first row, and for each line after the first.
const NAME: f64 = 30.0;
/// Space above a name whose first row is that of a distribution point.
const CLEAR_OF_NAME: f64 = 8.0;
pub(super) const LINE: f64 = 16.0;
/// Space between two roots.
const BETWEEN: f64 = 10.0;
/// Length of a bar above its first line, so that its name is clear of the texts on that line.
pub(super) const OVER: f64 = 20.0;
/// Length of a bar below its last line.
const UNDER_LAST: f64 = 8.0;
const MARGIN: f64 = 16.0;
/// Distance between two bars in the same layer whose heights overlap.
const LANE: f64 = 16.0;
/// Distance from a bar to the columns of circuits.
const CLEAR: f64 = 40.0;
/// Distance between the incoming and the outgoing bar of a battery switch.
pub(super) const SWITCH: f64 = 44.0;

/// An upright bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct UprightBar {
    pub(super) x: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// The whole layout.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    heights: Vec<f64>,
    edges: Vec<f64>,
    /// For each node its incoming and its outgoing bar. They differ only for a battery switch.
    pub(super) bars: Vec<[UprightBar; 2]>,
    /// The left edge of the circuits' columns.
    pub(super) circuits_x: f64,
    /// The bottom edge of the layout.
    pub(super) bottom: f64,
}

impl Placed {
    /// Makes the layout of a graph for an order.
    pub(super) fn new(graph: &Graph<'_>, order: &Order, wire: &WireText<'_>) -> Self {
        let mut rows = Rows::new(graph, order);
        rows.stack();
        let (heights, edges) = rows.settle();
        let bottom = rows.cursor + MARGIN;
        let (columns, circuits_x) = columns(graph, wire);
        let bars = bars(graph, &heights, &edges, &columns);
        Self { heights, edges, bars, circuits_x, bottom }
    }

    /// The height of a node's own line.
    pub(super) fn y(&self, node: usize) -> f64 {
        self.heights[node]
    }

    /// The height of an edge.
    pub(super) fn edge_y(&self, edge: usize) -> f64 {
        self.edges[edge]
    }

    /// The left and right ends of an edge.
    pub(super) fn span(&self, edge: &Edge<'_>) -> (f64, f64) {
        (self.bars[edge.from][1].x, self.bars[edge.to][0].x)
    }

    /// How often a line crosses a bar that it does not end at, or overlaps another line.
    pub(super) fn crossings(&self, graph: &Graph<'_>) -> usize {
        let points = |node: &usize| graph.nodes[*node].has_bar();
        let bars: Vec<(usize, UprightBar)> = (0..graph.nodes.len())
            .filter(points)
            .flat_map(|node| self.bars[node].map(|bar| (node, bar)))
            .collect();
        let mut crossings = 0;
        for (at, edge) in graph.edges.iter().enumerate() {
            let (y, (left, right)) = (self.edges[at], self.span(edge));
            let crossed = |(node, bar): &&(usize, UprightBar)| {
                let foreign = *node != edge.from && *node != edge.to;
                foreign && left < bar.x && bar.x < right && bar.top < y && y < bar.bottom
            };
            let along = |(other, edge): &(usize, &Edge<'_>)| {
                let (from, to) = self.span(edge);
                (self.edges[*other] - y).abs() < 1.0 && from < right && left < to
            };
            crossings += bars.iter().filter(crossed).count();
            crossings += graph.edges.iter().enumerate().skip(at + 1).filter(along).count();
        }
        crossings
    }
}

/// The rows from top to bottom. Each node is a child of the first edge that reaches it.
struct Rows<'g, 'a> {
    graph: &'g Graph<'a>,
    order: &'g Order,
    /// For each node its children, in order.
    hangs: Vec<Vec<usize>>,
    is_hung: Vec<bool>,
    line: Vec<Option<f64>>,
    cursor: f64,
}

impl<'g, 'a> Rows<'g, 'a> {
    fn new(graph: &'g Graph<'a>, order: &'g Order) -> Self {
        let count = graph.nodes.len();
        let mut rows = Self {
            graph,
            order,
            hangs: vec![Vec::new(); count],
            is_hung: vec![false; count],
            line: vec![None; count],
            cursor: MARGIN,
        };
        for root in &order.roots {
            rows.hang(*root);
        }
        rows
    }

    /// Assigns every node that a root reaches and that has no parent yet, in order.
    fn hang(&mut self, root: usize) {
        self.is_hung[root] = true;
        let mut open = vec![(root, 0)];
        while let Some((node, next)) = open.pop() {
            let Some(edge) = self.order.out[node].get(next) else { continue };
            open.push((node, next + 1));
            let to = self.graph.edges[*edge].to;
            if !self.is_hung[to] {
                self.is_hung[to] = true;
                self.hangs[node].push(to);
                open.push((to, 0));
            }
        }
    }

    /// Gives every end its row: first the heights, from the ends back to the roots, then the positions, from the
    /// roots on.
    fn stack(&mut self) {
        let mut inner = vec![0.0; self.hangs.len()];
        let mut whole = inner.clone();
        for node in self.graph.by_layer().into_iter().rev() {
            inner[node] = match &self.hangs[node] {
                ends if ends.is_empty() => self.own(node),
                children => {
                    self.room_for_name(node) + children.iter().map(|child| whole[*child]).sum::<f64>()
                }
            };
            whole[node] = self.needed(node).max(inner[node]);
        }
        let mut begin = vec![self.cursor; self.hangs.len()];
        for root in &self.order.roots {
            if !self.hangs_on_others(*root) {
                begin[*root] = self.cursor;
                self.cursor += whole[*root] + BETWEEN;
            }
        }
        for node in self.graph.by_layer() {
            let mut top = begin[node] + (whole[node] - inner[node]) / 2.0;
            if self.hangs[node].is_empty() && !self.hangs_on_others(node) {
                self.line[node] = Some(top + self.own_line(node));
            }
            top += self.room_for_name(node);
            for child in &self.hangs[node] {
                begin[*child] = top;
                top += whole[*child];
            }
        }
    }

    /// Whether all lines of a root go to nodes with another parent. Such a root is placed beside those lines.
    fn hangs_on_others(&self, node: usize) -> bool {
        let at = &self.graph.nodes[node];
        at.into.is_empty() && !at.out.is_empty() && self.hangs[node].is_empty()
    }

    /// Space above the first row for the name. The row of a distribution point has space for one line, that of a
    /// circuit has none. A source has its name beside its symbol.
    fn room_for_name(&self, node: usize) -> f64 {
        let at = &self.graph.nodes[node];
        let Some(first) = self.hangs[node].first() else { return 0.0 };
        let over_circuit = if self.graph.nodes[*first].circuit().is_some() { NAME } else { CLEAR_OF_NAME };
        let lines = point_texts(self.graph, at);
        let beyond: f64 = lines.iter().skip(1).map(|_| LINE).sum();
        if at.is_source() { over_circuit } else { over_circuit + beyond }
    }

    fn own(&self, node: usize) -> f64 {
        own_height(self.graph, &self.graph.nodes[node])
    }

    /// The distance of the line of an end from the top of its row.
    fn own_line(&self, node: usize) -> f64 {
        match self.graph.nodes[node].circuit() {
            Some(row) => over_circuit(row),
            // The name of a bar is above its line.
            None if self.graph.nodes[node].is_bar() => self.own(node) - UNDER_FEEDER,
            None => self.own(node) / 2.0,
        }
    }

    /// The minimum height of a node with its children.
    fn needed(&self, node: usize) -> f64 {
        let at = &self.graph.nodes[node];
        let several: f64 = at.into.iter().map(|_| self.slot(node)).sum();
        match at.kind() {
            Some(_) if at.is_fed_source() => {
                self.own(node) + at.into.iter().map(|_| UNDER * 2.0).sum::<f64>()
            }
            Some(_) if at.into.len() > 1 => several.max(self.own(node)),
            _ => self.own(node),
        }
    }

    /// The distance between the lines into a node: the height of the tallest node that they come from.
    fn slot(&self, node: usize) -> f64 {
        let from = |edge: &usize| &self.graph.nodes[self.graph.edges[*edge].from];
        let heights = self.graph.nodes[node].into.iter().map(|edge| own_height(self.graph, from(edge)));
        heights.fold(POINT, f64::max)
    }

    /// The heights of all nodes and edges, from the ends back to the sources.
    fn settle(&self) -> (Vec<f64>, Vec<f64>) {
        let mut heights = vec![self.cursor; self.graph.nodes.len()];
        let mut edges = vec![0.0; self.graph.edges.len()];
        for node in self.graph.by_layer().into_iter().rev() {
            let out = self.graph.nodes[node].out.iter().map(|edge| edges[*edge]);
            let (top, bottom) =
                out.fold((f64::INFINITY, f64::NEG_INFINITY), |(top, bottom), y| (top.min(y), bottom.max(y)));
            let between = if top <= bottom { f64::midpoint(top, bottom) } else { self.cursor };
            heights[node] = self.line[node].unwrap_or(between);
            for (edge, offset) in self.into(node) {
                edges[edge] = heights[node] + offset;
            }
        }
        (heights, edges)
    }

    /// The edges into a node, with the distance of each above or below the node's line.
    fn into(&self, node: usize) -> Vec<(usize, f64)> {
        let mut into = self.graph.nodes[node].into.clone();
        into.sort_by_key(|edge| {
            let from = self.graph.edges[*edge].from;
            self.order.roots.iter().position(|root| *root == from).unwrap_or(usize::MAX)
        });
        let slot = self.slot(node);
        let half = into.iter().skip(1).map(|_| slot / 2.0).sum::<f64>();
        let (mut offset, step) =
            if self.graph.nodes[node].is_fed_source() { (UNDER, UNDER) } else { (-half, slot) };
        into.into_iter()
            .map(|edge| {
                let at = offset;
                offset += step;
                (edge, at)
            })
            .collect()
    }
}

/// The height that a node needs by itself.
pub(super) fn own_height(graph: &Graph<'_>, node: &GraphNode<'_>) -> f64 {
    let lines = point_texts(graph, node).len();
    match &node.what {
        NodeThing::Circuit(row) => over_circuit(row) + under_circuit(row),
        NodeThing::To(..) => ELSEWHERE.max(heights(lines) + LINE),
        NodeThing::Point(_) if node.is_fed_end() => POINT.max(heights(lines) + LINE),
        // All lines but the last are above the symbol of a source.
        NodeThing::Point(_) if node.is_source() => POINT.max(2.0 * (OVER_SOURCE + heights(lines.max(2) - 1))),
        NodeThing::Point(_) | NodeThing::From(..) => POINT.max(heights(lines) + OVER + UNDER_FEEDER),
    }
}

/// The height of lines of text.
fn heights(lines: usize) -> f64 {
    (0..lines).map(|_| LINE).sum()
}

fn over_circuit(row: &CircuitRow<'_>) -> f64 {
    (OVER_CIRCUIT + heights(row.lines_over() - 1)).max(beside_circuit(row))
}

fn under_circuit(row: &CircuitRow<'_>) -> f64 {
    UNDER_CIRCUIT.max(beside_circuit(row))
}

fn beside_circuit(row: &CircuitRow<'_>) -> f64 {
    (0..row.lines_beside()).map(|_| HALF_LINE).sum()
}

/// The bars of all nodes. If two in a layer overlap in height, the lower one moves to the right.
fn bars(graph: &Graph<'_>, heights: &[f64], edges: &[f64], columns: &[f64]) -> Vec<[UprightBar; 2]> {
    let mut bars: Vec<[UprightBar; 2]> = graph
        .nodes
        .iter()
        .enumerate()
        .map(|(at, node)| {
            let x = columns[node.layer];
            let over = |list: &[usize]| {
                let ys = list.iter().map(|edge| edges[*edge]);
                ys.fold((heights[at], heights[at]), |(top, bottom), y| (top.min(y), bottom.max(y)))
            };
            let bar = |x, (top, bottom): (f64, f64)| UprightBar { x, top, bottom };
            match node.kind() {
                Some(PointKind::BatterySwitch) => {
                    [bar(x, over(&node.into)), bar(x + SWITCH, over(&node.out))]
                }
                _ if node.has_bar() => {
                    let all: Vec<usize> = node.into.iter().chain(&node.out).copied().collect();
                    let (top, bottom) = over(&all);
                    let (over, under) = if node.is_source() { (0.0, 0.0) } else { (OVER, UNDER_LAST) };
                    [bar(x, (top - over, bottom + under)); 2]
                }
                _ => [bar(x, (heights[at], heights[at])); 2],
            }
        })
        .collect();
    give_way(graph, &mut bars);
    bars
}

fn give_way(graph: &Graph<'_>, bars: &mut [[UprightBar; 2]]) {
    let mut order: Vec<usize> = (0..bars.len()).filter(|at| graph.nodes[*at].has_bar()).collect();
    order.sort_by(|one, other| bars[*one][0].top.total_cmp(&bars[*other][0].top));
    for (at, node) in order.iter().enumerate() {
        let clashes = |x: f64, bars: &[[UprightBar; 2]]| {
            order[..at].iter().any(|other| {
                let same = graph.nodes[*other].layer == graph.nodes[*node].layer;
                same && (bars[*other][0].x - x).abs() < 1.0 && bars[*other][0].bottom > bars[*node][0].top
            })
        };
        while clashes(bars[*node][0].x, bars) {
            bars[*node].iter_mut().for_each(|bar| bar.x += LANE);
        }
    }
}

/// The positions of each layer's bars, and of the circuits' columns.
pub(super) fn columns(graph: &Graph<'_>, wire: &WireText<'_>) -> (Vec<f64>, f64) {
    let layers = graph.nodes.iter().map(|node| node.layer).max().map_or(1, |last| last + 1);
    let mut columns = Vec::with_capacity(layers);
    let mut x = MARGIN;
    for layer in 0..layers {
        let here = || graph.nodes.iter().filter(move |node| node.layer == layer);
        x += here().map(|node| before(graph, node)).fold(0.0, f64::max);
        columns.push(x);
        x += here().map(|node| after(graph, node, wire)).fold(0.0, f64::max);
    }
    (columns.clone(), columns.last().copied().unwrap_or(MARGIN))
}

/// Space before a node's bar, for a source's symbol and texts.
fn before(graph: &Graph<'_>, node: &GraphNode<'_>) -> f64 {
    if node.is_source() && !node.is_fed_end() {
        widest(&point_texts(graph, node)).max(48.0) + 12.0
    } else {
        0.0
    }
}

/// Space after a node's bar, for its name above the bar and the texts on its outgoing lines.
fn after(graph: &Graph<'_>, node: &GraphNode<'_>, wire: &WireText<'_>) -> f64 {
    let feeders = node.out.iter().map(|edge| widest(&feeder_texts(&graph.edges[*edge], wire)));
    let texts = feeders.fold(symbol::WIDTH, f64::max) + 30.0;
    let name = widest(&point_texts(graph, node)) + 14.0;
    match node.kind() {
        // A node that feeds nothing has rows of its own, so its name may extend into the columns of circuits.
        _ if node.out.is_empty() => 0.0,
        Some(PointKind::Battery | PointKind::Charger | PointKind::Converter) => texts,
        Some(PointKind::BatterySwitch) => (SWITCH + texts).max(name),
        _ if node.feeds_circuits_only(graph) => CLEAR,
        _ => texts.max(name),
    }
}
