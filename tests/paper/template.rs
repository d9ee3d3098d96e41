//! The template to drill by, measured on the sheets as a printer gets them.

use driploop::job::board::Board;
use driploop::job::board::parts;
use driploop::job::label::Paper;
use driploop::job::plan::Plan;
use driploop::paper::template::{TemplateHead, print, sheets};
use serde_json::json;

use crate::pdf::{Pdf, Picture};

/// Dots in a millimeter at the resolution the sheets are rendered at.
const DOTS_MM: f64 = 10.0;

fn plan() -> Plan {
    let job = json!({
        "format": 1,
        "job": {"name": "Rewire", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "Sandpiper", "length_m": 7.1},
        "locations": [{"id": "console", "name": "Inside the console"}],
        "boards": [{"id": "b1", "name": "Console board", "location": "console", "width_mm": 420, "height_mm": 300,
            "thickness_mm": 12}],
        "points": [
            {"id": "fb1", "kind": "fuse-block", "location": "console", "positions": 12,
                "footprint": {"width_mm": 165, "height_mm": 84, "screw_mm": 4.2,
                    "holes": [{"x_mm": 8, "y_mm": 42}, {"x_mm": 157, "y_mm": 42, "d_mm": 6}]},
                "mounting": {"board": "b1", "at": {"x_mm": 20, "y_mm": 30}}},
            {"id": "neg1", "kind": "negative-bus", "location": "console",
                "footprint": {"width_mm": 120, "height_mm": 30, "holes": [{"x_mm": 10, "y_mm": 5, "d_mm": 5}]},
                "mounting": {"board": "b1", "at": {"x_mm": 300, "y_mm": 100, "turned": true}}}],
        "devices": [], "circuits": [], "feeders": []
    });
    driploop::job::file::JobFile::read(job.to_string().as_bytes())
        .unwrap_or_else(|error| panic!("{error}"))
        .plan
}

fn template(paper: Paper) -> (Pdf, Board) {
    let plan = plan();
    let board = plan.boards[0].clone();
    let head = TemplateHead {
        boat: "Sandpiper".to_owned(),
        job: "7 Rewire".to_owned(),
        date: "2026-05-01".to_owned(),
    };
    let pdf = print(&head, paper, &board, &parts::on(&plan, &board.id)).unwrap();
    (Pdf::of(&pdf), board)
}

/// The longest run of black in any row of a picture, from where to where.
fn longest_black(picture: &Picture) -> (usize, usize) {
    let mut longest = (0, 0);
    for row in picture.rows() {
        let mut start = None;
        for (x, gray) in row.iter().copied().chain([255]).enumerate() {
            match (gray < 128, start) {
                (true, None) => start = Some(x),
                (false, Some(from)) => {
                    if x - from > longest.1 - longest.0 {
                        longest = (from, x);
                    }
                    start = None;
                }
                _ => {}
            }
        }
    }
    longest
}

#[test]
fn the_bar_on_every_sheet_is_a_hundred_millimeters_long() {
    for paper in Paper::ALL {
        let (pdf, board) = template(paper);
        let (pages, [width, height]) = pdf.pages();
        assert_eq!(pages, sheets(paper, &board), "{}", paper.words());
        let (across, down) = paper.size_mm();
        let as_made = (width - across).abs() < 0.1 && (height - down).abs() < 0.1;
        let lying = (width - down).abs() < 0.1 && (height - across).abs() < 0.1;
        assert!(as_made || lying, "{width} x {height}");
        for page in 1..=pages {
            let picture = pdf.picture(page, 254);
            // The bar is in the foot, where nothing else is as long; the board's own edges are above it.
            let foot = picture.below(picture.height() - 360);
            let (from, to) = longest_black(&foot);
            let long = f64::from(u16::try_from(to - from).unwrap()) / DOTS_MM;
            assert!((long - 100.0).abs() <= 0.3, "{} sheet {page}: {long} mm", paper.words());
        }
    }
}

#[test]
fn holes_are_where_the_plan_has_them_and_say_their_size() {
    let (pdf, _) = template(Paper::A4);
    let text = pdf.text();
    let close: String = text.chars().filter(|letter| !letter.is_whitespace()).collect();
    assert!(close.contains("⌀2.8"), "the pilot hole of a No. 8 in a board: {text}");
    assert!(close.contains("⌀6") && close.contains("⌀5"), "{text}");
    assert!(text.contains("Console board, 420 × 300 mm"), "{text}");
    // The first hole: 20 + 8 mm across and 30 + 42 mm down, and the window begins 12 mm in.
    let picture = pdf.picture(1, 254);
    let (x, y) = (10 * (12 + 28), 10 * (12 + 72));
    assert!(picture.darkest(x, y, 2) < 128, "the cross in the middle of the hole");
    // 2.8 mm across is 1.4 mm out, or 1 mm across and down.
    let ring = [(x - 10, y - 10), (x + 10, y - 10), (x - 10, y + 10), (x + 10, y + 10)];
    assert!(ring.iter().all(|(x, y)| picture.darkest(*x, *y, 1) < 128), "2.8 mm across");
    assert!(picture.darkest(x + 6, y + 6, 1) > 200, "and white within");
}

#[test]
fn a_turned_parts_holes_turn_with_it() {
    let plan = plan();
    let on = parts::on(&plan, &plan.boards[0].id);
    let hole = &on[1].holes(&plan.boards[0])[0];
    // Of 120 by 30 mm turned clockwise, the upper left corner becomes the upper right one: 10 mm along is 10 mm
    // down, and 5 mm down is 5 mm in from the right, of 30.
    assert_eq!(hole.at_mm, (300.0 + 25.0, 100.0 + 10.0));
}

#[test]
fn the_face_of_a_template_is_embedded() {
    let (pdf, _) = template(Paper::Letter);
    let faces = pdf.faces();
    assert!(!faces.is_empty() && faces.iter().all(|(_, embedded)| *embedded), "{faces:?}");
}
