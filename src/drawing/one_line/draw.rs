//! Draws bars, lines, symbols and texts, and records the box of each text.

use super::graph::{Edge, Graph, GraphNode, NodeThing};
use super::place::{LINE, OVER, Placed, SWITCH};
use super::text::{TEXT, WireText, feeder_texts, point_texts};
use crate::drawing::part::{DrawnPart, PartLink};
use crate::drawing::svg::{self, Anchor, Caption, Drawing, Element, TextBox, fitted, text_width};
use crate::drawing::symbol;
use crate::job::plan::{Circuit, Plan, Protection};
use crate::job::point::{Body, Point, PointKind};
use crate::trade::protection::Family;

const NAMES: f64 = 232.0;
const DEVICES: f64 = 200.0;
/// Space for "and 9 more" beside the first device.
const MORE: f64 = 84.0;
const WIRE: f64 = 1.75;
const BAR: f64 = 5.0;

struct Pen<'a> {
    plan: &'a Plan,
    wire: &'a WireText<'a>,
    address: &'a PartLink<'a>,
    elements: Vec<Element>,
    texts: Vec<(String, TextBox)>,
}

/// Draws a layout.
pub(super) fn drawn<'a>(
    plan: &'a Plan,
    graph: &Graph<'a>,
    placed: &Placed,
    wire: &'a WireText<'a>,
    address: &'a PartLink<'a>,
) -> (Drawing, Vec<(String, TextBox)>) {
    let mut pen = Pen { plan, wire, address, elements: Vec::new(), texts: Vec::new() };
    let columns = Columns::of(plan, graph, placed, wire);
    for (at, edge) in graph.edges.iter().enumerate() {
        pen.edge(edge, placed.edge_y(at), placed.span(edge), &columns);
    }
    for (at, node) in graph.nodes.iter().enumerate() {
        match node.what {
            NodeThing::Point(point) => pen.point((graph, node), point, placed, at),
            NodeThing::Circuit(circuit) => pen.circuit(circuit, placed.y(at), &columns),
        }
    }
    let size = (columns.right, placed.bottom.max(80.0));
    let drawing = Drawing::linked("one-line", size, &caption(plan, graph)).with_all(pen.elements);
    (drawing, pen.texts)
}

fn caption(plan: &Plan, graph: &Graph<'_>) -> Caption {
    let circuits = graph.nodes.iter().filter(|node| matches!(node.what, NodeThing::Circuit(_))).count();
    let points = graph.nodes.len() - circuits;
    Caption {
        title: format!("One-line diagram of {}", plan.boat.name),
        words: format!(
            "The positive side from the sources at the left to {circuits} circuits at the right, through {points} points. The lists of circuits and feeders hold the same data."
        ),
    }
}

/// The columns of the circuits at the right.
struct Columns {
    protection: f64,
    switch: f64,
    terminal: f64,
    wire: f64,
    load: f64,
    name: f64,
    devices: f64,
    right: f64,
}

impl Columns {
    fn of(plan: &Plan, graph: &Graph<'_>, placed: &Placed, wire: &WireText<'_>) -> Self {
        let circuits: Vec<&Circuit> = graph
            .nodes
            .iter()
            .filter_map(|node| match node.what {
                NodeThing::Circuit(circuit) => Some(circuit),
                NodeThing::Point(_) => None,
            })
            .collect();
        let widest = |text: &dyn Fn(&Circuit) -> Option<String>| {
            let widths =
                circuits.iter().filter_map(|circuit| text(circuit)).map(|text| text_width(&text, TEXT));
            widths.fold(None, |most: Option<f64>, width| Some(most.map_or(width, |most| most.max(width))))
        };
        // An unused column takes no space.
        let room = |text: &dyn Fn(&Circuit) -> Option<String>, least: f64| {
            widest(text).map_or(0.0, |width| width.max(least) + 18.0)
        };
        let protection = room(&|circuit| circuit.protection.as_ref().map(rating), symbol::WIDTH);
        let switch = room(&|circuit| switch_label(plan, circuit), symbol::WIDTH);
        let terminal = room(&|circuit| circuit.junction.as_ref().map(ToString::to_string), symbol::WIDTH);
        let wire = room(&|circuit| wire(DrawnPart::Circuit(&circuit.id)), 40.0);
        let name = widest(&|circuit| Some(name(circuit))).unwrap_or_default().min(NAMES);
        let devices =
            widest(&|circuit| Some(device_names(plan, circuit).join(", "))).unwrap_or_default().min(DEVICES);
        let start = placed.circuits_x + 10.0;
        let load = start + protection + switch + terminal + wire + 14.0;
        Self {
            protection: start + protection / 2.0,
            switch: start + protection + switch / 2.0,
            terminal: start + protection + switch + terminal / 2.0,
            wire: start + protection + switch + terminal + wire / 2.0,
            load,
            name: load + 24.0,
            devices: load + 24.0 + name + 18.0,
            right: load + 24.0 + name + 18.0 + devices + 16.0,
        }
    }
}

fn rating(protection: &Protection) -> String {
    protection.rating_a.map_or_else(|| "to choose".to_owned(), |rating| format!("{rating} A"))
}

/// The name of a circuit and its label. A long name is cut, so that the label is always there.
fn name(circuit: &Circuit) -> String {
    let label = format!(" ({})", circuit.label_text());
    fitted(circuit.name.as_str(), TEXT, NAMES - text_width(&label, TEXT)) + &label
}

fn switch_label(plan: &Plan, circuit: &Circuit) -> Option<String> {
    let at = circuit.switch.as_ref()?;
    let point = plan.point(&at.panel)?;
    let Body::SwitchPanel(panel) = &point.body else { return None };
    let position = panel.positions.get(usize::from(at.position).checked_sub(1)?)?;
    Some(fitted(position.label.as_str(), TEXT, 120.0))
}

fn device_names<'a>(plan: &'a Plan, circuit: &'a Circuit) -> Vec<&'a str> {
    let name = |id| plan.device(id).map(|device| device.name.as_str());
    circuit.devices().filter_map(name).collect()
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
    fn edge(&mut self, edge: &Edge<'_>, y: f64, (left, right): (f64, f64), columns: &Columns) {
        let Some(feeder) = edge.feeder else {
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
        let upright = |bar: super::place::UprightBar, width| {
            svg::line((bar.x, bar.top), (bar.x, bar.bottom)).stroke(width)
        };
        let texts = point_texts(graph, node);
        let last_line = into.top.min(out.top) - 6.0;
        let mut group = Element::group("point");
        group = match node.kind() {
            _ if node.is_fed_end() => {
                let spot = (into.x + symbol::WIDTH / 2.0 + 2.0, y);
                let left = into.x + symbol::WIDTH + 8.0;
                group
                    .with(svg::line((into.x, y), (into.x + 4.0, y)).stroke(WIRE))
                    .with(symbol::generator(spot))
                    .with_all(
                        texts
                            .iter()
                            .zip([y - 2.0, y + 15.0])
                            .map(|(text, baseline)| self.text((left, baseline), Anchor::Start, text)),
                    )
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
                    .with_all(
                        texts
                            .iter()
                            .zip([y - 18.0, y + 27.0])
                            .map(|(text, baseline)| self.text((into.x - 6.0, baseline), Anchor::End, text)),
                    )
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

    /// The lines of a name: the last line at this position, the others above it.
    fn name(&mut self, texts: &[String], (x, mut baseline): (f64, f64)) -> Vec<Element> {
        let mut lines = Vec::new();
        for text in texts.iter().rev() {
            lines.push(self.text((x, baseline), Anchor::Start, text));
            baseline -= LINE;
        }
        lines
    }

    fn circuit(&mut self, circuit: &Circuit, y: f64, columns: &Columns) {
        let over = y - 7.5;
        let label = switch_label(self.plan, circuit);
        let mut symbols = Vec::new();
        let mut group = Element::group("circuit");
        if let Some(protection) = &circuit.protection {
            symbols.push(columns.protection);
            group = group.with(protective(protection, (columns.protection, y))).with(self.text(
                (columns.protection, over),
                Anchor::Middle,
                &rating(protection),
            ));
        }
        if let Some(label) = label {
            symbols.push(columns.switch);
            group = group.with(symbol::switch((columns.switch, y))).with(self.text(
                (columns.switch, over),
                Anchor::Middle,
                &label,
            ));
        }
        if let Some(junction) = &circuit.junction {
            symbols.push(columns.terminal);
            group = group.with(symbol::terminal((columns.terminal, y))).with(self.text(
                (columns.terminal, over),
                Anchor::Middle,
                junction.as_str(),
            ));
        }
        if let Some(text) = (self.wire)(DrawnPart::Circuit(&circuit.id)) {
            group = group.with(self.text((columns.wire, over), Anchor::Middle, &text));
        }
        let begin = columns.protection.min(columns.load) - symbol::WIDTH / 2.0;
        let is_lamp = |id| self.plan.device(id).is_some_and(|device| device.light.is_some());
        let load = if circuit.devices().any(is_lamp) { symbol::lamp } else { symbol::load };
        let name = name(circuit);
        group = group
            .with(self.line(y, (begin, columns.load - symbol::WIDTH / 2.0), &symbols))
            .with(load((columns.load, y)))
            .with(self.text((columns.name, y + 5.0), Anchor::Start, &name));
        let title = format!("Circuit {}", circuit.name_and_label());
        self.put(DrawnPart::Circuit(&circuit.id), &title, group);
        self.devices(circuit, y + 5.0, columns.devices);
    }

    /// The devices in a row, each a link, as many as fit.
    fn devices(&mut self, circuit: &Circuit, baseline: f64, left: f64) {
        let plan = self.plan;
        let mut x = left;
        let devices: Vec<_> = circuit.devices().filter_map(|id| plan.device(id)).collect();
        let first_room = if devices.len() == 1 { DEVICES } else { DEVICES - MORE };
        for (at, device) in devices.iter().enumerate() {
            let room = left + DEVICES - x;
            let more = format!("and {} more", devices.len() - at);
            let last = at + 1 == devices.len();
            let name = fitted(device.name.as_str(), TEXT, if at == 0 { first_room } else { f64::INFINITY });
            let text = if last { name } else { format!("{name},") };
            let width = text_width(&text, TEXT);
            let needed = if last { width } else { width + 6.0 + text_width(&more, TEXT) };
            if at > 0 && needed > room {
                let rest = self.text((x, baseline), Anchor::Start, &more);
                self.put(DrawnPart::Circuit(&circuit.id), &more, rest.set("class", "soft-text"));
                return;
            }
            let drawn = self.text((x, baseline), Anchor::Start, &text).set("class", "soft-text");
            self.put(DrawnPart::Device(&device.id), device.name.as_str(), drawn);
            x += width + 6.0;
        }
    }
}

fn protective(protection: &Protection, spot: (f64, f64)) -> Element {
    if protection.kind == Family::Breaker { symbol::breaker(spot) } else { symbol::fuse(spot) }
}
