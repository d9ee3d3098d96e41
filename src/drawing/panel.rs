//! The front of a switch panel: each position with its label, its switch and its lamp, and with the circuit below
//! it. Positions without a circuit are shown as free.

use super::part::{DrawnPart, PartLink};
use super::svg::{self, Anchor, Caption, Drawing, Element, fitted, text_width};
use crate::job::plan::{Circuit, Plan};
use crate::job::point::{Body, Panel, Point, Position, SwitchKind};
use crate::job::value::PointId;

/// Number of positions side by side, readable on a tablet held upright.
const ACROSS: usize = 3;
const CELL: (f64, f64) = (164.0, 164.0);
const MARGIN: f64 = 14.0;
const HEAD: f64 = 40.0;
const TEXT: f64 = 14.0;
/// Width of bold text relative to plain text.
const BOLD: f64 = 1.1;

/// Draws a switch panel; `None` if the plan has no such panel.
pub fn draw(plan: &Plan, id: &PointId, address: &PartLink<'_>) -> Option<Drawing> {
    let point = plan.point(id)?;
    let Body::SwitchPanel(panel) = &point.body else { return None };
    let rows = panel.positions.len().div_ceil(ACROSS).max(1);
    let size = (MARGIN * 2.0 + CELL.0 * count(ACROSS), MARGIN * 2.0 + HEAD + CELL.1 * count(rows));
    let cells = panel.positions.iter().zip(1u16..).map(|(position, number)| {
        let at = usize::from(number - 1);
        let corner = (MARGIN + CELL.0 * count(at % ACROSS), MARGIN + HEAD + CELL.1 * count(at / ACROSS));
        Cell { plan, point, position, number, corner }.draw(address)
    });
    Some(
        Drawing::linked("panel", size, &caption(plan, point, panel))
            .with(svg::rect((2.0, 2.0), size.0 - 4.0, size.1 - 4.0).stroke(2.0).set("rx", 10))
            .with_all(screws(size))
            .with(svg::label((size.0 / 2.0, MARGIN + 22.0), Anchor::Middle, 16.0, &title(point, panel)))
            .with_all(cells),
    )
}

fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(0.0, f64::from)
}

fn title(point: &Point, panel: &Panel) -> String {
    let name = fitted(point.called(), 16.0, 360.0);
    panel.rating_a.map_or_else(|| name.clone(), |rating| format!("{name}, {rating} A"))
}

fn caption(plan: &Plan, point: &Point, panel: &Panel) -> Caption {
    let used =
        (1u16..).take(panel.positions.len()).filter(|number| !circuits(plan, point, *number).is_empty());
    let (used, all) = (used.count(), panel.positions.len());
    Caption {
        title: format!("Switch panel {}", point.called()),
        words: format!("{all} positions, {used} used, {} free.", all - used),
    }
}

fn screws((width, height): (f64, f64)) -> impl Iterator<Item = Element> {
    let inset = 13.0;
    [(inset, inset), (width - inset, inset), (inset, height - inset), (width - inset, height - inset)]
        .into_iter()
        .map(|spot| svg::circle(spot, 4.0).faint(1.5))
}

fn circuits<'a>(plan: &'a Plan, point: &Point, number: u16) -> Vec<&'a Circuit> {
    plan.on_position(&point.id, number).collect()
}

/// One position.
struct Cell<'a> {
    plan: &'a Plan,
    point: &'a Point,
    position: &'a Position,
    number: u16,
    corner: (f64, f64),
}

impl Cell<'_> {
    fn draw(&self, address: &PartLink<'_>) -> Element {
        let circuits = circuits(self.plan, self.point, self.number);
        let used = !circuits.is_empty();
        let (x, y) = self.corner;
        let middle = x + CELL.0 / 2.0;
        let frame = svg::rect((x + 4.0, y + 4.0), CELL.0 - 8.0, CELL.1 - 8.0).set("rx", 4);
        let frame = if used { frame.faint(1.0) } else { frame.faint(1.0).set("stroke-dasharray", "5 4") };
        let face = Element::group(if used { "position" } else { "position free" })
            .with(frame)
            .with(self.plate(middle, y + 14.0))
            .with(switch((middle, y + 74.0), used, self.position))
            .with_all(throws((middle, y + 74.0), self.position))
            .with_all(self.rating(middle, y + 112.0))
            .with(
                svg::label((x + 12.0, y + 78.0), Anchor::Start, TEXT, &self.number.to_string())
                    .set("class", "soft-text"),
            );
        let face = svg::link(
            address(DrawnPart::Position(&self.point.id, self.number)),
            self.position.label.as_str(),
            face,
        );
        Element::new("g").with(face).with_all(self.beneath(&circuits, middle, y, address))
    }

    /// The engraved plate.
    fn plate(&self, middle: f64, top: f64) -> Element {
        let width = CELL.0 - 24.0;
        let (size, text) = engraved(self.position.label.as_str(), width - 10.0);
        Element::group("plate")
            .with(svg::rect((middle - width / 2.0, top), width, 24.0).set("rx", 2).stroke(1.5))
            .with(svg::label((middle, top + 17.0), Anchor::Middle, size, &text).set("font-weight", 600))
    }

    fn rating(&self, middle: f64, baseline: f64) -> Option<Element> {
        let kind = self.position.switch.map_or("switch", SwitchKind::words);
        let text = match (self.position.rating_a, self.position.switch) {
            (Some(rating), _) => format!("{kind}, {rating} A"),
            (None, Some(_)) => kind.to_owned(),
            (None, None) => return None,
        };
        Some(svg::label((middle, baseline + 1.0), Anchor::Middle, TEXT, &text).set("class", "soft-text"))
    }

    /// The circuit under the switch, with its fuse or breaker.
    fn beneath(&self, circuits: &[&Circuit], middle: f64, y: f64, address: &PartLink<'_>) -> Vec<Element> {
        let (first, second) = (y + 131.0, y + 149.0);
        let line = |baseline, text: &str| {
            svg::label((middle, baseline), Anchor::Middle, TEXT, &fitted(text, TEXT, CELL.0 - 14.0))
        };
        match circuits {
            [] => vec![line(first, "free").set("class", "soft-text")],
            [circuit] => {
                let name = circuit.name_and_label();
                let texts = Element::new("g")
                    .with(line(first, &protected(circuit)))
                    .with(line(second, circuit.name.as_str()));
                vec![svg::link(address(DrawnPart::Circuit(&circuit.id)), &name, texts)]
            }
            several => {
                let links = several.iter().zip([first, second]).map(|(circuit, baseline)| {
                    let name = circuit.name_and_label();
                    let more = several.len() > 2 && baseline > first;
                    let text = if more {
                        format!("{} and {} more", circuit.name, several.len() - 2)
                    } else {
                        name.clone()
                    };
                    svg::link(address(DrawnPart::Circuit(&circuit.id)), &name, line(baseline, &text))
                });
                links.collect()
            }
        }
    }
}

/// A circuit's id with the rating that protects it.
fn protected(circuit: &Circuit) -> String {
    match circuit.protection.as_ref().map(|protection| protection.rating_a) {
        Some(Some(rating)) => format!("{} \u{b7} {rating} A", circuit.id),
        Some(None) => format!("{} \u{b7} rating to choose", circuit.id),
        None => format!("{} \u{b7} no fuse", circuit.id),
    }
}

/// A label in the largest letters that fit its plate.
fn engraved(label: &str, width: f64) -> (f64, String) {
    let fits = |size: &f64| text_width(label, *size) * BOLD <= width;
    let size = [15.0, 13.0, 11.0].into_iter().find(fits).unwrap_or(11.0);
    (size, fitted(label, size, width / BOLD))
}

/// A rocker, a push button or a breaker's handle, with its lamp where it has one.
fn switch((x, y): (f64, f64), used: bool, position: &Position) -> Element {
    let lamp = svg::circle((x, y - 15.0), 4.0);
    let lamp = if used { lamp.set("fill", "currentColor") } else { lamp.faint(1.5) };
    let lamp = (position.indicator != Some(false)).then_some(lamp);
    let frame = svg::rect((x - 17.0, y - 27.0), 34.0, 50.0).set("rx", 4).stroke(2.0);
    let body = match position.switch {
        Some(SwitchKind::Momentary) => vec![svg::circle((x, y + 8.0), 10.0).stroke(2.0)],
        Some(SwitchKind::Breaker) => {
            vec![svg::rect((x - 8.0, y - 6.0), 16.0, 22.0).set("rx", 2).stroke(2.0)]
        }
        Some(SwitchKind::OnOffOn) => vec![
            svg::line((x - 17.0, y - 9.0), (x + 17.0, y - 9.0)).stroke(1.0),
            svg::line((x - 17.0, y + 7.0), (x + 17.0, y + 7.0)).stroke(1.0),
            svg::circle((x, y - 1.0), 4.0).stroke(2.0),
        ],
        Some(SwitchKind::OnOff) | None => vec![
            svg::line((x - 17.0, y - 3.0), (x + 17.0, y - 3.0)).stroke(1.0),
            svg::line((x, y + 6.0), (x, y + 16.0)).stroke(2.0),
        ],
    };
    Element::group("rocker").with(frame).with_all(body).with_all(lamp)
}

/// The name of each throw, above and below the middle.
fn throws((x, y): (f64, f64), position: &Position) -> Vec<Element> {
    let spots = [y - 14.0, y + 20.0];
    let labels = position.throws.iter().zip(spots);
    labels
        .map(|(throw, baseline)| {
            let text = fitted(throw.as_str(), 12.0, CELL.0 / 2.0 - 30.0);
            svg::label((x + 22.0, baseline), Anchor::Start, 12.0, &text).set("class", "soft-text")
        })
        .collect()
}
