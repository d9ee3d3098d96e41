//! The materials of a job besides wire, counted for the order: terminals and heat shrink, and the supplies for
//! tie-down.

use serde::Serialize;
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::plan::Plan;
use super::routing::RoutesReport;
use super::termination::{Count, Tally, TubeCount};
use super::tie::Counts;
use super::value::LocationId;
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::source::HEAT_SHRINK;
use crate::trade::terminal::{Barrel, TerminalKind};
use crate::trade::working::{self, Numbers, Working};

/// Everything counted.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Materials {
    /// Terminals, location by location in the plan's order.
    pub terminals: Vec<Terminals>,
    /// Heat shrink, location by location in the plan's order.
    pub heat_shrink: Vec<HeatShrink>,
    /// Ends whose terminal could not be chosen. Their materials are not counted.
    pub terminals_not_chosen: usize,
    /// Tie-down supplies for the whole boat.
    pub tie_down: Counts,
}

/// The number of terminals of one kind at one location.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Terminals {
    /// The location; `None` for an end that lands on nothing in the plan.
    pub location: Option<LocationId>,
    /// Kind of terminal.
    pub kind: TerminalKind,
    /// The barrel.
    pub barrel: Barrel,
    /// The gauge, for a lug, which takes exactly one.
    pub gauge: Option<Size>,
    /// What it sits on, as a text.
    pub sits_on: String,
    /// How many.
    pub count: usize,
}

/// The amount of heat shrink of one diameter at one location.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatShrink {
    /// The location.
    pub location: Option<LocationId>,
    /// Diameter before it shrinks.
    pub diameter_mm: f64,
    /// How many pieces.
    pub pieces: usize,
    /// Total length.
    pub length_m: f64,
    /// How that length is calculated.
    pub working: Working,
}

impl Materials {
    /// The materials of a plan, with the terminals and heat shrink in `ends`.
    pub fn of(plan: &Plan, routes: &RoutesReport, ends: Tally) -> Self {
        Self {
            terminals: ends.terminals.into_iter().map(terminals).collect(),
            heat_shrink: ends.tubes.into_iter().map(heat_shrink).collect(),
            terminals_not_chosen: ends.not_chosen,
            tie_down: Counts::whole(plan, routes),
        }
    }
}

fn terminals(Count { location, kind, barrel, gauge, seat, count }: Count) -> Terminals {
    Terminals { location, kind, barrel, gauge, sits_on: seat.words(), count }
}

fn heat_shrink(tube: TubeCount) -> HeatShrink {
    let working = tube_working(&tube);
    let TubeCount { location, diameter, pieces, length, .. } = tube;
    let (diameter_mm, length_m) = (diameter.get::<millimeter>(), length.get::<meter>());
    HeatShrink { location, diameter_mm, pieces, length_m, working }
}

fn tube_working(tube: &TubeCount) -> Working {
    let shown = |length: Length| working::length(length.get::<millimeter>().round() / 1000.0);
    let terms = tube
        .cuts
        .iter()
        .map(|(length, count)| Numbers::filled("{} x {}", [count.to_string().into(), shown(*length)]));
    Working {
        what: Quantity::TubeToCut,
        formula: "pieces x the length of each, a piece for each end",
        numbers: Numbers::joined(terms, " + "),
        result: shown(tube.length),
        source: &HEAT_SHRINK,
    }
}
