//! Voltage along a circuit: from the battery's post out to the device and back on the negative.
//!
//! The path is drawn from top to bottom. Each stop has a row with the voltage that a meter should read there
//! against the battery's negative post. Beside it a line moves to the right by the drop from stop to stop. So the
//! largest step shows where to look. The limit is a line that the drop should not reach.

use super::svg::{self, Anchor, Caption, Drawing, Element, fitted, text_width};
use super::symbol;
use crate::trade::units::{self, Units};

/// The kind of a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopKind {
    /// The positive post of the source.
    PositivePost,
    /// A fuse.
    Fuse,
    /// A breaker.
    Breaker,
    /// A switch.
    Switch,
    /// A terminal of a junction bar.
    Terminal,
    /// A bus bar or another distribution point that several circuits share.
    Shared,
    /// The positive side of the device.
    Device,
    /// The negative side of the device.
    DeviceReturn,
    /// The negative post of the source.
    NegativePost,
}

/// A stop on the path.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: StopKind,
    /// Volts against the negative post of the source.
    pub volts: f64,
    /// Meters of conductor from the stop before.
    pub meters: f64,
}

/// The whole path.
#[derive(Debug, Clone, PartialEq)]
pub struct VoltagePath {
    /// Its title and description.
    pub caption: Caption,
    /// The stops, from the positive post to the negative one.
    pub stops: Vec<Stop>,
    /// The maximum voltage drop in volts.
    pub limit: Option<f64>,
    /// The units of the lengths.
    pub units: Units,
}

const WIDTH: f64 = 380.0;
const TEXT: f64 = 14.0;
/// Width of bold text relative to plain text.
const BOLD: f64 = 1.1;
const ROW: f64 = 44.0;
const TOP: f64 = 56.0;
const WIRE: f64 = 22.0;
const NAME: f64 = 44.0;
const LEFT: f64 = 232.0;
const RIGHT: f64 = 366.0;

impl VoltagePath {
    /// The voltage drop up to each stop: along the positive side, then along the negative.
    pub fn lost(&self) -> Vec<f64> {
        let mut lost = 0.0;
        let mut before: Option<&Stop> = None;
        let step = |stop: &Stop, before: &Stop| match (before.kind, stop.kind) {
            // The voltage across the device is used there, so it is not part of the drop.
            (StopKind::Device, StopKind::DeviceReturn) => 0.0,
            _ => before.volts - stop.volts,
        };
        self.stops
            .iter()
            .map(|stop| {
                lost += before.map_or(0.0, |before| step(stop, before));
                before = Some(stop);
                lost
            })
            .collect()
    }

    /// Draws it.
    pub fn draw(&self) -> Drawing {
        let lost = self.lost();
        let most = lost.iter().copied().chain(self.limit).fold(0.0, f64::max);
        let scale = if most > 0.0 { (RIGHT - LEFT) / (most * 1.08) } else { 0.0 };
        let row = |at: usize| TOP + ROW * u32::try_from(at).map_or(0.0, f64::from);
        let height = row(self.stops.len()) + 6.0;
        let line = lost.iter().enumerate().map(|(at, lost)| (LEFT + lost * scale, row(at)));
        let over = self.limit.is_some_and(|limit| lost.last().is_some_and(|lost| *lost > limit));
        let line = svg::polyline(line);
        Drawing::picture("voltage-path", (WIDTH, height), &self.caption)
            .with(svg::label((WIRE - 14.0, 20.0), Anchor::Start, TEXT, "Meter reads"))
            .with(svg::label((LEFT, 20.0), Anchor::Start, TEXT, "Drop so far, V"))
            .with_all(self.drawn_limit(scale, height))
            .with(svg::line((LEFT, TOP - 12.0), (LEFT, height - ROW + 4.0)).faint(1.0))
            .with_all((0..self.stops.len()).map(|at| self.drawn_stop(at, row(at))))
            .with(if over { line.signal(2.5) } else { line.stroke(2.5) }.set("stroke-linejoin", "round"))
            .with_all(lost.iter().enumerate().map(|(at, lost)| {
                svg::circle((LEFT + lost * scale, row(at)), 3.5).set("fill", "currentColor")
            }))
            .with_all(lost.last().map(|lost| {
                let text = volts(*lost);
                svg::label((RIGHT, height - 12.0), Anchor::End, TEXT, &text)
                    .set("class", if over { "signal-text" } else { "total" })
            }))
    }

    fn drawn_limit(&self, scale: f64, height: f64) -> Option<Element> {
        let limit = self.limit?;
        let x = LEFT + limit * scale;
        let text = format!("limit {}", volts(limit));
        let middle = x.min(RIGHT + 8.0 - text_width(&text, TEXT) * BOLD / 2.0);
        Some(
            Element::group("limit")
                .with(
                    svg::line((x, TOP - 12.0), (x, height - ROW + 4.0))
                        .signal(1.5)
                        .set("stroke-dasharray", "7 4"),
                )
                .with(svg::label((middle, 39.0), Anchor::Middle, TEXT, &text).set("class", "signal-text")),
        )
    }

    fn drawn_stop(&self, at: usize, y: f64) -> Element {
        let stop = &self.stops[at];
        let name = fitted(&stop.name, TEXT, LEFT - NAME - 12.0);
        let reading = volts(stop.volts);
        let mut group = Element::group("stop")
            .with(svg::line((NAME, y + 22.0), (RIGHT, y + 22.0)).faint(0.75))
            .with(svg::label((NAME, y - 3.0), Anchor::Start, TEXT, &name))
            .with(svg::label((NAME, y + 14.0), Anchor::Start, TEXT, &reading).set("class", "reading"));
        if let Some(next) = self.stops.get(at + 1) {
            group = group.with(wire(stop.kind, next.kind, y));
            if next.meters > 0.0 {
                let length = units::meters(next.meters).text(self.units);
                let text = svg::label((LEFT - 10.0, y + 14.0), Anchor::End, TEXT, &length);
                group = group.with(text.set("class", "soft-text"));
            }
        }
        group.with(drawn_kind(stop.kind, y))
    }
}

/// Volts as a meter shows them.
fn volts(value: f64) -> String {
    format!("{:.2} V", if value.abs() < 0.005 { 0.0 } else { value })
}

/// The wire from one stop to the next, between their symbols; across the device it is faint.
fn wire(kind: StopKind, next: StopKind, y: f64) -> Element {
    let line = svg::line((WIRE, y + half(kind)), (WIRE, y + ROW - half(next)));
    if kind == StopKind::Device && next == StopKind::DeviceReturn {
        line.faint(1.5).set("stroke-dasharray", "3 4")
    } else {
        line.stroke(1.5)
    }
}

/// Half the height of a stop's symbol.
fn half(kind: StopKind) -> f64 {
    match kind {
        StopKind::PositivePost | StopKind::NegativePost => 9.0,
        StopKind::Device | StopKind::DeviceReturn => 6.0,
        _ => symbol::WIDTH / 2.0,
    }
}

/// The symbol of a stop, rotated into the direction of the wire.
fn drawn_kind(kind: StopKind, y: f64) -> Element {
    let spot = (0.0, 0.0);
    let drawn = match kind {
        StopKind::PositivePost | StopKind::NegativePost => post(kind),
        StopKind::Fuse => symbol::fuse(spot),
        StopKind::Breaker => symbol::breaker(spot),
        StopKind::Switch => symbol::switch(spot),
        StopKind::Terminal => symbol::terminal(spot),
        StopKind::Shared => symbol::junction(spot),
        StopKind::Device | StopKind::DeviceReturn => return device(kind, y),
    };
    let turned =
        if matches!(kind, StopKind::PositivePost | StopKind::NegativePost) { "" } else { " rotate(90)" };
    Element::new("g").set("transform", format!("translate({WIRE} {y}){turned}")).with(drawn)
}

fn post(kind: StopKind) -> Element {
    let sign = Element::group("symbol")
        .with(svg::circle((0.0, 0.0), 9.0).stroke(1.5))
        .with(svg::line((-5.0, 0.0), (5.0, 0.0)).stroke(1.5));
    if kind == StopKind::PositivePost {
        sign.with(svg::line((0.0, -5.0), (0.0, 5.0)).stroke(1.5))
    } else {
        sign
    }
}

/// One half of the device: an open box. The other half in the next row closes it.
fn device(kind: StopKind, y: f64) -> Element {
    let (end, open) = if kind == StopKind::Device { (y - 6.0, y + 4.0) } else { (y + 6.0, y - 4.0) };
    let half = [(WIRE - 9.0, open), (WIRE - 9.0, end), (WIRE + 9.0, end), (WIRE + 9.0, open)];
    Element::group("symbol").with(svg::polyline(half).stroke(1.5))
}
