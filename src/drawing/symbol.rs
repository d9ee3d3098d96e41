//! Symbols of a supply in the style of IEC 60617, each in a horizontal line.
//!
//! A symbol gets the middle of its line as its position, and leaves a gap of [`WIDTH`] for itself.

use super::svg::{self, Anchor, Element};

/// The gap that a symbol leaves in its line.
pub const WIDTH: f64 = 28.0;
const HALF: f64 = WIDTH / 2.0;
const STROKE: f64 = 1.5;

/// A fuse: a box with the line going through.
pub fn fuse((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::rect((x - HALF, y - 5.0), WIDTH, 10.0).stroke(STROKE))
        .with(svg::line((x - HALF, y), (x + HALF, y)).stroke(STROKE))
}

/// A circuit breaker: a make contact with a cross at its fixed end.
pub fn breaker((x, y): (f64, f64)) -> Element {
    let at = x + HALF - 3.0;
    make_contact((x, y))
        .with(svg::line((at - 4.0, y - 4.0), (at + 4.0, y + 4.0)).stroke(STROKE))
        .with(svg::line((at - 4.0, y + 4.0), (at + 4.0, y - 4.0)).stroke(STROKE))
}

/// A switch: a make contact.
pub fn switch((x, y): (f64, f64)) -> Element {
    make_contact((x, y)).with(svg::circle((x - HALF + 2.0, y), 2.0).set("fill", "currentColor"))
}

fn make_contact((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::line((x - HALF, y), (x - HALF + 2.0, y)).stroke(STROKE))
        .with(svg::line((x - HALF + 2.0, y), (x + HALF - 5.0, y - 7.0)).stroke(STROKE))
        .with(svg::line((x + HALF - 3.0, y), (x + HALF, y)).stroke(STROKE))
}

/// A terminal of a junction bar: a small open circle.
pub fn terminal((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::circle((x, y), 4.0).stroke(STROKE))
        .with(svg::line((x - HALF, y), (x - 4.0, y)).stroke(STROKE))
        .with(svg::line((x + 4.0, y), (x + HALF, y)).stroke(STROKE))
}

/// A point where several conductors meet: a dot.
pub fn junction((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::line((x - HALF, y), (x + HALF, y)).stroke(STROKE))
        .with(svg::circle((x, y), 3.5).set("fill", "currentColor"))
}

/// A lamp: a circle with a cross.
pub fn lamp((x, y): (f64, f64)) -> Element {
    let (reach, radius) = (6.4, 9.0);
    Element::group("symbol")
        .with(svg::circle((x, y), radius).stroke(STROKE))
        .with(svg::line((x - reach, y - reach), (x + reach, y + reach)).stroke(STROKE))
        .with(svg::line((x - reach, y + reach), (x + reach, y - reach)).stroke(STROKE))
        .with(svg::line((x - HALF, y), (x - radius, y)).stroke(STROKE))
}

/// A load of any other kind: an open box at the end of its line.
pub fn load((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::rect((x - 9.0, y - 7.0), 18.0, 14.0).stroke(STROKE))
        .with(svg::line((x - HALF, y), (x - 9.0, y)).stroke(STROKE))
}

/// Where a line goes on or comes from another sheet: an arrow head in the direction of the line.
pub fn elsewhere((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::polyline([(x - 8.0, y - 6.0), (x + 4.0, y), (x - 8.0, y + 6.0)]).stroke(STROKE))
}

/// A battery of two cells, its positive post to the right.
pub fn battery((x, y): (f64, f64)) -> Element {
    let plate =
        |at: f64, half: f64, width: f64| svg::line((x + at, y - half), (x + at, y + half)).stroke(width);
    Element::group("symbol")
        .with(plate(-8.0, 6.0, 3.5))
        .with(plate(-2.5, 11.0, STROKE))
        .with(plate(3.0, 6.0, 3.5))
        .with(plate(8.5, 11.0, STROKE))
        .with(svg::line((x - HALF, y), (x - 8.0, y)).stroke(STROKE))
        .with(svg::line((x + 8.5, y), (x + HALF, y)).stroke(STROKE))
}

/// A source that generates current: a circle with a G.
pub fn generator((x, y): (f64, f64)) -> Element {
    Element::group("symbol")
        .with(svg::circle((x, y), 12.0).stroke(STROKE))
        .with(svg::label((x, y + 5.0), Anchor::Middle, 14.0, "G"))
        .with(svg::line((x + 12.0, y), (x + HALF, y)).stroke(STROKE))
}
