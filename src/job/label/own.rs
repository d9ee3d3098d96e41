//! A label sheet that is not in the list, described by the dimensions that the shop measured.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::stock::{Limit, Stock};
use crate::job::value::{GapMm, SizeMm};

/// The tolerance of a ruler measurement. Only a larger deviation means that the labels do not fit the sheet.
const RULER_MM: f64 = 0.1;

/// Width of one character of a label in millimeters, as for the sheets in the list.
const CHARACTER_MM: f64 = 2.6;

/// The dimensions of a sheet, as measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measures {
    /// Width of the paper.
    pub paper_width_mm: SizeMm,
    /// Height of the paper.
    pub paper_height_mm: SizeMm,
    /// Number of labels side by side.
    pub columns: u16,
    /// Number of labels one below another.
    pub rows: u16,
    /// Width of a label.
    pub width_mm: SizeMm,
    /// Height of a label.
    pub height_mm: SizeMm,
    /// Distance from the left edge of the paper to the first label.
    pub left_mm: GapMm,
    /// Distance from the top edge of the paper to the first label.
    pub top_mm: GapMm,
    /// Distance from the left edge of a label to that of the next one. A single column does not need it.
    pub across_mm: Option<SizeMm>,
    /// Distance from the top edge of a label to that of the one below. A single row does not need it.
    pub down_mm: Option<SizeMm>,
    /// For a self-laminating wrap: the height of the part at the top that can be printed on.
    pub print_mm: Option<SizeMm>,
}

/// Dimensions that do not describe a usable sheet: the field, and the reason.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{field}: {words}")]
pub struct BadSheet {
    /// The field that has to change.
    pub field: &'static str,
    /// What is wrong with it, and what was expected.
    pub words: String,
}

/// A sheet whose labels all lie within the paper and do not overlap.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Measures", into = "Measures")]
pub struct OwnSheet(Measures);

impl OwnSheet {
    /// The dimensions.
    pub fn measures(&self) -> &Measures {
        &self.0
    }

    /// The sheet as a stock for printing.
    pub fn stock(&self) -> Stock {
        let Measures { columns, rows, .. } = self.0;
        let [across, down] = [Axis::across(&self.0), Axis::down(&self.0)];
        Stock {
            key: Stock::OWN,
            paper_mm: (across.paper_mm, down.paper_mm),
            columns,
            rows,
            width_mm: across.label_mm,
            height_mm: down.label_mm,
            first_mm: (across.first_mm, down.first_mm),
            pitch_mm: (across.pitch(), down.pitch()),
            print_mm: self.0.print_mm.map(SizeMm::number),
            limit: Limit::new(characters(across.label_mm)),
        }
    }
}

/// How many characters fit on a label of this width.
fn characters(width_mm: f64) -> usize {
    // Paper is at most 10 m wide.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let characters = (width_mm / CHARACTER_MM) as usize;
    characters.min(Limit::MOST)
}

/// The dimensions of the sheet in one direction, with the names of their fields.
struct Axis {
    paper_mm: f64,
    count: u16,
    label_mm: f64,
    first_mm: f64,
    pitch_mm: Option<SizeMm>,
    count_field: &'static str,
    label_field: &'static str,
    first_field: &'static str,
    pitch_field: &'static str,
    most: u16,
}

impl Axis {
    fn across(measures: &Measures) -> Self {
        Self {
            paper_mm: measures.paper_width_mm.number(),
            count: measures.columns,
            label_mm: measures.width_mm.number(),
            first_mm: measures.left_mm.number(),
            pitch_mm: measures.across_mm,
            count_field: "columns",
            label_field: "width_mm",
            first_field: "left_mm",
            pitch_field: "across_mm",
            most: 50,
        }
    }

    fn down(measures: &Measures) -> Self {
        Self {
            paper_mm: measures.paper_height_mm.number(),
            count: measures.rows,
            label_mm: measures.height_mm.number(),
            first_mm: measures.top_mm.number(),
            pitch_mm: measures.down_mm,
            count_field: "rows",
            label_field: "height_mm",
            first_field: "top_mm",
            pitch_field: "down_mm",
            most: 200,
        }
    }

    /// Distance from one label to the next. For a single label it is the label's own length.
    fn pitch(&self) -> f64 {
        self.pitch_mm.map_or(self.label_mm, SizeMm::number)
    }

    /// Refuses labels that extend beyond the paper or overlap.
    fn check(&self) -> Result<(), BadSheet> {
        let bad = |field, words| Err(BadSheet { field, words });
        let Self { paper_mm, count, label_mm, first_mm, most, .. } = self;
        if !(1..=*most).contains(count) {
            return bad(self.count_field, format!("expected from 1 to {most} labels, not {count}"));
        }
        if *label_mm > paper_mm + RULER_MM {
            return bad(
                self.label_field,
                format!("a label of {label_mm} mm is larger than the paper, {paper_mm} mm"),
            );
        }
        if first_mm + label_mm > paper_mm + RULER_MM {
            let left = paper_mm - label_mm;
            return bad(
                self.first_field,
                format!(
                    "the first label ends beyond the paper: expected at most {left:.1} mm, not {first_mm}"
                ),
            );
        }
        if *count == 1 {
            return Ok(());
        }
        let Some(pitch) = self.pitch_mm.map(SizeMm::number) else {
            return bad(self.pitch_field, format!("needed, as there are {count} labels"));
        };
        if pitch + RULER_MM < *label_mm {
            return bad(
                self.pitch_field,
                format!("the labels overlap: expected at least {label_mm} mm, the label itself, not {pitch}"),
            );
        }
        let end = first_mm + pitch * f64::from(count - 1) + label_mm;
        if end > paper_mm + RULER_MM {
            return bad(
                self.count_field,
                format!(
                    "{count} labels do not fit the paper: {first_mm} + {} × {pitch} + {label_mm} = {end:.1} mm, \
                     and the paper has {paper_mm} mm",
                    count - 1
                ),
            );
        }
        Ok(())
    }
}

impl TryFrom<Measures> for OwnSheet {
    type Error = BadSheet;

    fn try_from(measures: Measures) -> Result<Self, BadSheet> {
        Axis::across(&measures).check()?;
        Axis::down(&measures).check()?;
        let height = measures.height_mm.number();
        match measures.print_mm.map(SizeMm::number) {
            Some(print) if print > height => Err(BadSheet {
                field: "print_mm",
                words: format!("expected at most {height} mm, the height of the label, not {print}"),
            }),
            _ => Ok(Self(measures)),
        }
    }
}

impl From<OwnSheet> for Measures {
    fn from(sheet: OwnSheet) -> Self {
        sheet.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    /// Two by five labels of 90 by 50 mm on A4, 12 mm in and 20 mm down.
    fn sheet(change: &[(&str, Value)]) -> Result<OwnSheet, BadSheet> {
        let mut measures = json!({
            "paper_width_mm": 210, "paper_height_mm": 297, "columns": 2, "rows": 5, "width_mm": 90, "height_mm": 50,
            "left_mm": 12, "top_mm": 20, "across_mm": 95, "down_mm": 51.5, "print_mm": null
        });
        for (field, value) in change {
            measures[*field] = value.clone();
        }
        serde_json::from_value::<Measures>(measures).unwrap().try_into()
    }

    #[test]
    fn a_sheet_is_laid_out_as_it_was_measured() {
        let stock = sheet(&[]).unwrap().stock();
        assert_eq!((stock.per_sheet(), stock.corner_mm(0)), (10, (12.0, 20.0)));
        assert_eq!(stock.corner_mm(9), (12.0 + 95.0, 20.0 + 4.0 * 51.5));
        assert_eq!(stock.to_string(), "Own sheet, 210 × 297 mm, 2 × 5, 90 × 50 mm");
        assert_eq!(stock.limit.characters(), 34);
    }

    #[test]
    fn what_does_not_fit_its_paper_is_refused_by_its_field() {
        let refused = |field: &str, value: Value| sheet(&[(field, value)]).unwrap_err();
        let cases = [
            ("columns", json!(3), "columns", "12 + 2 × 95 + 90 = 292.0 mm"),
            ("columns", json!(0), "columns", "from 1 to 50"),
            ("rows", json!(6), "rows", "20 + 5 × 51.5 + 50 = 327.5 mm"),
            ("width_mm", json!(300), "width_mm", "larger than the paper"),
            ("left_mm", json!(130), "left_mm", "at most 120.0 mm"),
            ("across_mm", json!(80), "across_mm", "overlap"),
            ("down_mm", json!(null), "down_mm", "needed"),
            ("print_mm", json!(60), "print_mm", "at most 50 mm"),
            ("paper_width_mm", json!(190), "columns", "the paper has 190 mm"),
        ];
        for (field, value, named, words) in cases {
            let bad = refused(field, value);
            assert!(bad.field == named && bad.words.contains(words), "{field}: {bad}");
        }
    }

    #[test]
    fn a_single_label_needs_no_pitch() {
        let one =
            [("columns", json!(1)), ("rows", json!(1)), ("across_mm", json!(null)), ("down_mm", json!(null))];
        assert_eq!(sheet(&one).unwrap().stock().per_sheet(), 1);
    }
}
