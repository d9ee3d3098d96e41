//! Sheets of labels: every label on its own spot, its face embedded, its code readable.

use driploop::job::label::{STOCKS, Stock};
use driploop::paper::labels::{Sticker, code_mm, sheets};

use crate::pdf::Pdf;

fn stickers(count: usize) -> Vec<Sticker> {
    let sticker = |number: usize| Sticker {
        text: format!("W{number:03}a panel"),
        wire: "14 AWG dark grey".to_owned(),
        address: format!("http://192.168.1.20:7117/jobs/12/wires/C{number:02}-3"),
    };
    (0..count).map(sticker).collect()
}

fn sheet(stock: &Stock, start: usize, count: usize) -> Pdf {
    Pdf::of(&sheets("Labels", stock, start, &stickers(count)).unwrap())
}

#[test]
fn the_sheet_is_as_large_as_its_paper_and_its_face_is_embedded() {
    for stock in STOCKS {
        let pdf = sheet(&stock, 0, 3);
        let (width, height) = stock.paper.size_mm();
        let (pages, [wide, high]) = pdf.pages();
        assert!(
            pages == 1 && (wide - width).abs() < 0.1 && (high - height).abs() < 0.1,
            "{stock}: {wide} x {high}"
        );
        let faces = pdf.faces();
        assert!(
            !faces.is_empty()
                && faces.iter().all(|(name, embedded)| *embedded && name.contains("DejaVuSans")),
            "{faces:?}"
        );
    }
}

#[test]
fn every_label_lies_within_its_own() {
    for stock in STOCKS {
        let count = stock.per_sheet().min(40);
        let words = sheet(&stock, 0, count).boxes();
        let (left, top) = stock.margins_mm();
        for (number, column, row) in places(&stock, count) {
            let word = words.iter().find(|word| word.text == format!("W{number:03}a"));
            let word = word.unwrap_or_else(|| panic!("{stock}: label {number} is missing"));
            let x = left + f64::from(column) * (stock.width_mm + stock.gap_mm);
            let y = top + f64::from(row) * stock.height_mm;
            assert!(
                word.left >= x
                    && word.right <= x + stock.width_mm
                    && word.top >= y - 0.5
                    && word.bottom <= y + stock.printed_mm() + 0.5,
                "{stock}: {word:?} is not on the label at {x:.1}, {y:.1}"
            );
        }
    }
}

/// Each label of a sheet with its column and row.
fn places(stock: &Stock, count: usize) -> impl Iterator<Item = (usize, u16, u16)> {
    let columns = stock.columns;
    let spots = (0..stock.rows).flat_map(move |row| (0..columns).map(move |column| (column, row)));
    spots.take(count).enumerate().map(|(number, (column, row))| (number, column, row))
}

#[test]
fn a_part_used_sheet_is_begun_where_its_labels_begin_and_goes_on_to_the_next() {
    let stock = "a4-3x8".parse::<Stock>().unwrap();
    let pdf = sheet(&stock, 22, 4);
    assert_eq!(pdf.pages().0, 2, "two on the first sheet, two on the next");
    let words = pdf.boxes();
    let first = words.iter().find(|word| word.text == "W000a").unwrap();
    let (left, top) = stock.margins_mm();
    assert!(first.left > left + 66.0 && first.top > top + 7.0 * 33.9, "{first:?}");
}

#[test]
fn text_is_literal_whatever_it_says() {
    let mut stickers = stickers(1);
    stickers[0].text = "#panic() *b* $x$ @a".to_owned();
    stickers[0].wire = "</svg> \\ [red]".to_owned();
    let pdf = Pdf::of(&sheets("= Title #x", &STOCKS[0], 0, &stickers).unwrap());
    let said = pdf.text();
    assert!(said.contains("#panic()") && said.contains("*b*") && said.contains("[red]"), "{said}");
}

#[test]
fn a_code_too_small_to_be_read_is_left_out() {
    let modules = 37;
    assert!(code_mm(&"a4-3x8".parse::<Stock>().unwrap(), modules).is_some_and(|side| side > 20.0));
    assert_eq!(code_mm(&"letter-4x20".parse::<Stock>().unwrap(), 61), None);
}
