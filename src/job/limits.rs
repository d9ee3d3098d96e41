//! How much a job may hold: one table for reading a file, for forms and for the help.
//!
//! [`Plan::faults`] refuses more. Within these limits every plan is read and checked. Lengths of texts and ranges of
//! numbers are in their types ([`value`](super::value)).

use super::event::History;
use super::fault::PlanFault;
use super::plan::Plan;
use super::point::Body;
use super::record::{self, Record, RecordVisitor};

/// The most of one thing in a plan.
pub struct Limit {
    /// The list in the job file, with the list inside its items, if any.
    pub path: &'static str,
    /// What is counted, in the plural.
    pub what: &'static str,
    /// How many there may be.
    pub most: usize,
    count: fn(&Plan) -> usize,
}

/// The most records in the history of a job file.
pub const MOST_RECORDS: usize = 50_000;

/// The limits of a plan.
pub const LIMITS: [Limit; 17] = [
    Limit { path: "locations", what: "locations", most: 2_500, count: |plan| plan.locations.len() },
    Limit { path: "raceways", what: "raceways", most: 5_000, count: |plan| plan.raceways.len() },
    Limit { path: "boards", what: "boards", most: 500, count: |plan| plan.boards.len() },
    Limit { path: "points", what: "distribution points", most: 2_500, count: |plan| plan.points.len() },
    Limit { path: "points", what: "positions of switch panels", most: 10_000, count: positions },
    Limit { path: "feeders", what: "feeders", most: 5_000, count: |plan| plan.feeders.len() },
    Limit { path: "devices", what: "devices", most: 5_000, count: |plan| plan.devices.len() },
    Limit { path: "devices", what: "cables of devices", most: 2_500, count: cables },
    Limit { path: "devices", what: "settings of devices", most: 20_000, count: settings },
    Limit { path: "circuits", what: "circuits", most: 4_000, count: |plan| plan.circuits.len() },
    Limit { path: "circuits", what: "legs of circuits", most: 10_000, count: legs },
    Limit {
        path: "circuits",
        what: "conductors with their own length or size",
        most: 20_000,
        count: overrides,
    },
    Limit { path: "circuits", what: "raceways on given routes", most: 100_000, count: on_routes },
    Limit { path: "modes", what: "modes", most: 1_000, count: |plan| plan.modes.len() },
    Limit { path: "modes", what: "circuits in use, over all modes", most: 300_000, count: in_use },
    Limit {
        path: "removed",
        what: "items of removed equipment",
        most: 2_500,
        count: |plan| plan.removed.len(),
    },
    Limit { path: "proposed", what: "proposed things", most: 30_000, count: |plan| plan.proposed.len() },
];

/// Every limit that a plan exceeds.
pub(super) fn exceeded(plan: &Plan) -> Vec<PlanFault> {
    let over = LIMITS.iter().filter_map(|limit| {
        let count = (limit.count)(plan);
        (count > limit.most).then(|| too_many(limit.path, count, limit.what, limit.most))
    });
    over.collect()
}

/// More records than a history may have.
pub(super) fn too_long(history: &History) -> Option<PlanFault> {
    struct Count<'a>(&'a History, usize);

    impl RecordVisitor for Count<'_> {
        fn visit<R: Record>(&mut self) {
            self.1 += R::list(self.0).len();
        }
    }

    let mut count = Count(history, 0);
    record::visit(&mut count);
    (count.1 > MOST_RECORDS).then(|| too_many("history", count.1, "records", MOST_RECORDS))
}

fn too_many(path: &str, count: usize, what: &str, most: usize) -> PlanFault {
    PlanFault::new(path, format!("{count} {what} are too many: expected at most {most}"))
}

fn positions(plan: &Plan) -> usize {
    let of_point = |body: &Body| match body {
        Body::SwitchPanel(panel) => panel.positions.len(),
        _ => 0,
    };
    plan.points.iter().map(|point| of_point(&point.body)).sum()
}

fn cables(plan: &Plan) -> usize {
    plan.devices.iter().map(|device| device.cables.len()).sum()
}

fn settings(plan: &Plan) -> usize {
    plan.devices.iter().map(|device| device.settings.len()).sum()
}

fn legs(plan: &Plan) -> usize {
    plan.circuits.iter().map(|circuit| circuit.legs.len()).sum()
}

fn overrides(plan: &Plan) -> usize {
    plan.circuits.iter().map(|circuit| circuit.conductors.len()).sum()
}

fn on_routes(plan: &Plan) -> usize {
    let circuits = plan.circuits.iter().map(|circuit| circuit.route.len());
    circuits.chain(plan.feeders.iter().map(|feeder| feeder.route.len())).sum()
}

fn in_use(plan: &Plan) -> usize {
    plan.modes.iter().map(|mode| mode.on.len() + mode.charging.len()).sum()
}
