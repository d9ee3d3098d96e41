//! The one-line diagram on paper: A3, as many sheets as the diagram has, each with a title block.

use serde::Serialize;

use super::Result;
use super::press::{self, PressPicture};
use crate::drawing::svg::Drawing;

const TEMPLATE: &str = include_str!("../../templates/paper/one-line.typ");

/// The title block of every sheet: the fields of ISO 7200.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SheetHead {
    /// Title of the document.
    pub title: &'static str,
    /// Name of the boat.
    pub boat: String,
    /// Number and name of the job.
    pub job: String,
    /// Revision of the plan.
    pub revision: String,
    /// The date of that revision.
    pub date: String,
    /// Who made it.
    pub by: String,
}

#[derive(Serialize)]
struct Data<'a> {
    head: &'a SheetHead,
    sheets: Vec<Sheet>,
}

/// A sheet by the file and the proportions of its drawing.
#[derive(Serialize)]
struct Sheet {
    file: String,
    title: String,
    width: f64,
    height: f64,
}

/// The sheets of a diagram as PDF.
///
/// # Errors
///
/// [`Error`](super::Error) if the document cannot be made.
pub fn print(head: &SheetHead, drawings: &[Drawing]) -> Result<Vec<u8>> {
    let sheets = drawings.iter().zip(1..).map(|(drawing, number): (_, usize)| Sheet {
        file: file(number),
        title: drawing.title().to_owned(),
        width: drawing.width,
        height: drawing.height,
    });
    let data = Data { head, sheets: sheets.collect() };
    let picture =
        |(drawing, number): (&Drawing, usize)| PressPicture { name: file(number), svg: drawing.to_string() };
    press::print(TEMPLATE, &data, drawings.iter().zip(1..).map(picture).collect())
}

fn file(number: usize) -> String {
    format!("sheet-{number}.svg")
}
