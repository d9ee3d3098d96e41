//! The items of a plan, with one trait for every kind. Each kind knows its own list, so code that stores,
//! compares or names items needs no list of kinds.

use std::fmt::{Debug, Display};
use std::str::FromStr;

use foldhash::HashSet;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::{Circuit, Device, Feeder, Keyed, Location, Mode, Plan, Proposed, Raceway, RemovedEquipment};
use crate::job::board::Board;
use crate::job::point::Point;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{
    BadValue, BoardId, CircuitId, DeviceId, FeederId, LocationId, ModeId, PointId, ProposedId, RacewayId,
    RemovedId,
};

/// A kind of item in a plan.
pub trait Item: Serialize + DeserializeOwned + Clone + PartialEq + Debug + Send + Sync + 'static {
    /// Its id: created once, never changed and never used again.
    type Id: FromStr<Err = BadValue>
        + DeserializeOwned
        + Display
        + Debug
        + Clone
        + PartialEq
        + Send
        + Sync
        + 'static;

    /// The kind, as used in subjects.
    const KIND: SubjectKind;
    /// The name of its list in the plan and in the job file: `circuits`.
    const LIST: &'static str;

    /// Its id.
    fn id(&self) -> &Self::Id;

    /// All items of this kind in a plan.
    fn list(plan: &Plan) -> &[Self];

    /// The same list, for changes.
    fn list_mut(plan: &mut Plan) -> &mut Vec<Self>;

    /// The subject of this item: its kind and id.
    fn subject(&self) -> Subject {
        Subject::new(Self::KIND, self.id())
    }
}

/// An action for every kind of item.
pub trait ItemVisitor {
    /// Runs the action for one kind.
    fn visit<T: Item>(&mut self);
}

/// Declares the kinds of items, in the order of the job file.
macro_rules! items {
    ($($item:ident by $id:ident in $list:ident as $kind:ident;)+) => {
        $(
            impl Keyed for $item {
                fn key(&self) -> &str {
                    self.id.as_str()
                }
            }

            impl Item for $item {
                type Id = $id;

                const KIND: SubjectKind = SubjectKind::$kind;
                const LIST: &'static str = stringify!($list);

                fn id(&self) -> &$id {
                    &self.id
                }

                fn list(plan: &Plan) -> &[Self] {
                    &plan.$list
                }

                fn list_mut(plan: &mut Plan) -> &mut Vec<Self> {
                    &mut plan.$list
                }
            }
        )+

        /// Runs a visitor for every kind of item, in the order of the job file.
        pub fn visit(visitor: &mut impl ItemVisitor) {
            $(visitor.visit::<$item>();)+
        }
    };
}

items! {
    Location by LocationId in locations as Location;
    Raceway by RacewayId in raceways as Raceway;
    Board by BoardId in boards as Board;
    Point by PointId in points as Point;
    Feeder by FeederId in feeders as Feeder;
    Device by DeviceId in devices as Device;
    Circuit by CircuitId in circuits as Circuit;
    Mode by ModeId in modes as Mode;
    RemovedEquipment by RemovedId in removed as Removed;
    Proposed by ProposedId in proposed as Proposed;
}

/// Everything that a plan has, in the order of the job file.
pub fn subjects(plan: &Plan) -> Vec<Subject> {
    struct All<'a>(&'a Plan, Vec<Subject>);

    impl ItemVisitor for All<'_> {
        fn visit<T: Item>(&mut self) {
            self.1.extend(T::list(self.0).iter().map(T::subject));
        }
    }

    let mut all = All(plan, Vec::new());
    visit(&mut all);
    all.1
}

/// The list in the job file for a kind's name. The head and the boat have no list; their own names are
/// returned.
pub fn list_of(word: &str) -> &str {
    struct ListOf<'a>(&'a str);

    impl ItemVisitor for ListOf<'_> {
        fn visit<T: Item>(&mut self) {
            if T::KIND.word() == self.0 {
                self.0 = T::LIST;
            }
        }
    }

    let mut search = ListOf(word);
    visit(&mut search);
    search.0
}

/// The item that a path of the job file leads to, and the rest of the path: `circuits[3].from` is `from` of
/// a circuit.
pub fn at_path<'p>(plan: &Plan, path: &'p str) -> Option<(Subject, &'p str)> {
    let (_, _, field) = parts(path)?;
    Some((at_paths(plan, [path]).pop()?, field))
}

/// The items that paths of the job file lead to, without repeats, in the order of the job file.
pub fn at_paths<'p>(plan: &Plan, paths: impl IntoIterator<Item = &'p str>) -> Vec<Subject> {
    struct AtPaths<'a> {
        plan: &'a Plan,
        paths: HashSet<(&'a str, usize)>,
        found: Vec<Subject>,
    }

    impl ItemVisitor for AtPaths<'_> {
        fn visit<T: Item>(&mut self) {
            let items = T::list(self.plan).iter().enumerate();
            let led = items.filter(|(index, _)| self.paths.contains(&(T::LIST, *index)));
            self.found.extend(led.map(|(_, item)| item.subject()));
        }
    }

    let paths = paths.into_iter().filter_map(parts).map(|(list, index, _)| (list, index)).collect();
    let mut search = AtPaths { plan, paths, found: Vec::new() };
    visit(&mut search);
    search.found
}

/// The list, the index and the field in a path.
fn parts(path: &str) -> Option<(&str, usize, &str)> {
    let (list, rest) = path.split_once('[')?;
    let (index, field) = rest.split_once(']')?;
    Some((list, index.parse().ok()?, field.strip_prefix('.').unwrap_or(field)))
}
