//! The materials of a job besides wire, counted for the order: terminals, heat shrink and connectors, the cable to
//! cut, and the supplies for tie-down.

use serde::Serialize;
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::plan::Plan;
use super::routing::RoutesReport;
use super::run::{PieceId, cable};
use super::termination::{ConnectorCount, Count, Tally, TubeCount};
use super::tie::Counts;
use super::value::{LocationId, Name};
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::route::CableKind;
use crate::trade::source::{CUT_ALLOWANCES, HEAT_SHRINK};
use crate::trade::terminal::{Barrel, TerminalKind};
use crate::trade::working::{self, Numbers, Working};

/// Everything counted.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Materials {
    /// Terminals, location by location in the plan's order.
    pub terminals: Vec<Terminals>,
    /// Heat shrink, location by location in the plan's order.
    pub heat_shrink: Vec<HeatShrink>,
    /// Connectors on the cables that are cut to length, location by location in the plan's order.
    pub connectors: Vec<Connectors>,
    /// Ends whose terminal could not be chosen, or whose connector the plan does not give. Their materials are not
    /// counted.
    pub terminals_not_chosen: usize,
    /// The cable that is cut to length, kind by kind.
    pub cable_to_cut: Vec<CableToCut>,
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

/// The number of connectors of one type at one location.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Connectors {
    /// The location; `None` for an end that lands on nothing in the plan.
    pub location: Option<LocationId>,
    /// Its type.
    pub name: Name,
    /// How many.
    pub count: usize,
}

/// The cable of one kind that is cut to length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableToCut {
    /// The kind.
    pub kind: CableKind,
    /// How many cables.
    pub cables: usize,
    /// Total length of those whose length is known.
    pub length_m: f64,
    /// The cables whose length is not known. They are not in the total.
    pub unmeasured: Vec<PieceId>,
    /// How the total is calculated.
    pub working: Working,
}

impl Materials {
    /// The materials of a plan, with the parts on its ends in `ends`.
    pub fn of(plan: &Plan, routes: &RoutesReport, ends: Tally) -> Self {
        Self {
            terminals: ends.terminals.into_iter().map(terminals).collect(),
            heat_shrink: ends.tubes.into_iter().map(heat_shrink).collect(),
            connectors: ends.connectors.into_iter().map(connectors).collect(),
            terminals_not_chosen: ends.not_chosen,
            cable_to_cut: cable_to_cut(plan, routes),
            tie_down: Counts::whole(plan, routes),
        }
    }
}

fn terminals(Count { location, kind, barrel, gauge, seat, count }: Count) -> Terminals {
    Terminals { location, kind, barrel, gauge, sits_on: seat.words(), count }
}

fn connectors(ConnectorCount { location, name, count }: ConnectorCount) -> Connectors {
    Connectors { location, name, count }
}

fn cable_to_cut(plan: &Plan, routes: &RoutesReport) -> Vec<CableToCut> {
    let to_cut = |kind| {
        cable::all(plan).filter(move |own| own.cable.kind == kind && own.made_length().is_none()).map(|own| {
            let cut = routes.run_of(own).and_then(|run| run.cut.as_ref());
            (PieceId::from(&own.cable.id), cut.map(|cut| cut.total_m))
        })
    };
    let of_kind = |kind| {
        let cables: Vec<_> = to_cut(kind).collect();
        let known = || cables.iter().filter_map(|(id, meters)| Some((id, (*meters)?)));
        let length_m: f64 = known().map(|(_, meters)| meters).sum();
        let to_the_millimeter = |meters: f64| working::length((meters * 1000.0).round() / 1000.0);
        let terms = known().map(|(id, meters)| {
            Numbers::filled("{} ({})", [to_the_millimeter(meters), id.to_string().into()])
        });
        let working = Working {
            what: Quantity::CableToCut,
            formula: "sum of the lengths to cut of all cables of the kind",
            numbers: Numbers::joined(terms, " + "),
            result: to_the_millimeter(length_m),
            source: &CUT_ALLOWANCES,
        };
        let unknown = cables.iter().filter(|(_, meters)| meters.is_none());
        let unmeasured = unknown.map(|(id, _)| id.clone()).collect();
        (!cables.is_empty()).then_some(CableToCut {
            kind,
            cables: cables.len(),
            length_m,
            unmeasured,
            working,
        })
    };
    CableKind::ALL.into_iter().filter_map(of_kind).collect()
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
