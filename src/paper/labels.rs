//! Sheets of labels: two labels for each wire. Each has its text, the description of the wire, and a code that
//! opens the page of that end.

use std::collections::HashMap;

use serde::Serialize;

use super::letters::{Letters, TextRoom};
use super::press::{PressPicture, print};
use super::{Result, qr};
use crate::job::label::Stock;

const TEMPLATE: &str = include_str!("../../templates/paper/labels.typ");

/// The smallest module of a code that a phone can read from an office printer. Common practice, no source.
const LEAST_MODULE_MM: f64 = 0.25;

/// White margin around the contents of a label, and between its text and its code.
const MARGIN_MM: f64 = 1.2;

/// Maximum letter size of a label's text, and of the description under it.
const LARGEST_PT: (f64, f64) = (14.0, 7.0);

/// Maximum share of a label's height for its text; the description of the wire has the rest.
const TEXT_SHARE: f64 = 0.68;

/// The contents of one label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sticker {
    /// The label itself.
    pub text: String,
    /// The description of the wire: `14 AWG dark gray`.
    pub wire: String,
    /// The address of the page for this end of the wire.
    pub address: String,
}

/// A sheet's dimensions for the template.
#[derive(Serialize)]
struct Sheet {
    paper_mm: (f64, f64),
    first_mm: (f64, f64),
    pitch_mm: (f64, f64),
    columns: u16,
    rows: u16,
    width_mm: f64,
    height_mm: f64,
    print_mm: f64,
    margin_mm: f64,
}

#[derive(Serialize)]
struct Data<'a> {
    title: &'a str,
    sheet: Sheet,
    start: usize,
    stickers: Vec<Stuck<'a>>,
}

#[derive(Serialize)]
struct Stuck<'a> {
    text: Letters,
    wire: Letters,
    address: &'a str,
    code: Option<String>,
    code_mm: f64,
}

/// Sheets of labels as PDF. The first sheet begins at label `start`, counted from 0, because the labels before it
/// are used.
///
/// # Errors
///
/// [`Error`](super::Error) if the document cannot be made.
pub fn sheets(title: &str, stock: &Stock, start: usize, stickers: &[Sticker]) -> Result<Vec<u8>> {
    let mut codes = Codes { stock, names: HashMap::new(), pictures: Vec::new() };
    let stuck = stickers.iter().map(|sticker| codes.stick(sticker)).collect::<Result<Vec<_>>>()?;
    let data = Data { title, sheet: Sheet::of(stock), start: start % stock.per_sheet(), stickers: stuck };
    print(TEMPLATE, &data, codes.pictures)
}

/// The size of a code on a label; `None` if it would be too small to read.
pub fn code_mm(stock: &Stock, modules: usize) -> Option<f64> {
    let side = (stock.printed_mm() - 2.0 * MARGIN_MM).min(stock.width_mm * 0.45);
    let modules = u16::try_from(modules).map_or(f64::INFINITY, f64::from);
    (side / modules >= LEAST_MODULE_MM).then_some(side)
}

impl Sheet {
    fn of(stock: &Stock) -> Self {
        Self {
            paper_mm: stock.paper_mm,
            first_mm: stock.first_mm,
            pitch_mm: stock.pitch_mm,
            columns: stock.columns,
            rows: stock.rows,
            width_mm: stock.width_mm,
            height_mm: stock.height_mm,
            print_mm: stock.printed_mm(),
            margin_mm: MARGIN_MM,
        }
    }
}

/// The codes of a document: one image for each end of a wire.
struct Codes<'a> {
    stock: &'a Stock,
    names: HashMap<&'a str, (Option<String>, f64)>,
    pictures: Vec<PressPicture>,
}

impl<'a> Codes<'a> {
    fn stick(&mut self, sticker: &'a Sticker) -> Result<Stuck<'a>> {
        let address = sticker.address.as_str();
        if !self.names.contains_key(address) {
            let drawn = self.draw(address)?;
            self.names.insert(address, drawn);
        }
        let (code, code_mm) = self.names.get(address).cloned().unwrap_or_default();
        let (text, wire) = self.letters(sticker, code_mm);
        Ok(Stuck { text, wire, address, code, code_mm })
    }

    /// The text and the description of the wire, in the space that the code leaves.
    fn letters(&self, sticker: &Sticker, code_mm: f64) -> (Letters, Letters) {
        let beside = if code_mm > 0.0 { code_mm + MARGIN_MM / 2.0 } else { 0.0 };
        let width_mm = self.stock.width_mm - 2.0 * MARGIN_MM - beside;
        let height_mm = self.stock.printed_mm() - 2.0 * MARGIN_MM;
        let room = |share: f64, largest_pt| TextRoom { width_mm, height_mm: height_mm * share, largest_pt };
        let text = Letters::fitted(&sticker.text, room(TEXT_SHARE, LARGEST_PT.0));
        (text, Letters::fitted(&sticker.wire, room(1.0 - TEXT_SHARE, LARGEST_PT.1)))
    }

    fn draw(&mut self, address: &str) -> Result<(Option<String>, f64)> {
        let code = qr::code(address)?;
        let Some(side) = code_mm(self.stock, code.modules) else { return Ok((None, 0.0)) };
        let name = format!("code-{}.svg", self.pictures.len());
        self.pictures.push(PressPicture { name: name.clone(), svg: code.svg });
        Ok((Some(name), side))
    }
}
