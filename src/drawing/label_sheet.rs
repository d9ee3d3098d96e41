//! A sheet of labels: which labels are used, which will be printed, and which remain.

use super::svg::{self, Caption, Drawing, Element};
use crate::job::label::Stock;

/// Drawing units per millimeter; a sheet then fills a column of a page.
const SCALE: f64 = 1.6;

/// Draws the first sheet with `count` labels to print, beginning at label `start`, counted from 1.
pub fn draw(stock: &Stock, start: usize, count: usize) -> Drawing {
    let (width, height) = stock.paper_mm;
    let size = (width * SCALE, height * SCALE);
    let labels = (1..=stock.per_sheet()).map(|number| label(stock, number, start, count));
    Drawing::picture("label-sheet", size, &caption(stock, start, count))
        .with(svg::rect((0.5, 0.5), size.0 - 1.0, size.1 - 1.0).stroke(1.0))
        .with_all(labels)
}

fn caption(stock: &Stock, start: usize, count: usize) -> Caption {
    let here = count.min(stock.per_sheet() + 1 - start);
    let words = match start {
        1 => format!("{here} labels on the first sheet."),
        start => format!("{} labels are gone; {here} labels follow from number {start} on.", start - 1),
    };
    Caption { title: format!("A sheet of labels: {stock}"), words }
}

fn label(stock: &Stock, number: usize, start: usize, count: usize) -> Element {
    let (left, top) = stock.corner_mm(number - 1);
    let (x, y) = (left * SCALE, top * SCALE);
    let (width, height) = (stock.width_mm * SCALE, stock.height_mm * SCALE);
    let frame = svg::rect((x, y), width, height).set("rx", 2);
    let label = Element::new("g");
    if number < start {
        return label
            .with(frame.faint(1.0).set("stroke-dasharray", "3 3"))
            .with(svg::line((x, y), (x + width, y + height)).faint(1.0));
    }
    if number >= start + count {
        return label.with(frame.faint(1.0));
    }
    let printed = svg::rect((x, y), width, stock.printed_mm() * SCALE).set("rx", 2).set("fill-opacity", 0.16);
    label.with(printed).with(frame.stroke(1.0))
}
