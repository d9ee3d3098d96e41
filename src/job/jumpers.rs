//! The bench list: every jumper of a switch panel in the order of making, so that the panel is fitted in
//! one piece. It also lists what is still to be landed in the boat.

use std::collections::BTreeSet;

use serde::Serialize;
use uom::si::f64::Length;

use super::conductor::{Conductor, ConductorRole, End, Landing};
use super::plan::{Circuit, Plan};
use super::point::Body;
use super::value::{CircuitId, FeederId, PointId};
use super::wiring::Conductors;

/// One length for all jumpers of a kind, measured once on the panel. Excess is cut off. A length given for
/// a single jumper has priority.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Master {
    /// From the fuse block to the switches.
    pub feed: Option<Length>,
    /// From the switches to the junction bar.
    pub load: Option<Length>,
}

/// Which side of the switch a jumper is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum JumperSide {
    /// From the fuse block to the switch.
    Feed,
    /// From the switch to the junction bar.
    Load,
}

/// A jumper to make.
#[derive(Debug, Clone, PartialEq)]
pub struct Jumper<'a> {
    /// Its wire.
    pub wire: &'a Conductor,
    /// Its circuit.
    pub circuit: &'a Circuit,
    /// Which side of the switch it is on.
    pub side: JumperSide,
    /// The position it lands on, from 1.
    pub position: u16,
    /// The length to cut it to; `None`: measure it.
    pub cut: Option<Length>,
}

/// The bench work for one panel.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchList<'a> {
    /// The panel.
    pub panel: &'a PointId,
    /// Its jumpers, position by position, feed before load.
    pub jumpers: Vec<Jumper<'a>>,
    /// What is still to be landed once the panel is fitted.
    pub left: Left<'a>,
}

/// The remaining work in the boat.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Left<'a> {
    /// Ends of the boat's wires that land on the junction bar or on the panel.
    pub land: Vec<(End, &'a Conductor)>,
    /// Feeders to connect to the fuse blocks and the panel.
    pub feeders: Vec<&'a FeederId>,
    /// Returns that land on a negative bar, by their circuits.
    pub returns: Vec<&'a CircuitId>,
}

/// The bench lists of a plan, panel by panel.
pub fn lists<'a>(plan: &'a Plan, conductors: &'a Conductors, master: Master) -> Vec<BenchList<'a>> {
    let panels = plan.points.iter().filter(|point| matches!(point.body, Body::SwitchPanel(_)));
    panels.map(|point| list(plan, conductors, &point.id, master)).collect()
}

fn list<'a>(plan: &'a Plan, conductors: &'a Conductors, panel: &'a PointId, master: Master) -> BenchList<'a> {
    let mut switched: Vec<(u16, &Circuit)> = plan
        .circuits
        .iter()
        .filter_map(|circuit| {
            Some((circuit.switch.as_ref().filter(|at| at.panel == *panel)?.position, circuit))
        })
        .collect();
    switched.sort_by_key(|(position, _)| *position);
    let jumpers = switched.iter().flat_map(|(position, circuit)| {
        let wires = conductors.of_circuit(&circuit.id).iter();
        wires.filter_map(|wire| jumper(circuit, wire, *position, master))
    });
    BenchList { panel, jumpers: jumpers.collect(), left: left(plan, conductors, panel, &switched) }
}

/// The jumper for a wire of a switched circuit that is made on the bench; `None` for a wire pulled through
/// the boat.
fn jumper<'a>(
    circuit: &'a Circuit,
    wire: &'a Conductor,
    position: u16,
    master: Master,
) -> Option<Jumper<'a>> {
    let (side, of_all) = match wire.role {
        ConductorRole::FuseToSwitch => (JumperSide::Feed, master.feed),
        ConductorRole::SwitchToJunction => (JumperSide::Load, master.load),
        _ => return None,
    };
    let own = wire.length.filter(|_| wire.measured);
    (!wire.pulled).then_some(Jumper { wire, circuit, side, position, cut: own.or(of_all) })
}

fn left<'a>(
    plan: &'a Plan,
    conductors: &'a Conductors,
    panel: &'a PointId,
    switched: &[(u16, &'a Circuit)],
) -> Left<'a> {
    let made = |wire: &&Conductor| !wire.pulled && wire.role.is_jumper();
    let mut left = Left::default();
    let mut sources: BTreeSet<&PointId> = BTreeSet::from([panel]);
    for (_, circuit) in switched {
        sources.insert(&circuit.from);
        let hub: &PointId = circuit.junction.as_ref().unwrap_or(panel);
        let wires = conductors.of_circuit(&circuit.id).iter().filter(|wire| !made(wire));
        let landing = wires.flat_map(|wire| wire.ends().map(|end| (end, wire)));
        left.land.extend(landing.filter(|(end, _)| is_at(&end.at, hub) || is_at(&end.at, panel)));
        left.returns.push(&circuit.id);
    }
    let feeders = plan.feeders.iter().filter(|feeder| sources.contains(&feeder.to));
    left.feeders = feeders.map(|feeder| &feeder.id).collect();
    left
}

fn is_at(landing: &Landing, point: &PointId) -> bool {
    matches!(landing, Landing::Point { id, .. } if id == point)
}
