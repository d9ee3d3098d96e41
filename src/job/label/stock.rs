//! The label sheets that a shop buys: paper labels and self-laminating wraps, by their dimensions.
//!
//! Common sizes of the trade, described by paper, columns, rows and dimensions; from memory. On all of these
//! sheets the labels are centered. A sheet that is not in the list is an [`OwnSheet`](super::OwnSheet).

use std::fmt;
use std::str::FromStr;

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};

use crate::job::value::BadValue;

/// The paper a sheet is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// All paper sizes.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Width and height in millimeters, by ISO 216 and ANSI/ASME Y14.1.
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// The name of the paper.
    pub fn words(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// The paper as addresses and forms write it.
    pub fn key(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }
}

/// How many characters fit on a label: at least 8, so that any two wires can be distinguished.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Limit(usize);

impl Limit {
    /// The minimum. Within it a number can distinguish ten million wires.
    pub const LEAST: Self = Self(8);

    /// The maximum. Nobody reads more than this on a wire.
    pub const MOST: usize = 60;

    /// The limit for a number of characters, or the minimum if that is larger.
    pub fn new(characters: usize) -> Self {
        Self(characters.max(Self::LEAST.0))
    }

    /// The number of characters.
    pub fn characters(self) -> usize {
        self.0
    }
}

/// A sheet of labels, with the position of each label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Its name in addresses and in the database.
    pub key: &'static str,
    /// Width and height of the paper.
    pub paper_mm: (f64, f64),
    /// Number of labels side by side.
    pub columns: u16,
    /// Number of labels one below another.
    pub rows: u16,
    /// Width of a label.
    pub width_mm: f64,
    /// Height of a label.
    pub height_mm: f64,
    /// Distance from the left and top edges of the paper to the first label.
    pub first_mm: (f64, f64),
    /// Distance from the corner of a label to that of the next one, across and down.
    pub pitch_mm: (f64, f64),
    /// For a self-laminating wrap: the height of the part at the top that can be printed on. The rest is clear.
    pub print_mm: Option<f64>,
    /// How many characters fit on a label.
    pub limit: Limit,
}

/// The known sheets, paper labels first.
pub const ALL: [Stock; 8] = [
    paper("a4-3x8", Paper::A4, (3, 8), (63.5, 33.9), 2.5, 24),
    paper("a4-4x12", Paper::A4, (4, 12), (45.7, 21.2), 2.5, 18),
    paper("a4-5x13", Paper::A4, (5, 13), (38.1, 21.2), 2.5, 14),
    paper("letter-3x10", Paper::Letter, (3, 10), (66.7, 25.4), 3.15, 24),
    paper("letter-4x20", Paper::Letter, (4, 20), (44.45, 12.7), 7.62, 18),
    wrap("a4-wrap-7x7", Paper::A4, (7, 7), (25.4, 38.1), 12.7, 12),
    wrap("letter-wrap-7x7", Paper::Letter, (7, 7), (25.4, 36.5), 12.7, 12),
    wrap("letter-wrap-4x3", Paper::Letter, (4, 3), (45.0, 80.0), 20.0, 18),
];

/// A sheet of paper labels, centered on the paper, with a gap between the columns and none between the rows.
const fn paper(
    key: &'static str,
    paper: Paper,
    (columns, rows): (u16, u16),
    (width_mm, height_mm): (f64, f64),
    gap_mm: f64,
    characters: usize,
) -> Stock {
    let paper_mm = paper.size_mm();
    let pitch_mm = (width_mm + gap_mm, height_mm);
    let across = columns as f64 * pitch_mm.0 - gap_mm;
    let down = rows as f64 * pitch_mm.1;
    let first_mm = ((paper_mm.0 - across) / 2.0, (paper_mm.1 - down) / 2.0);
    let limit = Limit(characters);
    Stock { key, paper_mm, columns, rows, width_mm, height_mm, first_mm, pitch_mm, print_mm: None, limit }
}

const fn wrap(
    key: &'static str,
    sheet: Paper,
    count: (u16, u16),
    size: (f64, f64),
    print: f64,
    characters: usize,
) -> Stock {
    Stock { print_mm: Some(print), ..paper(key, sheet, count, size, 2.0, characters) }
}

impl Stock {
    /// The key of the sheet that the shop measured itself.
    pub const OWN: &'static str = "own";

    /// How many labels a sheet has.
    pub fn per_sheet(&self) -> usize {
        usize::from(self.columns) * usize::from(self.rows)
    }

    /// The upper left corner of a label, counted from 0 along the rows.
    pub fn corner_mm(&self, index: usize) -> (f64, f64) {
        let columns = usize::from(self.columns);
        let count = |number: usize| u16::try_from(number).map_or(0.0, f64::from);
        let (left, top) = self.first_mm;
        (left + count(index % columns) * self.pitch_mm.0, top + count(index / columns) * self.pitch_mm.1)
    }

    /// Height of the part that can be printed on.
    pub fn printed_mm(&self) -> f64 {
        self.print_mm.unwrap_or(self.height_mm)
    }

    /// The largest outside diameter at which the clear part of a wrap still covers the print once around.
    pub fn wraps_mm(&self) -> Option<f64> {
        self.print_mm.map(|print| (self.height_mm - print) / std::f64::consts::PI)
    }

    /// The paper and its labels as a text.
    fn paper_words(&self) -> String {
        let (width, height) = self.paper_mm;
        match Paper::ALL.into_iter().find(|paper| self.key != Self::OWN && paper.size_mm() == self.paper_mm) {
            Some(paper) => paper.words().to_owned(),
            None => format!("Own sheet, {width} × {height} mm"),
        }
    }
}

/// The key of a sheet: one from the list, or the shop's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "String")]
pub struct StockKey(&'static str);

impl StockKey {
    /// The first sheet in the list.
    pub const FIRST: Self = Self(ALL[0].key);

    /// The shop's own sheet.
    pub const OWN: Self = Self(Stock::OWN);

    /// The key.
    pub fn as_str(self) -> &'static str {
        self.0
    }
}

impl FromStr for StockKey {
    type Err = BadValue;

    fn from_str(key: &str) -> Result<Self, BadValue> {
        let known = ALL.iter().map(|stock| stock.key).chain([Stock::OWN]).find(|known| *known == key);
        known.map(Self).ok_or_else(|| BadValue {
            got: key.to_owned(),
            expected: "one of the sheets of labels in the list",
        })
    }
}

impl<'de> Deserialize<'de> for StockKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(Error::custom)
    }
}

impl From<StockKey> for String {
    fn from(key: StockKey) -> Self {
        key.0.to_owned()
    }
}

impl fmt::Display for StockKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.0)
    }
}

impl fmt::Display for Stock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { columns, rows, width_mm, height_mm, .. } = self;
        write!(f, "{}, {columns} × {rows}, {width_mm} × {height_mm} mm", self.paper_words())?;
        match self.print_mm {
            Some(print) => write!(f, ", self-laminating, {print} mm to print on"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_fits_its_paper_and_has_a_key_of_its_own() {
        for (index, stock) in ALL.iter().enumerate() {
            let (left, top) = stock.first_mm;
            assert!(left > 1.0 && top > 1.0, "{stock}: {left:.1} and {top:.1} mm of margin");
            assert!(stock.limit >= Limit::LEAST && stock.printed_mm() <= stock.height_mm, "{stock}");
            assert_eq!(ALL.iter().position(|other| other.key == stock.key), Some(index));
        }
    }

    #[test]
    fn margins_come_out_as_sheets_are_made() {
        // Common practice, no source, from memory: 24 labels on A4 begin 7.2 mm in and 12.9 mm down; 30 on
        // Letter 3/16 in and 1/2 in.
        let margins = |key: &str| ALL.iter().find(|stock| stock.key == key).unwrap().first_mm;
        let near = |(x, y): (f64, f64), (a, b): (f64, f64)| (x - a).abs() < 0.1 && (y - b).abs() < 0.1;
        assert!(near(margins("a4-3x8"), (7.2, 12.9)), "{:?}", margins("a4-3x8"));
        assert!(near(margins("letter-3x10"), (4.76, 12.7)), "{:?}", margins("letter-3x10"));
    }

    #[test]
    fn a_label_sheet_is_recognized_by_its_measures() {
        assert_eq!(ALL[0].to_string(), "A4, 3 × 8, 63.5 × 33.9 mm");
        assert_eq!(ALL[6].to_string(), "Letter, 7 × 7, 25.4 × 36.5 mm, self-laminating, 12.7 mm to print on");
    }
}
