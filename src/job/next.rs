//! The next tasks on the wires, for the location where the technician is.
//!
//! Work goes phase by phase: everything is pulled and labeled before the first crimp. Within a phase it begins at
//! the present location and continues through the locations in the plan's order. So all ends at the helm are done
//! before anybody walks to the bow.
//!
//! At one location, ends on the same distribution point follow one another by position. Wires that leave for the
//! same location are pulled together.

use foldhash::HashMap;

use super::phase::Phase;
use super::plan::Plan;
use super::run::{At, Pieces};
use super::steps::Step;
use super::value::LocationId;
use super::wiring::Conductors;
use super::work::Work;

/// The open steps on pieces and their ends, in the order of work from a location. If none is named, the order
/// begins at the plan's first location.
pub fn on_pieces<'a>(
    plan: &Plan,
    conductors: &Conductors,
    work: &Work<'a>,
    here: Option<&LocationId>,
) -> Vec<&'a Step> {
    let way = Way::new(plan, conductors, here);
    let open = [Phase::Runs, Phase::Terminations].into_iter().flat_map(|phase| work.open_in(phase));
    let mut steps: Vec<_> = open.filter_map(|step| Some((way.turn(step)?, step))).collect();
    steps.sort_by_key(|(turn, _)| *turn);
    steps.into_iter().map(|(_, step)| step).collect()
}

/// The sort key of a step. The first element decides first.
///
/// Phase, distance to the location, distance to the piece's other end, what it lands on, position there, the
/// piece's index in the plan. Steps of one piece keep their order.
type Turn = (Phase, usize, usize, usize, u16, usize);

/// The order of the locations, beginning at the present one.
struct Way<'a> {
    plan: &'a Plan,
    pieces: Pieces<'a>,
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
        let pieces = Pieces::of(plan, conductors);
        let order = pieces.all().map(|piece| piece.id());
        Self {
            plan,
            pieces,
            here: here.and_then(|here| locations.get(here).copied()).unwrap_or(0),
            locations,
            landings: landings.enumerate().map(|(rank, id)| (id, rank)).collect(),
            order: order.enumerate().map(|(rank, id)| (id, rank)).collect(),
        }
    }

    /// The sort key of a step; `None` for a step that is not done to a piece.
    fn turn(&self, step: &Step) -> Option<Turn> {
        let (piece, end) = self.pieces.about(&step.key.subject)?;
        let order = self.order.get(piece.id()).copied().unwrap_or(usize::MAX);
        let ends = piece.ends();
        let Some(end) = end.and_then(|end| ends.get(end)) else {
            let [one, other] = [&ends[0], &ends[1]].map(|end| self.walk_to(&end.at));
            return Some((step.phase(), one.min(other), one.max(other), 0, 0, order));
        };
        let landing = self.landings.get(end.at.id()).copied().unwrap_or(usize::MAX);
        Some((step.phase(), self.walk_to(&end.at), 0, landing, end.at.position(), order))
    }

    /// How many locations further an end is. Ends at a location that the plan does not have come last.
    fn walk_to(&self, at: &At) -> usize {
        let count = self.locations.len().max(1);
        let rank = at.location(self.plan).and_then(|location| self.locations.get(location));
        rank.map_or(usize::MAX, |rank| (rank + count - self.here) % count)
    }
}
