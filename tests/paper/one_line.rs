//! The one-line diagram on A3, as poppler reads it.

use driploop::drawing::one_line::{self, WireTexts};
use driploop::drawing::part::DrawnPart;
use driploop::drawing::svg::Drawing;
use driploop::job::plan::{Circuit, Plan};
use driploop::paper::one_line::{SheetHead, print};
use driploop::shop::demo;

use crate::pdf::Pdf;

fn sheets(plan: &Plan) -> Vec<Drawing> {
    let wire = |part: DrawnPart<'_>| -> WireTexts { one_line::given(plan, part) };
    one_line::draw(plan, &wire, &|_| None).into_iter().map(|sheet| sheet.drawing).collect()
}

fn head(plan: &Plan) -> SheetHead {
    SheetHead {
        title: "One-line diagram",
        boat: plan.boat.name.to_string(),
        job: "7 Rewire".to_owned(),
        revision: "3".to_owned(),
        date: "2026-05-01".to_owned(),
        by: "Ana".to_owned(),
    }
}

#[test]
fn every_sheet_is_a_page_of_a3_with_its_title_block_and_every_name() {
    for file in demo::files().unwrap() {
        let drawings = sheets(&file.plan);
        let pdf = Pdf::of(&print(&head(&file.plan), &drawings).unwrap());
        let (pages, [width, height]) = pdf.pages();
        assert_eq!(pages, drawings.len());
        assert!((width - 420.0).abs() < 0.2 && (height - 297.0).abs() < 0.2, "{width} x {height}");
        let text = pdf.text();
        for part in ["Title", "Revision", "7 Rewire", "2026-05-01", &format!("{pages} of {pages}")] {
            assert!(text.contains(part), "{part}");
        }
        // Long names take lines, so each part of a name is looked for.
        let names = file.plan.circuits.iter().map(Circuit::name_and_label);
        for part in names.flat_map(|name| name.split(' ').map(str::to_owned).collect::<Vec<_>>()) {
            assert!(text.contains(&part), "{part} of {}", file.plan.boat.name);
        }
        assert!(pdf.faces().iter().all(|(_, embedded)| *embedded));
    }
}

/// The least letter is at least 2 mm from its top to its foot, with the descender.
#[test]
fn no_text_is_too_small_to_read_or_off_the_page() {
    for file in demo::files().unwrap() {
        let pdf = Pdf::of(&print(&head(&file.plan), &sheets(&file.plan)).unwrap());
        for word in pdf.boxes() {
            assert!(word.bottom - word.top >= 2.0, "{word:?}");
            let is_on_it = word.left >= 0.0 && word.top >= 0.0 && word.right <= 420.0 && word.bottom <= 297.0;
            assert!(is_on_it, "{word:?}");
        }
    }
}
