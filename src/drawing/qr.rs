//! A QR code (ISO/IEC 18004) as a drawing: dark squares on white with the quiet margin of four squares around them.

use std::fmt::Write as _;

use qrcode::{Color, EcLevel, QrCode};

use super::svg::{Caption, Drawing, Element, rect};

/// The white margin on each side, in squares.
const QUIET: usize = 4;
/// The size of a square, in pixels.
const SQUARE: u16 = 4;

/// The code for an address; `None` if the address is too long for a code.
///
/// It corrects up to 15 % of damage. A label on a wire needs this, and a short address leaves room for it.
pub fn draw(address: &str, caption: &Caption) -> Option<Drawing> {
    let code = QrCode::with_error_correction_level(address, EcLevel::M).ok()?;
    let side = u16::try_from(code.width() + 2 * QUIET).ok()? * SQUARE;
    let size = f64::from(side);
    let paper = rect((0.0, 0.0), size, size).set("fill", "#ffffff");
    let squares = Element::new("path").set("fill", "#000000").set("d", squares(&code));
    let drawing = Drawing::picture("qr", (size, size), caption);
    Some(drawing.with(paper).with(squares.set("shape-rendering", "crispEdges")))
}

/// The dark squares, row by row; adjacent squares are drawn as one.
fn squares(code: &QrCode) -> String {
    let (colors, width, square) = (code.to_colors(), code.width(), usize::from(SQUARE));
    let mut path = String::new();
    for (row, colors) in colors.chunks(width).enumerate() {
        let mut column = 0;
        while column < width {
            let run = colors[column..].iter().take_while(|color| **color == Color::Dark).count();
            if run > 0 {
                let (x, y) = ((column + QUIET) * square, (row + QUIET) * square);
                // Writing to a `String` cannot fail.
                let _ = write!(path, "M{x} {y}h{}v{square}h-{}z", run * square, run * square);
            }
            column += run.max(1);
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(address: &str) -> Option<Drawing> {
        draw(address, &Caption { title: "Code".to_owned(), words: address.to_owned() })
    }

    /// Versions 1 to 40 have 21 to 177 squares a side (ISO/IEC 18004, table 1). At level M, version 3 holds 42
    /// bytes and version 4 holds 62 (table 7).
    #[test]
    fn a_code_is_as_large_as_its_address_needs() {
        let side = |bytes: usize| drawn(&"a".repeat(bytes)).map(|drawing| drawing.width);
        assert_eq!(side(42), Some(f64::from((29 + 8) * 4)));
        assert_eq!(side(43), Some(f64::from((33 + 8) * 4)));
        assert_eq!(side(3000), None, "level M takes at most 2331 bytes");
    }

    #[test]
    fn the_corner_marks_are_where_a_scanner_looks_for_them() {
        let drawing = drawn("http://127.0.0.1:8640/jobs/1/wires/C01-1").unwrap().to_string();
        // The finder patterns are seven squares wide: at the left, and as far at the right.
        assert!(drawing.contains("M16 16h28v4h-28z"), "{drawing}");
        assert!(drawing.contains("M104 16h28v4h-28z"), "{drawing}");
    }
}
