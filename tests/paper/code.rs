//! The code on a printed label, read by another program's reader (ISO/IEC 18004), from the sheet as it comes out.

use driploop::job::label::{STOCKS, Stock};
use driploop::paper::labels::{Sticker, code_mm, sheets};

use crate::pdf::{Pdf, Picture};

/// Wires as a shop's sheet would have them, on an address in the shop's own network.
fn stickers(count: usize) -> Vec<Sticker> {
    let sticker = |number: usize| Sticker {
        text: format!("C{number:02}-3a panel"),
        wire: "14 AWG dark gray".to_owned(),
        address: format!("http://192.168.1.20:7117/jobs/12/wires/C{number:02}-3"),
    };
    (1..=count).map(sticker).collect()
}

/// Dots an inch of the pictures the codes are read from, as a telephone held over a label has at least.
const DOTS: u32 = 400;

/// What the code on one label of a sheet says, from a picture of that label alone.
fn read(sheet: &Picture, stock: &Stock, index: usize) -> Option<String> {
    let dots = |mm| crate::dots(mm, DOTS);
    let (left, top) = stock.corner_mm(index);
    let (left, top) = (dots(left), dots(top));
    let (width, height) = (dots(stock.width_mm), dots(stock.printed_mm()));
    let mut label = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| {
        sheet.darkest(left + x, top + y, 0)
    });
    let codes = label.detect_grids();
    assert!(codes.len() < 2, "{} codes on label {index} of {stock}", codes.len());
    codes.first().map(|code| code.decode().expect("a code that reads").1)
}

/// Whether a code of these addresses is printed on a label at all.
fn is_printed(stock: &Stock) -> bool {
    // An address of 46 characters is version 3, 29 modules, at level L (ISO/IEC 18004, table 7), with 4 white
    // ones on each side.
    code_mm(stock, 29 + 8).is_some()
}

#[test]
fn every_code_of_a_sheet_opens_its_own_wire() {
    for stock in STOCKS {
        let stickers = stickers(stock.per_sheet().min(8));
        let pdf = Pdf::of(&sheets("Labels", &stock, 0, &stickers).unwrap());
        let picture = pdf.picture(1, DOTS);
        for (index, sticker) in stickers.into_iter().enumerate() {
            let said = read(&picture, &stock, index);
            assert_eq!(said, is_printed(&stock).then_some(sticker.address), "{stock}, label {index}");
        }
    }
}

#[test]
fn most_sheets_have_codes() {
    assert!(STOCKS.iter().filter(|stock| is_printed(stock)).count() >= 6);
}
