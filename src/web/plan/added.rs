//! The devices and distribution points that a list of wishes adds to a plan.

use std::collections::HashSet;

use super::next_id::next;
use super::point::prefix;
use super::wished::Wished;
use crate::job::kind::Kind;
use crate::job::plan::{Device, Plan};
use crate::job::point::Point;
use crate::job::value::{BadValue, LocationId, Name};

/// How many devices and distribution points one list may add at once.
pub(super) const MOST_ADDED: usize = 500;

/// What a list adds.
#[derive(Debug, Default)]
pub(super) struct Added {
    /// The devices.
    pub(super) devices: Vec<Device>,
    /// The distribution points.
    pub(super) points: Vec<Point>,
}

impl Added {
    /// What these rows add to a plan. A row without a location adds nothing. `removed` are ids that were used before.
    ///
    /// # Errors
    ///
    /// A name or id that cannot be written.
    pub(super) fn of(rows: &[Wished], plan: &Plan, removed: Vec<String>) -> Result<Self, BadValue> {
        let mut given = Given::of(plan, removed);
        let mut added = Self::default();
        for row in rows {
            let Some(location) = &row.location else { continue };
            for kind in row.added() {
                let names = given.names(kind, row.wish.count)?;
                for name in names {
                    added.one(kind, name, location, row.kept, &mut given, plan)?;
                }
            }
        }
        Ok(added)
    }

    fn one(
        &mut self,
        kind: &Kind,
        name: Name,
        location: &LocationId,
        kept: bool,
        given: &mut Given,
        plan: &Plan,
    ) -> Result<(), BadValue> {
        let (location, nominal) = (location.clone(), plan.job.nominal_v);
        if let (false, Some(point)) = (kind.is_device(), &kind.point) {
            let id = given.id(prefix(point.kind), 1).parse()?;
            self.points.extend(kind.point(id, name, location, nominal));
        } else {
            let id = given.id("D", 2).parse()?;
            self.devices.push(Device { kept, ..kind.device(id, name, location, nominal) });
        }
        Ok(())
    }
}

/// The names and ids that are given already.
struct Given {
    names: HashSet<String>,
    ids: Vec<String>,
}

impl Given {
    fn of(plan: &Plan, removed: Vec<String>) -> Self {
        let devices = plan.devices.iter().map(|device| (Some(&device.name), device.id.to_string()));
        let points = plan.points.iter().map(|point| (point.name.as_ref(), point.id.to_string()));
        let (names, ids): (Vec<_>, Vec<String>) = devices.chain(points).unzip();
        let names = names.into_iter().flatten().map(ToString::to_string).collect();
        Self { names, ids: ids.into_iter().chain(removed).collect() }
    }

    fn id(&mut self, prefix: &str, digits: usize) -> String {
        let id = next(prefix, digits, &self.ids);
        self.ids.push(id.clone());
        id
    }

    /// Names for so many of one kind. They are numbered, unless there is only one of that name.
    fn names(&mut self, kind: &Kind, count: u16) -> Result<Vec<Name>, BadValue> {
        if count == 1 && self.names.insert(kind.name.to_string()) {
            return Ok(vec![kind.name.clone()]);
        }
        let names = (1_u32..).map(|number| format!("{} {number}", kind.name));
        let free: Vec<String> =
            names.filter(|name| !self.names.contains(name)).take(usize::from(count)).collect();
        self.names.extend(free.iter().cloned());
        free.iter().map(|name| name.parse()).collect()
    }
}
