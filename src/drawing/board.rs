//! A board to scale, seen from the front: its parts, their clearances and holes, and its dimensions.

use super::part::{DrawnPart, PartLink};
use super::svg::{self, Anchor, Caption, Drawing, Element, fitted, text_width};
use crate::job::board::Board;
use crate::job::board::parts::{Drilled, PartOn};
use crate::job::subject::SubjectKind;
use crate::trade::board::{PartSide, Rect};
use crate::trade::working::figure;

/// Length of the longer side of a board in the drawing.
const LONGEST: f64 = 760.0;
/// Space for the dimensions, at the left and at the top.
const MARGIN: f64 = 46.0;
const EDGE: f64 = 12.0;
const TEXT: f64 = 14.0;

/// Draws a board with those of its parts that have a position.
pub fn draw(board: &Board, parts: &[PartOn<'_>], address: &PartLink<'_>) -> Drawing {
    let scale = Scale::of(board);
    let (width, height) = (scale.long(board.width_mm.number()), scale.long(board.height_mm.number()));
    let size = (width + MARGIN + EDGE, height + MARGIN + EDGE);
    let area = svg::rect((MARGIN, MARGIN), width, height);
    Drawing::linked("board", size, &caption(board, parts))
        .with(area.clone().set("class", "ground").set("fill-opacity", 0.05))
        .with(area.stroke(2.5))
        .with_all(across(board, &scale))
        .with_all(parts.iter().filter_map(|part| free_ground(part, &scale)))
        .with_all(parts.iter().filter_map(|part| drawn(board, part, &scale, address)))
}

fn caption(board: &Board, parts: &[PartOn<'_>]) -> Caption {
    let placed = parts.iter().filter(|part| part.at.is_some()).count();
    Caption {
        title: format!("{} to scale", board.name),
        words: format!(
            "{} by {} mm, with {placed} of its {} parts where they are settled. Dashed: their clearance.",
            board.width_mm,
            board.height_mm,
            parts.len()
        ),
    }
}

/// Converts millimeters on the board to units of the drawing.
struct Scale(f64);

impl Scale {
    fn of(board: &Board) -> Self {
        Self(LONGEST / board.width_mm.number().max(board.height_mm.number()))
    }

    fn long(&self, mm: f64) -> f64 {
        mm * self.0
    }

    fn spot(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (MARGIN + x * self.0, MARGIN + y * self.0)
    }

    fn rect(&self, rect: &Rect) -> Element {
        svg::rect(self.spot((rect.x_mm, rect.y_mm)), self.long(rect.width_mm), self.long(rect.height_mm))
    }
}

/// The dimensions of the board, at the top and at the left.
fn across(board: &Board, scale: &Scale) -> Vec<Element> {
    let (right, bottom) = scale.spot((board.width_mm.number(), board.height_mm.number()));
    let line = MARGIN - 18.0;
    let tick = |from, to| svg::line(from, to).stroke(1.0);
    let middle = (MARGIN + bottom) / 2.0;
    let upright = svg::label((line - 6.0, middle), Anchor::Middle, TEXT, &format!("{} mm", board.height_mm))
        .set("transform", format!("rotate(-90 {:.1} {middle:.1})", line - 6.0));
    vec![
        tick((MARGIN, line), (right, line)),
        tick((MARGIN, line - 5.0), (MARGIN, line + 5.0)),
        tick((right, line - 5.0), (right, line + 5.0)),
        svg::label(
            ((MARGIN + right) / 2.0, line - 6.0),
            Anchor::Middle,
            TEXT,
            &format!("{} mm", board.width_mm),
        ),
        tick((line, MARGIN), (line, bottom)),
        tick((line - 5.0, MARGIN), (line + 5.0, MARGIN)),
        tick((line - 5.0, bottom), (line + 5.0, bottom)),
        upright,
    ]
}

fn free_ground(part: &PartOn<'_>, scale: &Scale) -> Option<Element> {
    let (body, envelope) = (part.body()?, part.envelope()?);
    let asks = envelope != body;
    asks.then(|| scale.rect(&envelope).faint(1.5).set("stroke-opacity", 0.55).set("stroke-dasharray", "6 4"))
}

fn drawn(board: &Board, part: &PartOn<'_>, scale: &Scale, address: &PartLink<'_>) -> Option<Element> {
    let body = part.body()?;
    let class = if part.part.hot { "mounted hot" } else { "mounted" };
    let face = Element::group(class)
        .with(scale.rect(&body).set("class", "plate").set("rx", 3).set("fill", "#fff"))
        .with(scale.rect(&body).stroke(2.0).set("rx", 3))
        .with(wires(part, &body, scale))
        .with_all(part.holes(board).iter().map(|hole| drilled(hole, scale)))
        .with_all(name(part, &body, scale));
    Some(svg::link(leads(part, address), part.name, face))
}

fn leads(part: &PartOn<'_>, address: &PartLink<'_>) -> Option<String> {
    let id = part.subject.id.as_str().to_owned();
    match part.subject.kind {
        SubjectKind::Point => address(DrawnPart::Point(&id.try_into().ok()?)),
        _ => address(DrawnPart::Device(&id.try_into().ok()?)),
    }
}

/// The side where its wires leave, as a heavy line along it.
fn wires(part: &PartOn<'_>, body: &Rect, scale: &Scale) -> Element {
    let (left, top) = scale.spot((body.x_mm, body.y_mm));
    let (right, bottom) = scale.spot((body.right_mm(), body.bottom_mm()));
    let inset = 3.0;
    let (from, to) = match part.leaves() {
        PartSide::Top => ((left, top + inset), (right, top + inset)),
        PartSide::Right => ((right - inset, top), (right - inset, bottom)),
        PartSide::Bottom => ((left, bottom - inset), (right, bottom - inset)),
        PartSide::Left => ((left + inset, top), (left + inset, bottom)),
    };
    svg::line(from, to).signal(4.0)
}

fn drilled(hole: &Drilled, scale: &Scale) -> Element {
    let (x, y) = scale.spot(hole.at_mm);
    let radius = scale.long(hole.d_mm.unwrap_or(3.0) / 2.0).max(1.5);
    Element::new("g")
        .with(svg::circle((x, y), radius).stroke(1.0))
        .with(svg::line((x - radius - 3.0, y), (x + radius + 3.0, y)).faint(1.0))
        .with(svg::line((x, y - radius - 3.0), (x, y + radius + 3.0)).faint(1.0))
}

/// Its name in the middle, along the longer side, with its size if there is room.
fn name(part: &PartOn<'_>, body: &Rect, scale: &Scale) -> Vec<Element> {
    let (width, height) = (scale.long(body.width_mm), scale.long(body.height_mm));
    let (x, y) = scale.spot((body.x_mm + body.width_mm / 2.0, body.y_mm + body.height_mm / 2.0));
    let upright = width < text_width(part.name, TEXT) + 12.0 && height > width;
    let (along, across) = if upright { (height, width) } else { (width, height) };
    let size = format!("{} \u{d7} {}", figure(part.part.width_mm), figure(part.part.height_mm));
    let lines = across > 44.0 && along > text_width(&size, TEXT) + 12.0;
    let turn = format!("rotate(-90 {x:.1} {y:.1})");
    let line = |text: &str, down: f64| {
        let label = svg::label((x, y + down), Anchor::Middle, TEXT, &fitted(text, TEXT, along - 10.0));
        if upright { label.set("transform", &turn) } else { label }
    };
    if across < TEXT + 4.0 {
        return Vec::new();
    }
    if lines {
        vec![line(part.name, -3.0), line(&size, 15.0).set("class", "soft-text")]
    } else {
        vec![line(part.name, 5.0)]
    }
}
