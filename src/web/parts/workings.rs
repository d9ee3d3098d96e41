//! Workings: how to find a figure's working by its quantity, and one working as a fold.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::trade::quantity::Quantity;
use crate::trade::units::Units;
use crate::trade::working::{Working, WorkingText};
use crate::web::kit::figure::Figure;
use crate::web::kit::opens::Cell;

/// A figure's working, folded behind the figure.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/working.html")]
pub struct WorkingPiece(WorkingText);

impl HtmlSafe for WorkingPiece {}

impl WorkingPiece {
    /// A working in the shop's units.
    pub fn new(working: &Working, units: Units) -> Self {
        Self(working.text(units))
    }
}

/// The figures that lead to a design current.
pub const CURRENT: &[Quantity] = &[Quantity::DesignCurrent];

/// The figures that lead to a length one way: a circuit's, and those of a single wire.
pub const ONE_WAY: &[Quantity] =
    &[Quantity::OneWay, Quantity::RouteLength, Quantity::LengthToCut, Quantity::WireLength];

/// The figures that lead to a length, one way or there and back.
pub const LENGTH: &[Quantity] = &[
    Quantity::OneWay,
    Quantity::ThereAndBack,
    Quantity::RouteLength,
    Quantity::LengthToCut,
    Quantity::WireLength,
];

/// The figures that lead to an ampacity.
pub const AMPACITY: &[Quantity] = &[
    Quantity::Ampacity,
    Quantity::AmpacityInEngineSpace,
    Quantity::AmpacityInHeat,
    Quantity::AmpacityInBundle,
];

/// The figures that lead to a calculated drop.
pub const HANDBOOK: &[Quantity] = &[Quantity::DesignLoad, Quantity::HandbookDrop];

/// The figures that lead to a solved drop.
pub const SOLVED: &[Quantity] = &[Quantity::WarmConductor, Quantity::SolvedDrop];

/// The figures that lead to a fuse or breaker.
pub const PROTECTION: &[Quantity] =
    &[Quantity::LargestRating, Quantity::AllowedRatings, Quantity::ContinuousLoad, Quantity::RatingToFit];

/// The figures that lead to the upstream protection of a feeder.
pub const BEHIND: &[Quantity] = &[Quantity::UpstreamProtection];

/// Workings, each folded behind its result.
pub fn pieces<'a>(workings: impl IntoIterator<Item = &'a Working>, units: Units) -> Vec<WorkingPiece> {
    workings.into_iter().map(|working| WorkingPiece::new(working, units)).collect()
}

/// The design current of a circuit or feeder, to a tenth of an ampere.
pub fn design_current(of: &str, amperes: f64, workings: &[Working]) -> Cell {
    Cell::new(of, "design current", Figure::rounded(amperes, 1, "A"), workings, CURRENT)
}
