//! The drilling template of a board: full size, in overlapping sheets, each with a bar to measure.

use serde::Serialize;

use super::Result;
use super::press;
use crate::job::board::Board;
use crate::job::board::parts::PartOn;
use crate::job::label::Paper;

const TEMPLATE: &str = include_str!("../../templates/paper/drilling.typ");

/// The margin that office printers cannot print on, with a reserve.
const MARGIN_MM: f64 = 12.0;
/// Height of the strip at the bottom of a sheet, for its title and its bar.
const FOOT_MM: f64 = 24.0;
/// Overlap of two adjacent sheets.
const OVERLAP_MM: f64 = 15.0;
/// Length of the bar that shows whether a sheet is printed at full size.
const BAR_MM: f64 = 100.0;

/// Maximum number of sheets for one board.
pub const MOST_SHEETS: usize = 60;

/// The data at the bottom of every sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TemplateHead {
    /// Name of the boat.
    pub boat: String,
    /// Number and name of the job.
    pub job: String,
    /// The date of the template.
    pub date: String,
}

/// How a board is divided into sheets.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Tiling {
    sheet_mm: (f64, f64),
    window_mm: (f64, f64),
    step_mm: (f64, f64),
    columns: u16,
    rows: u16,
}

/// How many sheets a board needs, in the orientation with fewer sheets.
pub fn sheets(paper: Paper, board: &Board) -> usize {
    tiling(paper, board).count()
}

/// The template of a board and of those of its parts that have a position, as PDF.
///
/// # Errors
///
/// [`Error`](super::Error) if the document cannot be made.
pub fn print(head: &TemplateHead, paper: Paper, board: &Board, parts: &[PartOn<'_>]) -> Result<Vec<u8>> {
    let data = Data {
        head,
        name: board.name.as_str(),
        size_mm: (board.width_mm.number(), board.height_mm.number()),
        tiling: tiling(paper, board),
        margin_mm: MARGIN_MM,
        foot_mm: FOOT_MM,
        overlap_mm: OVERLAP_MM,
        bar_mm: BAR_MM,
        parts: parts.iter().filter_map(outlined).collect(),
        holes: parts.iter().flat_map(|part| part.holes(board)).map(Hole::from).collect(),
    };
    press::print(TEMPLATE, &data, Vec::new())
}

fn tiling(paper: Paper, board: &Board) -> Tiling {
    let (width, height) = paper.size_mm();
    let ways = [(width, height), (height, width)].map(|sheet| Tiling::of(sheet, board));
    let [upright, lying] = ways;
    if lying.count() < upright.count() { lying } else { upright }
}

impl Tiling {
    fn of(sheet_mm: (f64, f64), board: &Board) -> Self {
        let window_mm = (sheet_mm.0 - 2.0 * MARGIN_MM, sheet_mm.1 - 2.0 * MARGIN_MM - FOOT_MM);
        let step_mm = (window_mm.0 - OVERLAP_MM, window_mm.1 - OVERLAP_MM);
        let columns = tiles(board.width_mm.number(), step_mm.0);
        let rows = tiles(board.height_mm.number(), step_mm.1);
        Self { sheet_mm, window_mm, step_mm, columns, rows }
    }

    fn count(&self) -> usize {
        usize::from(self.columns) * usize::from(self.rows)
    }
}

/// The number of sheets side by side that show a whole length. The edge itself is shown within a window.
fn tiles(length_mm: f64, step_mm: f64) -> u16 {
    let beyond = (length_mm - OVERLAP_MM).max(0.0) / step_mm;
    // A board is at most 10 m, and a step about 150 mm.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let tiles = beyond.ceil() as u16;
    tiles.max(1)
}

#[derive(Serialize)]
struct Data<'a> {
    head: &'a TemplateHead,
    name: &'a str,
    size_mm: (f64, f64),
    tiling: Tiling,
    margin_mm: f64,
    foot_mm: f64,
    overlap_mm: f64,
    bar_mm: f64,
    parts: Vec<Outline<'a>>,
    holes: Vec<Hole>,
}

/// A part by its outline.
#[derive(Serialize)]
struct Outline<'a> {
    name: &'a str,
    at_mm: (f64, f64),
    size_mm: (f64, f64),
}

#[derive(Serialize)]
struct Hole {
    at_mm: (f64, f64),
    d_mm: Option<f64>,
}

impl From<crate::job::board::parts::Drilled> for Hole {
    fn from(drilled: crate::job::board::parts::Drilled) -> Self {
        Self { at_mm: drilled.at_mm, d_mm: drilled.d_mm }
    }
}

fn outlined<'a>(part: &PartOn<'a>) -> Option<Outline<'a>> {
    let body = part.body()?;
    Some(Outline { name: part.name, at_mm: (body.x_mm, body.y_mm), size_mm: (body.width_mm, body.height_mm) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board(width: f64, height: f64) -> Board {
        serde_json::from_value(serde_json::json!({
            "id": "b", "name": "Board", "location": "p", "width_mm": width, "height_mm": height
        }))
        .unwrap()
    }

    #[test]
    fn a_board_takes_the_orientation_with_the_fewest_sheets() {
        assert_eq!(sheets(Paper::A4, &board(180.0, 240.0)), 1);
        assert_eq!(sheets(Paper::A4, &board(270.0, 160.0)), 1, "lying");
        assert_eq!(sheets(Paper::A4, &board(600.0, 400.0)), 8);
        assert_eq!(tiles(186.0, 171.0), 1, "a window's width is one sheet");
        assert_eq!(tiles(186.1, 171.0), 2);
        assert_eq!(tiles(357.0, 171.0), 2, "two windows less one overlap");
    }
}
