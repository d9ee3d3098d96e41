//! Sheets of labels: every label at its own position, its face embedded, its code readable.

use std::ops::Range;

use driploop::job::label::{Measures, OwnSheet, STOCKS, Stock, StockKey};
use driploop::paper::labels::{Sticker, code_mm, sheets};
use driploop::shop::labels::LabelSetting;

use crate::pdf::{Pdf, Picture};

fn stickers(count: usize) -> Vec<Sticker> {
    let sticker = |number: usize| Sticker {
        text: format!("W{number:03}a panel"),
        wire: "14 AWG dark gray".to_owned(),
        address: format!("http://192.168.1.20:7117/jobs/12/wires/C{number:02}-3"),
    };
    (0..count).map(sticker).collect()
}

fn listed(key: &str) -> Stock {
    LabelSetting::default().sheet(key.parse::<StockKey>().unwrap()).unwrap()
}

fn sheet(stock: &Stock, start: usize, count: usize) -> Pdf {
    Pdf::of(&sheets("Labels", stock, start, &stickers(count)).unwrap())
}

#[test]
fn the_sheet_is_as_large_as_its_paper_and_its_face_is_embedded() {
    for stock in STOCKS {
        let pdf = sheet(&stock, 0, 3);
        let (width, height) = stock.paper_mm;
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
        let (left, top) = stock.first_mm;
        for (number, column, row) in locations(&stock, count) {
            let word = words.iter().find(|word| word.text == format!("W{number:03}a"));
            let word = word.unwrap_or_else(|| panic!("{stock}: label {number} is missing"));
            let x = left + f64::from(column) * stock.pitch_mm.0;
            let y = top + f64::from(row) * stock.pitch_mm.1;
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
fn locations(stock: &Stock, count: usize) -> impl Iterator<Item = (usize, u16, u16)> {
    let columns = stock.columns;
    let spots = (0..stock.rows).flat_map(move |row| (0..columns).map(move |column| (column, row)));
    spots.take(count).enumerate().map(|(number, (column, row))| (number, column, row))
}

#[test]
fn a_part_used_sheet_is_begun_where_its_labels_begin_and_goes_on_to_the_next() {
    let stock = listed("a4-3x8");
    let pdf = sheet(&stock, 22, 4);
    assert_eq!(pdf.pages().0, 2, "two on the first sheet, two on the next");
    let words = pdf.boxes();
    let first = words.iter().find(|word| word.text == "W000a").unwrap();
    let (left, top) = stock.first_mm;
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
    assert!(code_mm(&listed("a4-3x8"), modules).is_some_and(|side| side > 20.0));
    assert_eq!(code_mm(&listed("letter-4x20"), 61), None);
}

/// Three by four labels of 58 by 47 mm on paper of 200 by 250 mm: no two measures are alike.
fn own() -> Stock {
    let measures: Measures = serde_json::from_value(serde_json::json!({
        "paper_width_mm": 200, "paper_height_mm": 250, "columns": 3, "rows": 4, "width_mm": 58, "height_mm": 47,
        "left_mm": 8.5, "top_mm": 21, "across_mm": 63.5, "down_mm": 52, "print_mm": 30
    }))
    .unwrap();
    OwnSheet::try_from(measures).unwrap().stock()
}

/// The box of what is dark between these columns and rows of dots, as left, top, right and bottom.
fn ink(picture: &Picture, across: Range<usize>, down: Range<usize>) -> Option<[usize; 4]> {
    let dark = picture.rows().enumerate().skip(down.start).take(down.len()).flat_map(|(y, row)| {
        let across = across.clone();
        across.filter(move |x| row[*x] < 128).map(move |x| (x, y))
    });
    dark.fold(None, |ink, (x, y)| {
        let [left, top, right, bottom] = ink.unwrap_or([x, y, x + 1, y + 1]);
        Some([left.min(x), top.min(y), right.max(x + 1), bottom.max(y + 1)])
    })
}

#[test]
fn a_sheet_of_the_shops_own_comes_out_at_its_measures() {
    let stock = own();
    let pdf = sheet(&stock, 0, 12);
    let (pages, [wide, high]) = pdf.pages();
    assert!(pages == 1 && (wide - 200.0).abs() < 0.1 && (high - 250.0).abs() < 0.1, "{wide} x {high}");
    // At 254 dots an inch ten dots are a millimeter.
    let picture = pdf.picture(1, 254);
    let dots = |mm| crate::dots(mm, 254);
    let mm = |dots: usize| f64::from(u16::try_from(dots).unwrap()) / 10.0;
    let side = code_mm(&stock, 37).unwrap();
    let quiet = side / 37.0 * 4.0;
    for (column, row) in (0..3u16).flat_map(|column| (0..4u16).map(move |row| (column, row))) {
        let (x, y) = (8.5 + 63.5 * f64::from(column), 21.0 + 52.0 * f64::from(row));
        // The code stands at the right of the label, 1.2 mm in, in the middle of the part that takes print.
        let right = x + 58.0 - 1.2;
        let [from, top, to, bottom] =
            ink(&picture, dots(right - side)..dots(right), dots(y)..dots(y + 47.0)).unwrap();
        let middle = y + 15.0;
        let expected =
            [right - side + quiet, middle - side / 2.0 + quiet, right - quiet, middle + side / 2.0 - quiet];
        for (found, expected) in [from, top, to, bottom].map(mm).into_iter().zip(expected) {
            assert!((found - expected).abs() <= 0.3, "label {column}, {row}: {found} mm, not {expected:.2}");
        }
    }
    // Nothing is printed between the labels: not in the gap of 5.5 mm, nor on the clear part of the wraps.
    assert_eq!(ink(&picture, dots(67.0)..dots(71.5), 0..picture.height()), None);
    assert_eq!(ink(&picture, 0..dots(200.0), dots(51.5)..dots(72.5)), None);
}
