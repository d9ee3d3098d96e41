//! Workings: how a figure is found among them by what it is called, and one of them folded away.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::length;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::opens::Cell;

/// A figure's working, folded away behind the figure.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/working.html")]
pub struct WorkingPiece(pub Working);

impl HtmlSafe for WorkingPiece {}

/// What the workings of a design current are called.
pub const CURRENT: &[&str] = &["design current"];

/// What the workings of a length one way are called: a circuit's, and those of a single wire.
pub const ONE_WAY: &[&str] = &["length one way", "length of the way", "length to cut", length::LENGTH];

/// What the workings of a length, one way or there and back are called.
pub const LENGTH: &[&str] =
    &["length one way", "length there and back", "length of the way", "length to cut", length::LENGTH];

/// What the workings of what a conductor may carry are called.
pub const AMPACITY: &[&str] = &[
    "allowable current",
    "allowable current in an engine space",
    "allowable current in the heat",
    "allowable current in the bundle",
];

/// What the workings of a drop by the handbook are called.
pub const HANDBOOK: &[&str] = &["voltage drop"];

/// What the workings of a drop in the solved network are called.
pub const SOLVED: &[&str] = &["solved drop"];

/// What the workings of a fuse or breaker are called.
pub const PROTECTION: &[&str] = &["largest rating", "allowed ratings", "continuous load", "rating to fit"];

/// What the workings of the protection before a feeder are called.
pub const BEHIND: &[&str] = &["protection before it"];

/// Workings, each folded away behind its result.
pub fn pieces(workings: &[Working]) -> Vec<WorkingPiece> {
    workings.iter().cloned().map(WorkingPiece).collect()
}

/// What a circuit or feeder is designed for, to a tenth of an ampere.
pub fn design_current(of: &str, amperes: f64, workings: &[Working]) -> Cell {
    Cell::new(of, "design current", Figure::rounded(amperes, 1, "A"), workings, CURRENT)
}
