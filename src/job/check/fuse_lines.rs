//! The fuses before a point, path after path: what they let through together.
//!
//! Every fuse on a path counts. Parallel fuses are added, and of those one after another the least decides.
//! The same points are asked for again and again, so each result is kept until another fuse is fitted.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::context::CheckContext;
use crate::job::plan::Feeder;
use crate::job::value::{FeederId, PointId};
use crate::trade::protection::opening::Opener;

/// How many fuses one after another are followed. No boat has as many. Beyond that the nearer ones decide,
/// which is the safe side.
const IN_A_ROW: usize = 8;

/// The fuses of a plan, and what those before points let through, as far as it was asked for.
#[derive(Default)]
pub(super) struct FuseLines<'a> {
    fitted: HashMap<&'a FeederId, Opener>,
    every: Rc<Lines<'a>>,
    /// With only the fuses counted that some of these batteries reach.
    of_homes: RefCell<LinesOfHomes<'a>>,
    /// The nearest fuse on each path to a point; `None` if one of its paths has none.
    nearest: RefCell<HashMap<PointId, Nearest<'a>>>,
    /// The fused feeders whose near end a battery reaches.
    by_battery: OnceCell<HashMap<&'a PointId, Vec<&'a FeederId>>>,
}

type KnownLimits<'a> = HashMap<(PointId, usize), Option<Rc<Limit<'a>>>>;
type LinesOfHomes<'a> = HashMap<BTreeSet<&'a PointId>, Rc<Lines<'a>>>;
type Nearest<'a> = Option<Rc<[(&'a Feeder, Opener)]>>;

impl<'a> FuseLines<'a> {
    /// Adds a fuse. What was found so far did not know it.
    pub(super) fn fit(&mut self, feeder: &'a FeederId, fuse: Opener) {
        self.fitted.insert(feeder, fuse);
        *self = Self { fitted: std::mem::take(&mut self.fitted), ..Self::default() };
    }

    /// Every fuse, by its feeder.
    pub(super) fn fitted(&self) -> &HashMap<&'a FeederId, Opener> {
        &self.fitted
    }
}

/// The fuses that count, and what they let through by point and by how many one after another are followed.
#[derive(Default)]
pub(super) struct Lines<'a> {
    /// `None`: all of them.
    counted: Option<HashSet<&'a FeederId>>,
    known: RefCell<KnownLimits<'a>>,
}

impl<'a> Lines<'a> {
    /// The fuses that count, if not all of them do.
    pub(super) fn counted(&self) -> impl Iterator<Item = &'a FeederId> + '_ {
        self.counted.iter().flatten().copied()
    }
}

/// What the fuses before a point let through.
struct Limit<'a> {
    of: BTreeSet<&'a FeederId>,
    fuse: Opener,
}

/// The fuses of a plan, asked with its paths at hand.
pub(super) struct Before<'s, 'a> {
    pub(super) lines: &'s FuseLines<'a>,
    pub(super) context: &'s CheckContext<'a>,
}

impl<'a> Before<'_, 'a> {
    /// The feeders whose protection covers every path to a point, and their combined rating.
    pub(super) fn every(&self, point: &PointId) -> Option<(Vec<FeederId>, Opener)> {
        self.counted(&self.lines.every, point)
    }

    /// The same with only some of them counted.
    pub(super) fn counted(&self, lines: &Lines<'a>, point: &PointId) -> Option<(Vec<FeederId>, Opener)> {
        let limit = self.limit(lines, point, IN_A_ROW)?;
        Some((limit.of.iter().copied().cloned().collect(), limit.fuse))
    }

    /// The fuses of the feeders that start from any of these batteries. `None` if the search has no budget left.
    pub(super) fn of_homes(&self, homes: &BTreeSet<&'a PointId>) -> Option<Rc<Lines<'a>>> {
        if let Some(known) = self.lines.of_homes.borrow().get(homes) {
            return Some(Rc::clone(known));
        }
        let by_battery = self.lines.by_battery.get_or_init(|| self.by_battery());
        let counted = || homes.iter().filter_map(|home| by_battery.get(home)).flatten().copied();
        if !self.context.may_search(counted().count()) {
            return None;
        }
        let lines = Rc::new(Lines { counted: Some(counted().collect()), known: RefCell::default() });
        self.lines.of_homes.borrow_mut().insert(homes.clone(), Rc::clone(&lines));
        Some(lines)
    }

    fn by_battery(&self) -> HashMap<&'a PointId, Vec<&'a FeederId>> {
        let mut by_battery: HashMap<&PointId, Vec<&FeederId>> = HashMap::default();
        let fused =
            self.context.plan.feeders.iter().filter(|feeder| self.lines.fitted.contains_key(&feeder.id));
        for feeder in fused {
            let batteries: Vec<_> = self.context.batteries_at(feeder, &feeder.from).collect();
            if !self.context.may_search(1 + batteries.len()) {
                break;
            }
            for battery in batteries {
                by_battery.entry(battery).or_default().push(&feeder.id);
            }
        }
        by_battery
    }

    /// What reaches a point; `None` if one of its paths has no fuse.
    fn limit(&self, lines: &Lines<'a>, point: &PointId, in_a_row: usize) -> Option<Rc<Limit<'a>>> {
        let key = (point.clone(), in_a_row);
        if let Some(known) = lines.known.borrow().get(&key) {
            return known.clone();
        }
        let limit = self.of_nearest(lines, point, in_a_row).map(Rc::new);
        lines.known.borrow_mut().insert(key, limit.clone());
        limit
    }

    fn of_nearest(&self, lines: &Lines<'a>, point: &PointId, in_a_row: usize) -> Option<Limit<'a>> {
        let nearest = self.nearest(point)?;
        let counts = |id: &&'a FeederId| lines.counted.as_ref().is_none_or(|counted| counted.contains(*id));
        // Fuses that begin at one point have the same fuses before them.
        let mut by_source: BTreeMap<&PointId, BTreeMap<&'a FeederId, Opener>> = BTreeMap::new();
        for (feeder, fuse) in nearest.iter().filter(|(feeder, _)| counts(&&feeder.id)) {
            by_source.entry(&feeder.from).or_default().insert(&feeder.id, *fuse);
        }
        let groups = by_source
            .into_iter()
            .map(|(source, fuses)| self.of_group(lines, point, (source, fuses), in_a_row));
        let groups: Vec<Limit<'a>> = groups.collect::<Option<_>>()?;
        let first = groups.iter().min_by_key(|group| group.of.first().copied())?.fuse;
        let rating = groups.iter().map(|group| group.fuse.rating).sum();
        let of = groups.into_iter().flat_map(|group| group.of).collect();
        Some(Limit { of, fuse: Opener { rating, ..first } })
    }

    fn nearest(&self, point: &PointId) -> Nearest<'a> {
        if let Some(known) = self.lines.nearest.borrow().get(point) {
            return known.clone();
        }
        let fitted = |feeder: &'a Feeder| Some((feeder, *self.lines.fitted.get(&feeder.id)?));
        let nearest: Nearest<'a> = self.context.nearest_before(point, fitted).into_iter().collect();
        self.lines.nearest.borrow_mut().insert(point.clone(), nearest.clone());
        nearest
    }

    /// The sum of fuses that begin at one point, or what the fuses before them let through if that is less.
    /// What charges in between is added to the latter.
    fn of_group(
        &self,
        lines: &Lines<'a>,
        point: &PointId,
        (source, fuses): (&PointId, BTreeMap<&'a FeederId, Opener>),
        in_a_row: usize,
    ) -> Option<Limit<'a>> {
        let (rating, first) = (fuses.values().map(|fuse| fuse.rating).sum(), *fuses.values().next()?);
        let own = Limit { of: fuses.into_keys().collect(), fuse: Opener { rating, ..first } };
        let before = (in_a_row > 1).then(|| self.limit(lines, source, in_a_row - 1)).flatten();
        let with_charge = before.and_then(|before| {
            let on_the_way =
                self.context.ways_to(point).map(|ways| ways.points.as_slice()).unwrap_or_default();
            let charge = ElectricCurrent::new::<ampere>(self.context.charging().of_chargers_at(on_the_way)?);
            let fuse = Opener { rating: before.fuse.rating + charge, ..before.fuse };
            Some(Limit { of: before.of.clone(), fuse })
        });
        Some(with_charge.filter(|before| before.fuse.rating < own.fuse.rating).unwrap_or(own))
    }
}
