//! Draws bars, lines, symbols and texts, and records the box of each text.

use super::circuit_columns::CircuitColumns;
use super::graph::{Edge, Graph, GraphNode, NodeThing};
use super::place::{LINE, OVER, Placed, SWITCH, UprightBar};
use super::row::{CircuitRow, TEXT, WireText};
use super::text::{feeder_texts, point_texts};
use crate::drawing::part::{DrawnPart, PartLink};
use crate::drawing::svg::{self, Anchor, Caption, Drawing, Element, TextBox};
use crate::drawing::symbol;
use crate::job::plan::{Plan, Protection};
use crate::job::point::{Point, PointKind};
use crate::trade::protection::Family;

const WIRE: f64 = 1.75;
const BAR: f64 = 5.0;

const MARGIN: f64 = 16.0;
/// Height of a line of the key.
const KEY: f64 = 20.0;

struct Pen<'a> {
    wire: &'a WireText<'a>,
    address: &'a PartLink<'a>,
    elements: Vec<Element>,
    texts: Vec<(String, TextBox)>,
}

/// Draws the layout of one sheet, which is number `at` of `count`.
pub(super) fn drawn<'a>(
    plan: &'a Plan,
    graph: &Graph<'a>,
    placed: &Placed,
    wire: &'a WireText<'a>,
    address: &'a PartLink<'a>,
    (at, count): (usize, usize),
) -> (Drawing, Vec<(String, TextBox)>) {
    let mut pen = Pen { wire, address, elements: Vec::new(), texts: Vec::new() };
    let columns = CircuitColumns::of(graph, placed.circuits_x);
    for (at, edge) in graph.edges.iter().enumerate() {
        pen.edge((graph, edge), placed.edge_y(at), placed.span(edge), &columns);
    }
    for (at, node) in graph.nodes.iter().enumerate() {
        match &node.what {
            NodeThing::Point(point) => pen.point((graph, node), point, placed, at),
            NodeThing::From(point, _) => pen.from((graph, node), point, placed.bars[at][0]),
            NodeThing::To(..) => pen.to(&point_texts(graph, node), (placed.bars[at][0].x, placed.y(at))),
            NodeThing::Circuit(row) => pen.circuit(row, placed.y(at), &columns),
        }
    }
    pen.key(plan, graph, placed.bottom);
    let right = pen.texts.iter().map(|(_, text)| text.right).fold(columns.right, f64::max);
    let bottom = pen.texts.iter().map(|(_, text)| text.bottom).fold(placed.bottom, f64::max);
    let size = (right + MARGIN, bottom.max(80.0) + MARGIN / 2.0);
    let drawing = Drawing::linked("one-line", size, &caption(plan, graph, at, count)).with_all(pen.elements);
    (drawing, pen.texts)
}

fn caption(plan: &Plan, graph: &Graph<'_>, at: usize, count: usize) -> Caption {
    let circuits = graph.nodes.iter().filter(|node| node.circuit().is_some()).count();
    let points = graph.nodes.iter().filter(|node| matches!(node.what, NodeThing::Point(_))).count();
    let sheet = if count > 1 { format!(", sheet {at} of {count}") } else { String::new() };
    Caption {
        title: format!("One-line diagram of {}{sheet}", plan.boat.name),
        words: format!(
            "The positive side from the sources at the left to {circuits} circuits at the right, through {points} points. The lists of circuits and feeders hold the same data."
        ),
    }
}

impl Pen<'_> {
    /// Draws text and records its box.
    fn text(&mut self, spot: (f64, f64), anchor: Anchor, text: &str) -> Element {
        self.texts.push((text.to_owned(), TextBox::of(spot, anchor, TEXT, text)));
        svg::label(spot, anchor, TEXT, text)
    }

    fn put(&mut self, part: DrawnPart<'_>, title: &str, group: Element) {
        self.elements.push(svg::link((self.address)(part), title, group));
    }

    /// A line with gaps for the symbols in it.
    fn line(&self, y: f64, (left, right): (f64, f64), symbols: &[f64]) -> Element {
        let mut group = Element::group("wire-line");
        let mut from = left;
        for middle in symbols {
            group = group.with(svg::line((from, y), (middle - symbol::WIDTH / 2.0, y)).stroke(WIRE));
            from = middle + symbol::WIDTH / 2.0;
        }
        group.with(svg::line((from, y), (right, y)).stroke(WIRE))
    }

    /// Draws a feeder, or the first part of a circuit.
    fn edge(
        &mut self,
        (graph, edge): (&Graph<'_>, &Edge<'_>),
        y: f64,
        (left, right): (f64, f64),
        columns: &CircuitColumns,
    ) {
        let Some(feeder) = edge.feeder else {
            if graph.nodes[edge.to].circuit().is_none() {
                let whole = self.line(y, (left, right), &[]);
                self.elements.push(whole);
                return;
            }
            let begin = self.line(y, (left, columns.protection.min(columns.load) - symbol::WIDTH / 2.0), &[]);
            self.elements.push(begin);
            return;
        };
        let texts = feeder_texts(edge, self.wire);
        let text_x = left + 14.0;
        let symbols: Vec<f64> =
            feeder.protection.iter().map(|_| text_x + symbol::WIDTH / 2.0 + 4.0).collect();
        let mut group = self.line(y, (left, right), &symbols);
        if let (Some(protection), Some(at)) = (&feeder.protection, symbols.first()) {
            group = group.with(protective(protection, (*at, y)));
        }
        for (text, baseline) in texts.iter().zip([y - 8.0, y + 18.0]).filter(|(text, _)| !text.is_empty()) {
            group = group.with(self.text((text_x, baseline), Anchor::Start, text));
        }
        let title = format!("Feeder {}: {}", feeder.label_text(), texts.join(", "));
        self.put(DrawnPart::Feeder(&feeder.id), &title, group);
    }

    fn point(
        &mut self,
        (graph, node): (&Graph<'_>, &GraphNode<'_>),
        point: &Point,
        placed: &Placed,
        at: usize,
    ) {
        let [into, out] = placed.bars[at];
        let y = placed.y(at);
        let texts = point_texts(graph, node);
        let last_line = into.top.min(out.top) - 6.0;
        let mut group = Element::group("point");
        group = match node.kind() {
            _ if node.is_fed_end() => {
                let spot = (into.x + symbol::WIDTH / 2.0 + 2.0, y);
                group
                    .with(svg::line((into.x, y), (into.x + 4.0, y)).stroke(WIRE))
                    .with(symbol::generator(spot))
                    .with_all(self.beside(&texts, (into.x + symbol::WIDTH + 8.0, y)))
            }
            Some(PointKind::Battery | PointKind::Charger | PointKind::Converter) => {
                let spot = (into.x - symbol::WIDTH / 2.0 - 2.0, y);
                let drawn = if node.kind() == Some(PointKind::Battery) {
                    symbol::battery(spot)
                } else {
                    symbol::generator(spot)
                };
                group
                    .with(drawn)
                    .with(svg::line((into.x - 2.0, y), (into.x, y)).stroke(WIRE))
                    .with(upright(into, WIRE))
                    .with_all(self.around(&texts, (into.x - 6.0, y)))
            }
            Some(PointKind::BatterySwitch) => {
                let middle = into.x + SWITCH / 2.0;
                group
                    .with(upright(into, WIRE))
                    .with(upright(out, WIRE))
                    .with(self.line(y, (into.x, out.x), &[middle]))
                    .with(symbol::switch((middle, y)))
                    .with_all(self.name(&texts, (into.x, last_line - OVER)))
            }
            _ => group.with(upright(into, BAR)).with_all(self.name(&texts, (into.x - 3.0, last_line))),
        };
        self.put(DrawnPart::Point(&point.id), point.called(), group);
    }

    /// A point of another sheet that feeds something on this one.
    fn from(&mut self, (graph, node): (&Graph<'_>, &GraphNode<'_>), point: &Point, bar: UprightBar) {
        let texts = point_texts(graph, node);
        let group = Element::group("point")
            .with(upright(bar, BAR))
            .with_all(self.name(&texts, (bar.x - 3.0, bar.top - 6.0)));
        self.put(DrawnPart::Point(&point.id), point.called(), group);
    }

    /// The end of a line that goes on elsewhere.
    fn to(&mut self, texts: &[String], (x, y): (f64, f64)) {
        let group = Element::group("point")
            .with(symbol::elsewhere((x, y)))
            .with_all(self.beside(texts, (x + 12.0, y)));
        self.elements.push(group);
    }

    /// The lines of a name: the last line at this position, the others above it.
    fn name(&mut self, texts: &[String], spot: (f64, f64)) -> Vec<Element> {
        self.stacked(texts, spot, Anchor::Start)
    }

    fn stacked(&mut self, texts: &[String], (x, last): (f64, f64), anchor: Anchor) -> Vec<Element> {
        let above: f64 = texts.iter().skip(1).map(|_| LINE).sum();
        let lines = texts.iter().zip(lines_from(last - above));
        lines.map(|(text, baseline)| self.text((x, baseline), anchor, text)).collect()
    }

    /// Lines of text beside a symbol, with their middle at its line.
    fn beside(&mut self, texts: &[String], (x, y): (f64, f64)) -> Vec<Element> {
        let lines = texts.iter().zip(baselines(y, texts.len()));
        lines.map(|(text, baseline)| self.text((x, baseline), Anchor::Start, text)).collect()
    }

    /// The lines of a source: the last below its symbol, the others above it.
    fn around(&mut self, texts: &[String], (x, y): (f64, f64)) -> Vec<Element> {
        let (above, below) = texts.split_at(texts.len().saturating_sub(1).max(1).min(texts.len()));
        let mut lines = self.stacked(above, (x, y - 18.0), Anchor::End);
        lines.extend(below.iter().map(|text| self.text((x, y + 27.0), Anchor::End, text)));
        lines
    }

    fn circuit(&mut self, row: &CircuitRow<'_>, y: f64, columns: &CircuitColumns) {
        let circuit = row.circuit;
        let over = y - 7.5;
        let mut symbols = Vec::new();
        let mut group = Element::group("circuit");
        if let Some(protection) = &circuit.protection {
            symbols.push(columns.protection);
            let rating = row.rating.as_ref();
            group = group
                .with(protective(protection, (columns.protection, y)))
                .with_all(rating.map(|text| self.text((columns.protection, over), Anchor::Middle, text)));
        }
        if let Some(lines) = &row.switch {
            symbols.push(columns.switch);
            group = group.with(symbol::switch((columns.switch, y)));
            group = group.with_all(self.stacked(lines, (columns.switch, over), Anchor::Middle));
        }
        if let Some(junction) = row.junction {
            symbols.push(columns.terminal);
            group = group.with(symbol::terminal((columns.terminal, y))).with(self.text(
                (columns.terminal, over),
                Anchor::Middle,
                junction,
            ));
        }
        if let Some(text) = &row.size {
            group = group.with(self.text((columns.wire, over), Anchor::Middle, text));
        }
        let begin = columns.protection.min(columns.load) - symbol::WIDTH / 2.0;
        let load = if row.is_lamp { symbol::lamp } else { symbol::load };
        group = group
            .with(self.line(y, (begin, columns.load - symbol::WIDTH / 2.0), &symbols))
            .with(load((columns.load, y)))
            .with_all(self.beside(&row.name, (columns.name, y)));
        let title = format!("Circuit {}", circuit.name_and_label());
        self.put(DrawnPart::Circuit(&circuit.id), &title, group);
        self.devices(row, y, columns.devices);
    }

    /// The devices, each a link.
    fn devices(&mut self, row: &CircuitRow<'_>, y: f64, left: f64) {
        for (line, baseline) in row.devices.iter().zip(baselines(y, row.devices.len())) {
            for name in line {
                let drawn = self.text((left + name.left, baseline), Anchor::Start, &name.text);
                let drawn = drawn.set("class", "soft-text");
                self.put(DrawnPart::Device(&name.device.id), name.device.name.as_str(), drawn);
            }
        }
    }

    /// The names of the junction bars that the rows show by their labels.
    fn key(&mut self, plan: &Plan, graph: &Graph<'_>, top: f64) {
        let rows = || graph.nodes.iter().filter_map(GraphNode::circuit);
        let is_used = |point: &&Point| rows().any(|row| row.junction == Some(point.id.as_str()));
        let mut baseline = top;
        for point in plan.points.iter().filter(is_used) {
            let text = format!("{}: {}", point.id, point.called());
            let drawn = self.text((MARGIN, baseline), Anchor::Start, &text);
            self.put(DrawnPart::Point(&point.id), point.called(), drawn);
            baseline += KEY;
        }
    }
}

fn upright(bar: UprightBar, width: f64) -> Element {
    svg::line((bar.x, bar.top), (bar.x, bar.bottom)).stroke(width)
}

/// The baselines of lines of text whose middle is at a height.
fn baselines(y: f64, lines: usize) -> impl Iterator<Item = f64> {
    let half: f64 = (1..lines).map(|_| LINE / 2.0).sum();
    lines_from(y + 5.0 - half)
}

/// Baselines from the first one down.
fn lines_from(first: f64) -> impl Iterator<Item = f64> {
    std::iter::successors(Some(first), |baseline| Some(baseline + LINE))
}

fn protective(protection: &Protection, spot: (f64, f64)) -> Element {
    if protection.kind == Family::Breaker { symbol::breaker(spot) } else { symbol::fuse(spot) }
}
