//! Converts meters on the boat to positions on the drawing, and places the names.

use super::outline::Outline;
use crate::drawing::svg::{self, Anchor, Element, TextBox, fitted};
use crate::trade::units::{FOOT_M, Units, meters};

/// Margin around the boat.
const MARGIN: f64 = 46.0;
/// Length of the boat in the drawing with the bow to the right, and width with the bow up.
const LONG: f64 = 860.0;
const WIDE: f64 = 268.0;

/// The direction of the bow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bow {
    /// To the right: for wide screens and paper.
    Right,
    /// Up: for a phone held upright.
    Up,
}

/// The coordinates of a boat drawing.
pub struct Sheet {
    bow: Bow,
    length: f64,
    beam: f64,
    /// Units of the drawing per meter.
    scale: f64,
}

impl Sheet {
    /// The coordinates for a boat.
    pub fn new(outline: &Outline, bow: Bow) -> Self {
        let scale = match bow {
            Bow::Right => LONG / outline.length,
            Bow::Up => WIDE / outline.beam,
        };
        Self { bow, length: outline.length, beam: outline.beam, scale }
    }

    /// Width and height, with room for the scale under the boat.
    pub fn size(&self) -> (f64, f64) {
        let (long, wide) = (self.length * self.scale, self.beam * self.scale);
        match self.bow {
            Bow::Right => (long + 2.0 * MARGIN, wide + 3.0 * MARGIN),
            Bow::Up => (wide + 2.0 * MARGIN, long + 3.0 * MARGIN),
        }
    }

    /// The drawing position of a position on the boat, ahead and to starboard in meters.
    pub fn spot(&self, (ahead, starboard): (f64, f64)) -> (f64, f64) {
        match self.bow {
            Bow::Right => (MARGIN + ahead * self.scale, MARGIN + (self.beam / 2.0 + starboard) * self.scale),
            Bow::Up => (
                MARGIN + (self.beam / 2.0 + starboard) * self.scale,
                MARGIN + (self.length - ahead) * self.scale,
            ),
        }
    }

    /// A closed line.
    pub fn closed(&self, points: &[(f64, f64)]) -> Element {
        svg::polyline(points.iter().chain(points.first()).map(|point| self.spot(*point)))
    }

    /// The centerline, as drawings have it: long and short dashes.
    pub fn centerline(&self) -> Element {
        svg::line(self.spot((-0.2, 0.0)), self.spot((self.length + 0.2, 0.0)))
            .faint(1.0)
            .set("stroke-dasharray", "16 4 3 4")
    }

    /// A scale bar of a whole length in the reader's units: 3 ft or 1 m.
    pub fn scale_bar(&self, units: Units) -> Vec<Element> {
        let bar_m = match units {
            Units::Us => 3.0 * FOOT_M,
            Units::Metric => 1.0,
        };
        let (_, height) = self.size();
        let (left, base) = (MARGIN, height - MARGIN * 0.7);
        let right = left + bar_m * self.scale;
        let tick = |x: f64| svg::line((x, base - 5.0), (x, base + 5.0)).stroke(2.0);
        vec![
            svg::line((left, base), (right, base)).stroke(2.0),
            tick(left),
            tick(right),
            svg::label(((left + right) / 2.0, base + 20.0), Anchor::Middle, 16.0, &meters(bar_m).text(units)),
        ]
    }

    /// A picture under the boat between transom, stem and sides: complete, and with its own ratio of width to
    /// length.
    pub fn sketch(&self, address: &str) -> Element {
        let (stern, bow) = (self.spot((0.0, -self.beam / 2.0)), self.spot((self.length, self.beam / 2.0)));
        let (long, wide) = (self.length * self.scale, self.beam * self.scale);
        let picture = Element::new("image")
            .set("href", address)
            .set("class", "sketch")
            .set("preserveAspectRatio", "xMidYMid meet")
            .num("width", long)
            .num("height", wide);
        match self.bow {
            Bow::Right => picture.num("x", stern.0).num("y", stern.1),
            Bow::Up => {
                picture.set("transform", format!("translate({:.2} {:.2}) rotate(-90)", stern.0, bow.1 + long))
            }
        }
    }

    /// Units of the drawing per meter, for the script that moves a location.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    fn width(&self) -> f64 {
        self.size().0
    }
}

/// The names on a drawing, and the marks that they must not cover.
#[derive(Debug, Default)]
pub struct PlacedNames {
    taken: Vec<TextBox>,
}

impl PlacedNames {
    /// Reserves the area of a mark.
    pub fn keep_clear(&mut self, (x, y): (f64, f64), radius: f64) {
        self.taken.push(TextBox { left: x - radius, top: y - radius, right: x + radius, bottom: y + radius });
    }

    /// Places a name near its mark where there is room: first to the right, then around it, then farther out.
    pub fn location(
        &mut self,
        spot: (f64, f64),
        radius: f64,
        size: f64,
        name: &str,
        sheet: &Sheet,
    ) -> Vec<Element> {
        let (x, y) = spot;
        let text = fitted(name, size, sheet.width() * 0.46);
        let near = radius + 6.0;
        let locations = [1.0, 2.6, 4.4, 6.4, 8.6].into_iter().flat_map(|far| {
            let drop = (far - 1.0) * size;
            [
                ((x + near, y + 5.5 + drop), Anchor::Start),
                ((x - near, y + 5.5 + drop), Anchor::End),
                ((x, y + near + size * 0.8 + drop), Anchor::Middle),
                ((x, y - near - drop), Anchor::Middle),
                ((x + near, y + 5.5 - drop), Anchor::Start),
                ((x - near, y + 5.5 - drop), Anchor::End),
            ]
        });
        let room = |(at, anchor): &((f64, f64), Anchor)| {
            let own = TextBox::of(*at, *anchor, size, &text);
            let inside = own.left >= 2.0
                && own.right <= sheet.width() - 2.0
                && own.top >= 2.0
                && own.bottom <= sheet.size().1 - 30.0;
            inside && !self.taken.iter().any(|other| own.overlaps(other))
        };
        let (at, anchor) = locations.into_iter().find(room).unwrap_or(((x + near, y + 5.5), Anchor::Start));
        self.taken.push(TextBox::of(at, anchor, size, &text));
        let leader =
            ((at.1 - y).abs() > size * 2.0).then(|| svg::line(spot, (at.0, at.1 - size * 0.4)).faint(1.0));
        let halo = svg::label(at, anchor, size, &text).set("class", "halo");
        leader.into_iter().chain([halo]).collect()
    }
}
