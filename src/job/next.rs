//! What to do next on the wires, for the location where one stands.
//!
//! Work goes phase by phase: what is still to be pulled and labeled comes before any crimp. Within a
//! phase it begins where one stands and goes on through the locations in the plan's order, so that all
//! ends at the helm are done before anybody walks to the bow. At one location, ends that land on the same
//! point follow one another by position; wires that leave for the same location are pulled together.

use std::collections::HashMap;

use super::cable;
use super::phase::Phase;
use super::plan::Plan;
use super::progress::Progress;
use super::steps::Step;
use super::subject::SubjectKind;
use super::value::LocationId;
use super::wiring::{Conductor, Conductors, Landing};

/// The open steps on wires, their ends and factory cables, in the order of work from a location; from the plan's first
/// location where none is named.
pub fn on_wires<'a>(
    plan: &Plan,
    conductors: &Conductors,
    progress: &Progress<'a>,
    here: Option<&LocationId>,
) -> Vec<&'a Step> {
    let way = Way::new(plan, conductors, here);
    let open = [Phase::Runs, Phase::Terminations].into_iter().flat_map(|phase| progress.open_in(phase));
    let mut steps: Vec<_> = open.filter_map(|step| Some((way.turn(step)?, step))).collect();
    steps.sort_by_key(|(turn, _)| *turn);
    steps.into_iter().map(|(_, step)| step).collect()
}

/// When a step's turn comes: what stands first decides first.
///
/// Phase, walk to the location, walk on to the wire's other end, what it lands on, position there, the
/// conductor's location in the plan. Steps of one conductor keep the order of work between them.
type Turn = (Phase, usize, usize, usize, u16, usize);

/// The way through the boat from where one stands.
struct Way<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    here: usize,
    locations: HashMap<&'a LocationId, usize>,
    landings: HashMap<&'a str, usize>,
    order: HashMap<&'a str, usize>,
}

impl<'a> Way<'a> {
    fn new(plan: &'a Plan, conductors: &'a Conductors, here: Option<&LocationId>) -> Self {
        let locations: HashMap<_, _> =
            plan.locations.iter().enumerate().map(|(rank, location)| (&location.id, rank)).collect();
        let points = plan.points.iter().map(|point| point.id.as_str());
        let landings = points.chain(plan.devices.iter().map(|device| device.id.as_str()));
        let order = conductors.all().iter().map(|conductor| conductor.id.as_str());
        Self {
            plan,
            conductors,
            here: here.and_then(|here| locations.get(here).copied()).unwrap_or(0),
            locations,
            landings: landings.enumerate().map(|(rank, id)| (id, rank)).collect(),
            order: order.enumerate().map(|(rank, id)| (id, rank)).collect(),
        }
    }

    /// When a step's turn comes; `None` for a step that is not done to a wire.
    fn turn(&self, step: &Step) -> Option<Turn> {
        let id = step.key.subject.id.as_str();
        match step.key.subject.kind {
            SubjectKind::Conductor => {
                let conductor = self.conductors.get(id)?;
                let (near, far) = self.walk_along(conductor);
                Some((step.phase(), near, far, 0, 0, self.order(conductor)))
            }
            SubjectKind::Cable => {
                let [one, other] =
                    cable::get(self.plan, id)?.ends().map(|end| self.walk_to_location(end.location));
                // Of what leaves for the same location the cables come after the wires.
                Some((step.phase(), one.min(other), one.max(other), 0, 0, usize::MAX))
            }
            SubjectKind::End => {
                let (conductor, end) = self.conductors.end(id)?;
                let landing = self.landings.get(end.at.id()).copied().unwrap_or(usize::MAX);
                let position = match end.at {
                    Landing::Point { position, .. } => position.unwrap_or(0),
                    Landing::Device(_) => 0,
                };
                Some((step.phase(), self.walk_to(&end.at), 0, landing, position, self.order(conductor)))
            }
            _ => None,
        }
    }

    /// How many locations on a landing is; those that the plan does not have come last.
    fn walk_to(&self, landing: &Landing) -> usize {
        landing.location(self.plan).map_or(usize::MAX, |location| self.walk_to_location(location))
    }

    fn walk_to_location(&self, location: &LocationId) -> usize {
        let count = self.locations.len().max(1);
        self.locations.get(location).map_or(usize::MAX, |rank| (rank + count - self.here) % count)
    }

    /// How far it is to a wire's nearer end, and then to its other.
    fn walk_along(&self, conductor: &Conductor) -> (usize, usize) {
        let (from, to) = (self.walk_to(&conductor.from), self.walk_to(&conductor.to));
        (from.min(to), from.max(to))
    }

    fn order(&self, conductor: &Conductor) -> usize {
        self.order.get(conductor.id.as_str()).copied().unwrap_or(usize::MAX)
    }
}
