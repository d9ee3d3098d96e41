//! A drawing of a short piece of wire: its insulation, its stripe, and a sleeve with its label at each end.

use std::fmt::{self, Write as _};

/// One of the standard wire colors, with its name and its drawing color.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Color {
    /// The name in the trade.
    pub name: &'static str,
    /// The color on a page.
    pub fill: &'static str,
}

/// The standard wire colors. Common practice; the shades are chosen by this program so that they are easy to
/// distinguish.
pub const COLORS: [Color; 15] = [
    Color { name: "black", fill: "#1c1a18" },
    Color { name: "white", fill: "#fafafa" },
    Color { name: "gray", fill: "#8a8d90" },
    Color { name: "dark gray", fill: "#565a5e" },
    Color { name: "red", fill: "#c8201e" },
    Color { name: "orange", fill: "#ee7d11" },
    Color { name: "yellow", fill: "#f6cf16" },
    Color { name: "green", fill: "#1f8a3c" },
    Color { name: "blue", fill: "#2160c4" },
    Color { name: "dark blue", fill: "#1b3a86" },
    Color { name: "light blue", fill: "#79bde8" },
    Color { name: "purple", fill: "#6f3a94" },
    Color { name: "pink", fill: "#f090b4" },
    Color { name: "brown", fill: "#74472a" },
    Color { name: "tan", fill: "#d2b48c" },
];

impl Color {
    /// The color with this name.
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim().to_lowercase();
        let name = name.strip_suffix(" stripe").unwrap_or(&name).trim().replace("grey", "gray");
        COLORS.into_iter().find(|color| color.name == name)
    }
}

/// The appearance of a wire's insulation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Jacket {
    /// One color.
    Plain(Color),
    /// One color with a stripe of another.
    Striped(Color, Color),
    /// A color that is not in this table: drawn hatched, with its name as text.
    Unknown,
}

impl Jacket {
    /// Reads a color as people write it: `red`, `yellow with red stripe`, `yellow/red`.
    pub fn read(words: &str) -> Self {
        let words = words.to_lowercase();
        let two =
            words.split_once(" with ").or_else(|| words.split_once('/')).or_else(|| words.split_once(','));
        let read = match two {
            None => Color::named(&words).map(Self::Plain),
            Some((base, stripe)) => {
                Color::named(base).zip(Color::named(stripe)).map(|(base, stripe)| Self::Striped(base, stripe))
            }
        };
        read.unwrap_or(Self::Unknown)
    }
}

/// The data of a wire drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrawnWire {
    /// The name of its color, as on the page.
    pub color: String,
    /// Its size as text: `14 AWG`.
    pub size: String,
    /// The labels on its two sleeves; empty for a bare end.
    pub labels: [String; 2],
    /// The thickness of its insulation in the drawing, in pixels.
    pub thickness: u16,
}

const HEIGHT: u16 = 32;
const MIDDLE: u16 = HEIGHT / 2;
const STRIP: u16 = 18;
const JACKET: u16 = 72;
const CHARACTER: u16 = 10;

impl DrawnWire {
    /// A wire by its color, its size and the labels of its ends.
    pub fn new(color: &str, size: &str, labels: [&str; 2]) -> Self {
        Self {
            color: color.to_owned(),
            size: size.to_owned(),
            labels: labels.map(str::to_owned),
            thickness: 14,
        }
    }

    /// Sets the thickness of the drawing from `area_mm2`, relative to other wires.
    pub fn area_mm2(self, area_mm2: f64) -> Self {
        Self { thickness: thickness(area_mm2), ..self }
    }

    /// The description of the drawing as a text.
    pub fn words(&self) -> String {
        let [from, to] = &self.labels;
        let wire = [self.size.as_str(), self.color.as_str()].join(" ");
        match (from.is_empty(), to.is_empty()) {
            (true, true) => wire,
            (false, true) | (true, false) => format!("{wire}, labeled {from}{to}"),
            (false, false) => format!("{wire}, labeled {from} and {to}"),
        }
    }

    fn sleeve(label: &str) -> u16 {
        if label.is_empty() {
            return 0;
        }
        let characters = u16::try_from(label.chars().count()).unwrap_or(u16::MAX).min(24);
        characters * CHARACTER + 12
    }

    /// The drawing, as wide as its labels need.
    pub fn svg(&self) -> String {
        let (left, right) = (Self::sleeve(&self.labels[0]), Self::sleeve(&self.labels[1]));
        let (start, end) = (STRIP, STRIP + left + JACKET + right);
        let width = end + STRIP;
        let mut svg = format!(
            r#"<svg class="wire" viewBox="0 0 {width} {HEIGHT}" width="{width}" height="{HEIGHT}" role="img" aria-label="{}">"#,
            escaped(&self.words())
        );
        self.draw(&mut svg, start, end, [left, right]);
        svg.push_str("</svg>");
        svg
    }

    fn draw(&self, svg: &mut String, start: u16, end: u16, sleeves: [u16; 2]) {
        let half = self.thickness / 2;
        let (top, bottom, length) = (MIDDLE - half, MIDDLE + half, end - start);
        for offset in [-2_i32, 0, 2] {
            let y = i32::from(MIDDLE) + offset * i32::from(half) / 4;
            put(svg, format_args!(r#"<path class="strand" d="M2 {y}H{}"/>"#, end + STRIP - 2));
        }
        let fill = match Jacket::read(&self.color) {
            Jacket::Plain(color) | Jacket::Striped(color, _) => color.fill,
            Jacket::Unknown => "#ffffff",
        };
        put(svg, format_args!(r#"<path d="M{start} {top}h{length}V{bottom}h-{length}z" fill="{fill}"/>"#));
        match Jacket::read(&self.color) {
            Jacket::Plain(_) => {}
            Jacket::Striped(_, stripe) => self.bands(svg, start, end, 24, 10, stripe.fill),
            Jacket::Unknown => self.bands(svg, start, end, 8, 2, "#16120c"),
        }
        put(
            svg,
            format_args!(r#"<path class="jacket-edge" d="M{start} {top}h{length}V{bottom}h-{length}z"/>"#),
        );
        self.put_sleeve(svg, start, sleeves[0], &self.labels[0]);
        self.put_sleeve(svg, end - sleeves[1], sleeves[1], &self.labels[1]);
    }

    /// Bands around the insulation, each slanted by the thickness of the insulation.
    fn bands(&self, svg: &mut String, start: u16, end: u16, every: u16, wide: u16, fill: &str) {
        let (lean, top) = (self.thickness, MIDDLE - self.thickness / 2);
        let mut path = String::new();
        let mut x = start;
        while x + lean + wide <= end {
            put(&mut path, format_args!("M{x} {}l{lean}-{lean}h{wide}l-{lean} {lean}z", top + lean));
            x += every;
        }
        put(svg, format_args!(r#"<path d="{path}" fill="{fill}"/>"#));
    }

    fn put_sleeve(&self, svg: &mut String, x: u16, width: u16, label: &str) {
        if width == 0 {
            return;
        }
        let middle = x + width / 2;
        put(svg, format_args!(r#"<rect class="sleeve" x="{x}" y="3" width="{width}" height="26" rx="3"/>"#));
        put(
            svg,
            format_args!(r#"<text x="{middle}" y="21.500" text-anchor="middle">{}</text>"#, escaped(label)),
        );
    }
}

impl fmt::Display for DrawnWire {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.svg())
    }
}

impl askama::filters::HtmlSafe for DrawnWire {}

/// Writes into a `String`, which cannot fail.
fn put(svg: &mut String, piece: fmt::Arguments<'_>) {
    let _ = svg.write_fmt(piece);
}

/// The thickness of the insulation in the drawing: by the logarithm of the area, so that 22 AWG and 4/0 both fit a
/// row.
fn thickness(area_mm2: f64) -> u16 {
    match area_mm2 {
        area if area < 0.75 => 8,
        area if area < 1.5 => 10,
        area if area < 4.0 => 12,
        area if area < 12.0 => 16,
        area if area < 40.0 => 20,
        _ => 24,
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colors_are_read_as_people_write_them() {
        let named = |name| Color::named(name).unwrap();
        assert_eq!(Jacket::read("Red"), Jacket::Plain(named("red")));
        assert_eq!(Jacket::read("dark gray"), Jacket::Plain(named("dark gray")));
        let striped = Jacket::Striped(named("yellow"), named("red"));
        assert_eq!(Jacket::read("yellow with red stripe"), striped);
        assert_eq!(Jacket::read("yellow/red"), striped);
        assert_eq!(Jacket::read("yellow, red stripe"), striped);
        assert_eq!(Jacket::read("mauve"), Jacket::Unknown);
    }

    #[test]
    fn every_color_of_the_trades_table_is_drawn() {
        let table = include_str!("../../tests/reference/wire_colors.csv");
        for line in table.lines().skip(2).filter_map(|line| line.split_once(',')) {
            // The source uses British spelling.
            for color in line.0.split(" or ").map(|color| color.replace("grey", "gray")) {
                let spoken_of_loosely =
                    ["green with other stripe", "blue with stripe"].contains(&color.as_str());
                assert!(spoken_of_loosely || Jacket::read(&color) != Jacket::Unknown, "{color}");
            }
        }
    }

    #[test]
    fn labels_stand_on_their_sleeves_and_cannot_break_out() {
        let svg = DrawnWire::new("red", "14 AWG", ["C01-1a", "<b>\"&"]).svg();
        assert!(svg.contains(">C01-1a</text>") && svg.contains("&lt;b&gt;&quot;&amp;"), "{svg}");
        assert!(svg.contains(r#"aria-label="14 AWG red, labeled C01-1a and"#), "{svg}");
    }

    #[test]
    fn a_thicker_wire_is_drawn_thicker() {
        let drawn: Vec<u16> = [0.33, 1.0, 2.08, 5.26, 21.2, 107.2].map(thickness).to_vec();
        assert!(drawn.windows(2).all(|pair| pair[0] < pair[1]), "{drawn:?}");
    }
}
