//! The supplies for tie-down: supports by spacing, chafe guards at edges, drip loops, strain reliefs.
//!
//! They are counted for each run for the work, and for the whole boat for the materials. In the second count, runs
//! in one raceway share its supports. A tube or a tray carries its wires (ISO 10133, 7.3), so supports are counted
//! along gunwales only. Every hole and every mouth of a tube is an edge. Drip loops, edges and strain reliefs are
//! common practice, no source.

use std::collections::BTreeSet;

use serde::Serialize;

use super::plan::{Plan, RacewayKind};
use super::routing::RoutesReport;
use super::step::Action;
use super::subject::{Subject, SubjectKind};
use super::value::{LocationId, RacewayId};
use crate::trade::quantity::Quantity;
use crate::trade::source::{ISO_10133_7_3, ISO_10133_7_4};
use crate::trade::working::{self, Numbers, Working};

/// Maximum distance between supports of conductors outside tubes and trays, in m.
const EVERY_M: f64 = 0.45;
/// Maximum distance between supports of battery conductors, in m.
const BATTERY_EVERY_M: f64 = 0.30;

/// The tie-down supplies of a run or of the whole boat.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Clamps or ties on a mount.
    pub supports: usize,
    /// Grommets or sleeves where a wire passes an edge.
    pub guards: usize,
    /// Locations that need a drip loop before the terminal.
    pub drip_loops: BTreeSet<LocationId>,
    /// Clamps next to terminals, which keep tension off the crimps.
    pub reliefs: usize,
    /// Gunwales of unknown length, on which no support is counted.
    pub unmeasured: BTreeSet<RacewayId>,
}

impl Counts {
    /// The supplies for a circuit, feeder or cable.
    pub fn of(plan: &Plan, routes: &RoutesReport, subject: &Subject) -> Self {
        let mut counts = Self::default();
        for (_, run) in routes.of(subject) {
            for id in &run.raceways {
                counts.raceway(plan, routes, id, every(subject.kind));
            }
            counts.ends(plan, &run.between);
        }
        counts
    }

    /// Supplies for the whole boat.
    pub fn whole(plan: &Plan, routes: &RoutesReport) -> Self {
        let mut counts = Self::default();
        let carries_battery = |id: &RacewayId| {
            routes
                .runs
                .values()
                .any(|run| run.subject.kind == SubjectKind::Feeder && run.raceways.contains(id))
        };
        for (id, raceway) in &routes.raceways {
            if !raceway.runs.is_empty() {
                let every = if carries_battery(id) { BATTERY_EVERY_M } else { EVERY_M };
                counts.raceway(plan, routes, id, every);
            }
        }
        routes.runs.values().for_each(|run| counts.ends(plan, &run.between));
        counts
    }

    fn raceway(&mut self, plan: &Plan, routes: &RoutesReport, id: &RacewayId, every: f64) {
        let kind = plan.raceway(id).map(|raceway| raceway.kind);
        match kind {
            Some(RacewayKind::Gunwale) => {
                match routes.raceways.get(id).and_then(|raceway| raceway.length_m) {
                    Some(length) => self.supports += along(length, every),
                    None => drop(self.unmeasured.insert(id.clone())),
                }
            }
            Some(RacewayKind::Bulkhead) => self.guards += 1,
            Some(RacewayKind::Tube) => self.guards += 2,
            Some(RacewayKind::Tray) | None => {}
        }
    }

    fn ends(&mut self, plan: &Plan, between: &[LocationId; 2]) {
        let wet = |id: &&LocationId| {
            plan.location(id).is_some_and(|location| location.wet || location.engine_space)
        };
        self.drip_loops.extend(between.iter().filter(wet).cloned());
        self.reliefs += between.len();
    }

    /// The parts of the tie-down step that a run needs, each a step of its own.
    pub fn parts(&self) -> impl Iterator<Item = Action> + use<> {
        // A gunwale of unknown length needs supports too.
        let supports = self.supports > 0 || !self.unmeasured.is_empty();
        let parts = [
            (Action::Support, supports),
            (Action::Guard, self.guards > 0),
            (Action::DripLoop, !self.drip_loops.is_empty()),
            (Action::Relieve, self.reliefs > 0),
        ];
        parts.into_iter().filter(|(_, needed)| *needed).map(|(part, _)| part)
    }

    /// How the number of supports is calculated for runs of this kind.
    pub fn working(&self, kind: SubjectKind) -> Working {
        let every = every(kind);
        Working {
            what: Quantity::Supports,
            formula: "for each gunwale on its route: length / spacing, rounded up",
            numbers: Numbers::filled("every {}", [working::length(every)]),
            result: self.supports.to_string().into(),
            source: if kind == SubjectKind::Feeder { &ISO_10133_7_4 } else { &ISO_10133_7_3 },
        }
    }
}

/// Maximum distance between supports for runs of a kind, in m.
fn every(kind: SubjectKind) -> f64 {
    if kind == SubjectKind::Feeder { BATTERY_EVERY_M } else { EVERY_M }
}

/// The number of supports along a length, with at most `every` between two of them.
fn along(length: f64, every: f64) -> usize {
    // An excess of a thousandth is ignored: a length typed in feet is never a round number of meters.
    let count = (length / every - 1e-3).ceil().max(0.0);
    // A boat is no longer than some hundreds of supports.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = count as usize;
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn supports_stand_no_further_apart_than_the_rule_has_it() {
        assert_eq!([0.0, 0.3, 0.45, 0.46, 2.6].map(|length| along(length, EVERY_M)), [0, 1, 1, 2, 6]);
        assert_eq!(along(0.9, BATTERY_EVERY_M), 3);
    }
}
