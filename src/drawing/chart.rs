//! A line chart: values over time, with a limit and named bands for the modes.

use super::svg::{self, Anchor, Caption, Drawing, Element, text_width};
use crate::trade::working::figure;

/// The size of a chart. A page contains both sizes and shows the one that fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// For a phone held upright.
    Narrow,
    /// For a tablet, a computer or paper.
    Wide,
}

impl Format {
    fn class(self) -> &'static str {
        match self {
            Self::Narrow => "chart narrow",
            Self::Wide => "chart wide",
        }
    }

    fn size(self) -> (f64, f64) {
        match self {
            Self::Narrow => (380.0, 320.0),
            Self::Wide => (860.0, 400.0),
        }
    }
}

/// How an axis is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Divided {
    /// By 1, 2 or 5 times a power of ten.
    Evenly,
    /// By hours of the day: 1, 2, 3, 6, 12, 24.
    ByHours,
}

/// An axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it measures, with the unit: `State of charge, %`.
    pub label: String,
    /// The first and the last value.
    pub range: (f64, f64),
    /// How it is divided.
    pub divided: Divided,
}

/// A limit line across the chart. The values should stay on one side of it.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartLimit {
    /// Its value.
    pub at: f64,
    /// Its name.
    pub label: String,
}

/// A named range of the horizontal axis.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartBand {
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
    /// Its name.
    pub label: String,
}

/// A line chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Its title and description.
    pub caption: Caption,
    /// The horizontal axis.
    pub x: Axis,
    /// The vertical axis.
    pub y: Axis,
    /// The points of the line, from left to right.
    pub points: Vec<(f64, f64)>,
    /// A limit.
    pub limit: Option<ChartLimit>,
    /// Named ranges of the horizontal axis.
    pub bands: Vec<ChartBand>,
}

const TEXT: f64 = 14.0;
/// Width of bold text relative to plain text.
const BOLD: f64 = 1.1;
const LINE: f64 = 20.0;

impl Axis {
    /// The values of its divisions, at most `most` of them.
    pub fn divisions(&self, most: usize) -> Vec<f64> {
        let (low, high) = self.range;
        let span = high - low;
        if !span.is_finite() || span <= 0.0 {
            return vec![low];
        }
        let step = self.step(span, most);
        let mut divisions = Vec::new();
        let mut at = (low / step - 1e-9).ceil();
        while at * step <= high + step * 1e-9 {
            // Adding zero turns a negative zero into a plain zero.
            divisions.push(at * step + 0.0);
            at += 1.0;
        }
        divisions
    }

    fn step(&self, span: f64, most: usize) -> f64 {
        let few = |step: &f64| span / step <= count(most) * (1.0 + 1e-9);
        let tens = 10f64.powf((span / count(most)).log10().floor());
        let even = [1.0, 2.0, 5.0, 10.0].map(|step| step * tens);
        let hours = [1.0, 2.0, 3.0, 6.0, 12.0, 24.0];
        match self.divided {
            Divided::Evenly => even.into_iter().find(few).unwrap_or(span),
            Divided::ByHours => hours.into_iter().find(few).unwrap_or(24.0),
        }
    }

    /// The position of a value as a share of the axis.
    fn share(&self, value: f64) -> f64 {
        let (low, high) = self.range;
        if high > low { (value - low) / (high - low) } else { 0.0 }
    }
}

fn count(most: usize) -> f64 {
    u32::try_from(most.max(1)).map_or(1.0, f64::from)
}

/// The plot area.
struct Field<'a> {
    chart: &'a Chart,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Field<'_> {
    fn x(&self, value: f64) -> f64 {
        self.left + self.chart.x.share(value).clamp(0.0, 1.0) * (self.right - self.left)
    }

    fn y(&self, value: f64) -> f64 {
        self.bottom - self.chart.y.share(value).clamp(0.0, 1.0) * (self.bottom - self.top)
    }
}

impl Chart {
    /// Draws it.
    pub fn draw(&self, format: Format) -> Drawing {
        let (width, height) = format.size();
        let key = self.key(width - 24.0);
        let field = Field {
            chart: self,
            left: 52.0,
            right: width - 16.0,
            top: if self.bands.is_empty() { 36.0 } else { 64.0 },
            bottom: height - 56.0,
        };
        let lines = key.iter().map(|_| LINE).sum::<f64>();
        let drawing = Drawing::picture(format.class(), (width, height + lines), &self.caption)
            .with(svg::label((8.0, 20.0), Anchor::Start, TEXT, &self.y.label))
            .with_all(self.drawn_bands(&field, !key.is_empty()))
            .with(self.grid(&field, format))
            .with_all(self.drawn_limit(&field))
            .with(
                svg::polyline(self.points.iter().map(|(x, y)| (field.x(*x), field.y(*y))))
                    .stroke(2.5)
                    .set("stroke-linejoin", "round"),
            )
            .with(svg::label((field.right, field.bottom + 42.0), Anchor::End, TEXT, &self.x.label));
        let first = height - 2.0;
        drawing.with_all(key.iter().zip(0u8..).map(|(text, at)| {
            svg::label((12.0, first + LINE * f64::from(at) + 6.0), Anchor::Start, TEXT, text)
        }))
    }

    fn grid(&self, field: &Field<'_>, format: Format) -> Element {
        let (across, up) = if format == Format::Narrow { (6, 5) } else { (12, 6) };
        let mut group = Element::group("grid");
        for at in self.y.divisions(up) {
            let y = field.y(at);
            group = group.with(svg::line((field.left, y), (field.right, y)).faint(1.0)).with(svg::label(
                (field.left - 8.0, y + 5.0),
                Anchor::End,
                TEXT,
                &figure(at),
            ));
        }
        for at in self.x.divisions(across) {
            let x = field.x(at);
            group = group
                .with(svg::line((x, field.bottom), (x, field.bottom + 5.0)).stroke(1.0))
                .with(svg::label((x, field.bottom + 21.0), Anchor::Middle, TEXT, &figure(at)));
        }
        group.with(
            svg::polyline([(field.left, field.top), (field.left, field.bottom), (field.right, field.bottom)])
                .stroke(1.5),
        )
    }

    fn drawn_limit(&self, field: &Field<'_>) -> Option<Element> {
        let limit = self.limit.as_ref()?;
        let y = field.y(limit.at);
        let dash = |from, to| svg::line(from, to).signal(1.5).set("stroke-dasharray", "7 4");
        // The name is above the plot area with a piece of its line, where no curve can cross it.
        let name =
            svg::label((field.right, 20.0), Anchor::End, TEXT, &limit.label).set("class", "signal-text");
        let end = field.right - text_width(&limit.label, TEXT) * BOLD - 8.0;
        Some(
            Element::group("limit")
                .with(dash((field.left, y), (field.right, y)))
                .with(dash((end - 25.0, 15.0), (end, 15.0)))
                .with(name),
        )
    }

    /// The key to the bands if their names do not fit above them: one line of text each.
    fn key(&self, width: f64) -> Vec<String> {
        let field = width - 44.0;
        let fits = |band: &ChartBand| {
            let room = (self.x.share(band.to) - self.x.share(band.from)) * field;
            text_width(&band.label, TEXT) + 8.0 <= room
        };
        if self.bands.iter().all(fits) {
            return Vec::new();
        }
        let mut lines: Vec<String> = Vec::new();
        for (letter, name) in self.names().into_iter().enumerate().map(|(at, name)| (letter(at), name)) {
            let entry = format!("{letter} {name}");
            match lines.last_mut() {
                Some(line) if text_width(&format!("{line} \u{b7} {entry}"), TEXT) <= width => {
                    line.push_str(" \u{b7} ");
                    line.push_str(&entry);
                }
                _ => lines.push(entry),
            }
        }
        lines
    }

    /// The names of the bands, each once.
    fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for band in &self.bands {
            if !names.contains(&band.label.as_str()) {
                names.push(&band.label);
            }
        }
        names
    }

    fn drawn_bands(&self, field: &Field<'_>, by_letter: bool) -> Vec<Element> {
        let names = self.names();
        let band = |(at, band): (usize, &ChartBand)| {
            let (left, right) = (field.x(band.from), field.x(band.to));
            let number = names.iter().position(|name| *name == band.label).unwrap_or_default();
            let text = if by_letter { letter(number) } else { band.label.clone() };
            let shade = if at % 2 == 0 { 0.07 } else { 0.0 };
            let fill = svg::rect((left, field.top - 26.0), right - left, field.bottom - field.top + 26.0)
                .set("class", "band")
                .set("fill", "currentColor")
                .num("fill-opacity", shade);
            let mut group = Element::new("g").with(fill);
            if text_width(&text, TEXT) <= right - left {
                let middle = f64::midpoint(left, right);
                group = group.with(svg::label((middle, field.top - 9.0), Anchor::Middle, TEXT, &text));
            }
            group
        };
        self.bands.iter().enumerate().map(band).collect()
    }
}

/// The letter of a band in the key.
fn letter(at: usize) -> String {
    u8::try_from(at)
        .ok()
        .filter(|at| *at < 26)
        .map_or_else(|| (at + 1).to_string(), |at| char::from(b'A' + at).to_string())
}
