//! What feeds a distribution point first: the battery switches and the battery posts next upstream of it.

use std::collections::BTreeSet;

use foldhash::{HashMap, HashSet};

use crate::job::check::context::CheckContext;
use crate::job::plan::Polarity;
use crate::job::point::PointKind;
use crate::job::supply::runs_both_ways;
use crate::job::value::PointId;

/// The positive side, read against the current.
pub(super) struct Upstream<'a> {
    kinds: HashMap<&'a PointId, PointKind>,
    /// The points that feed a point.
    before: HashMap<&'a PointId, Vec<&'a PointId>>,
    /// The batteries that feed a battery switch.
    switched: HashSet<&'a PointId>,
}

impl<'a> Upstream<'a> {
    pub(super) fn of(context: &CheckContext<'a>) -> Self {
        let kinds = context.plan.points.iter().map(|point| (&point.id, point.body.kind())).collect();
        let mut upstream = Self { kinds, before: HashMap::default(), switched: HashSet::default() };
        for feeder in context.plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive) {
            upstream.before.entry(&feeder.to).or_default().push(&feeder.from);
            if runs_both_ways([&feeder.from, &feeder.to].map(|end| upstream.kind(end))) {
                upstream.before.entry(&feeder.from).or_default().push(&feeder.to);
            }
        }
        upstream.switched = upstream.with_switch();
        upstream
    }

    /// The battery switches and battery posts that feed a point first. A charger is none: the batteries that
    /// it charges drive the current when it is off.
    pub(super) fn first(&self, point: &'a PointId) -> BTreeSet<&'a PointId> {
        self.search(point, |kind| matches!(kind, PointKind::Battery | PointKind::BatterySwitch))
    }

    /// The batteries that feed a point with every battery switch on.
    pub(super) fn batteries(&self, point: &'a PointId) -> BTreeSet<&'a PointId> {
        self.search(point, |kind| kind == PointKind::Battery)
    }

    /// Whether a battery among those first upstream also feeds a battery switch, so that the point is ahead
    /// of it.
    pub(super) fn is_ahead_of_switch(&self, point: &'a PointId) -> bool {
        self.first(point).iter().any(|first| self.switched.contains(*first))
    }

    /// Whether only battery switches feed a point first.
    pub(super) fn is_behind_switch(&self, point: &'a PointId) -> bool {
        let first = self.first(point);
        !first.is_empty() && first.iter().all(|first| self.kind(first) == Some(PointKind::BatterySwitch))
    }

    pub(super) fn has_switch(&self) -> bool {
        self.kinds.values().any(|kind| *kind == PointKind::BatterySwitch)
    }

    fn kind(&self, point: &PointId) -> Option<PointKind> {
        self.kinds.get(point).copied()
    }

    /// The batteries that feed a battery switch, directly or by a bar.
    fn with_switch(&self) -> HashSet<&'a PointId> {
        let switches =
            self.before.iter().filter(|(point, _)| self.kind(point) == Some(PointKind::BatterySwitch));
        let first = switches.flat_map(|(_, before)| before).flat_map(|before| self.first(before));
        first.filter(|first| self.kind(first) == Some(PointKind::Battery)).collect()
    }

    /// The nearest points upstream of such a kind, the point itself included.
    fn search(&self, point: &'a PointId, is_end: impl Fn(PointKind) -> bool) -> BTreeSet<&'a PointId> {
        let (mut found, mut seen, mut next) = (BTreeSet::new(), HashSet::from_iter([point]), vec![point]);
        while let Some(here) = next.pop() {
            if self.kind(here).is_some_and(&is_end) {
                found.insert(here);
                continue;
            }
            let before = self.before.get(here).into_iter().flatten().copied();
            next.extend(before.filter(|before| seen.insert(before)));
        }
        found
    }
}
