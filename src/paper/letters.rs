//! Text in the largest letters that fit.

use serde::Serialize;

use crate::drawing::svg::text_width;

/// A typographic point, in millimeters.
const POINT_MM: f64 = 25.4 / 72.0;
/// Distance between lines, relative to the letter size.
const LINE: f64 = 1.15;
/// Width of bold letters relative to the widths in the calculation.
const BOLD: f64 = 1.1;
/// The step by which letters are made smaller.
const STEP_PT: f64 = 0.25;
/// The smallest letters that are printed.
const LEAST_PT: f64 = 3.5;

/// Text broken into lines, with its letter size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Letters {
    pub(super) lines: Vec<String>,
    pub(super) size_pt: f64,
}

/// The space for a text.
#[derive(Debug, Clone, Copy)]
pub(super) struct TextRoom {
    pub(super) width_mm: f64,
    pub(super) height_mm: f64,
    /// Maximum letter size.
    pub(super) largest_pt: f64,
}

impl Letters {
    /// Bold text in the largest letters that fit, broken between words.
    pub(super) fn fitted(text: &str, room: TextRoom) -> Self {
        let mut size_pt = room.largest_pt;
        loop {
            let lines = lines(text, size_pt, room.width_mm);
            let high = size_pt * POINT_MM * LINE * count(lines.len()) <= room.height_mm;
            let wide = lines.iter().all(|line| width_mm(line, size_pt) <= room.width_mm);
            if high && wide {
                return Self { lines, size_pt };
            }
            if size_pt <= LEAST_PT {
                let lines = lines.iter().flat_map(|line| broken(line, size_pt, room.width_mm)).collect();
                return Self { lines, size_pt };
            }
            size_pt -= STEP_PT;
        }
    }
}

fn count(lines: usize) -> f64 {
    u16::try_from(lines).map_or(f64::INFINITY, f64::from)
}

fn width_mm(text: &str, size_pt: f64) -> f64 {
    text_width(text, size_pt) * BOLD * POINT_MM
}

/// A line broken within a word, if even the smallest letters do not fit.
fn broken(line: &str, size_pt: f64, most_mm: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in line.chars() {
        let full = pieces.last().is_some_and(|piece| {
            !piece.is_empty() && width_mm(&format!("{piece}{letter}"), size_pt) > most_mm
        });
        if full {
            pieces.push(String::new());
        }
        if let Some(piece) = pieces.last_mut() {
            piece.push(letter);
        }
    }
    pieces
}

/// As many words on each line as fit it.
fn lines(text: &str, size_pt: f64, most_mm: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match (lines.last_mut(), longer) {
            (Some(line), Some(longer)) if width_mm(&longer, size_pt) <= most_mm => *line = longer,
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::label::STOCKS;

    #[test]
    fn text_takes_the_room_it_has() {
        let room = TextRoom { width_mm: 30.0, height_mm: 12.0, largest_pt: 14.0 };
        let short = Letters::fitted("C01-3", room);
        assert_eq!((short.lines.as_slice(), short.size_pt), (["C01-3".to_owned()].as_slice(), 14.0));
        let long = Letters::fitted("C01-3a Port sidelight", room);
        assert!(long.lines.len() == 2 && long.size_pt < 14.0, "{long:?}");
    }

    #[test]
    fn what_the_widest_label_may_say_fits_every_stock() {
        for stock in STOCKS {
            let room = TextRoom {
                width_mm: stock.width_mm * 0.5,
                height_mm: stock.printed_mm() * 0.6,
                largest_pt: 14.0,
            };
            let text = "M".repeat(stock.limit.characters());
            let set = Letters::fitted(&text, room);
            assert!(width_mm(&set.lines[0], set.size_pt) <= room.width_mm, "{stock}: {set:?}");
        }
    }
}
