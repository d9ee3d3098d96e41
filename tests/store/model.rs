//! Two people save, remove and undo in any order, beside a model that does the same in memory: nobody's work that
//! the other had not seen is ever overwritten.

use std::collections::BTreeMap;

use driploop::job::plan::Location;
use driploop::store::{Actor, ChangeSet, Error, JobId, Result, Version, Write, doctor, item, undo};
use proptest::prelude::*;

use crate::fixture::{Shop, at, small};

/// What somebody does, each person by a number.
#[derive(Debug, Clone)]
enum Act {
    /// Reads everything: what is saved later starts from there.
    Look(usize),
    /// Saves some items as one change, each with a new value.
    Save(usize, Vec<(usize, u8)>),
    /// Removes an item.
    Remove(usize, usize),
    /// Undoes one of the last changes: so many back.
    Undo(usize, usize),
}

const PEOPLE: [&str; 2] = ["Ana", "Bo"];
const ITEMS: usize = 4;

fn act() -> impl Strategy<Value = Act> {
    let who = 0..PEOPLE.len();
    let save = prop::collection::btree_map(0..ITEMS, 0..4_u8, 1..3);
    prop_oneof![
        2 => who.clone().prop_map(Act::Look),
        4 => (who.clone(), save).prop_map(|(who, items)| Act::Save(who, items.into_iter().collect())),
        1 => (who.clone(), 0..ITEMS).prop_map(|(who, item)| Act::Remove(who, item)),
        2 => (who, 0..4_usize).prop_map(|(who, back)| Act::Undo(who, back)),
    ]
}

/// An item's version and value.
type Held = (i64, u8);
/// Items by their numbers.
type State = BTreeMap<usize, Held>;
/// What a change did to its items: what was there before, and after.
type Deed = BTreeMap<usize, (Option<u8>, Option<u8>)>;

/// The plain account of what ought to come of each act.
#[derive(Debug, Default)]
struct Model {
    now: State,
    /// The last change that removed each item.
    removed: BTreeMap<usize, i64>,
    /// What each change did, by its number; the import is 1.
    changes: BTreeMap<i64, Deed>,
    seen: [State; PEOPLE.len()],
    no: i64,
}

impl Model {
    /// Whether an act is taken. What is taken changes the model.
    fn takes(&mut self, act: &Act) -> bool {
        let deed = match act {
            Act::Look(who) => {
                self.seen[*who] = self.now.clone();
                return true;
            }
            Act::Save(who, items) => self.saved(*who, items),
            Act::Remove(who, item) => {
                self.is_as_seen(*who, *item).then(|| Deed::from([(*item, (self.value(*item), None))]))
            }
            Act::Undo(_, back) => self.undone(self.no - i64::try_from(*back).unwrap()),
        };
        let Some(deed) = deed else { return false };
        let deed: Deed = deed.into_iter().filter(|(_, (before, after))| before != after).collect();
        if deed.is_empty() {
            return true;
        }
        self.no += 1;
        for (item, (_, after)) in &deed {
            match after {
                Some(value) => self.now.insert(*item, (self.no, *value)),
                None => {
                    self.removed.insert(*item, self.no);
                    self.now.remove(item)
                }
            };
        }
        self.changes.insert(self.no, deed);
        true
    }

    fn value(&self, item: usize) -> Option<u8> {
        self.now.get(&item).map(|(_, value)| *value)
    }

    /// Whether somebody last saw an item that is there as it is.
    fn is_as_seen(&self, who: usize, item: usize) -> bool {
        let version = |state: &State| state.get(&item).map(|(version, _)| *version);
        version(&self.now).is_some() && version(&self.now) == version(&self.seen[who])
    }

    fn saved(&self, who: usize, items: &[(usize, u8)]) -> Option<Deed> {
        let fits = |item: usize| match self.seen[who].contains_key(&item) {
            true => self.is_as_seen(who, item),
            false => !self.now.contains_key(&item) && !self.removed.contains_key(&item),
        };
        let deed = items
            .iter()
            .map(|(item, value)| fits(*item).then_some((*item, (self.value(*item), Some(*value)))));
        deed.collect()
    }

    fn undone(&self, no: i64) -> Option<Deed> {
        let mut deed = Deed::new();
        for (item, (before, after)) in self.changes.get(&no)? {
            let now = self.value(*item);
            let gone_by_it = now.is_none() && self.removed.get(item) == Some(&no);
            match (now == *before, now == *after) {
                (true, _) => {}
                (false, true) if now.is_some() || gone_by_it => {
                    deed.insert(*item, (now, *before));
                }
                _ => return None,
            }
        }
        Some(deed)
    }
}

fn location(item: usize, value: u8) -> Location {
    let document = serde_json::json!({ "id": format!("l{item}"), "name": format!("Named {value}") });
    serde_json::from_value(document).unwrap()
}

/// Does an act on the store, starting from what the person saw.
async fn act_on(write: &mut Write, job: JobId, act: &Act, seen: &State, no: i64) -> Result<()> {
    let version = |item: &usize| seen.get(item).map(|(version, _)| Version::from(*version));
    match act {
        Act::Look(_) => Ok(()),
        Act::Save(_, items) => {
            let mut change = ChangeSet::begin(write, job).await?;
            for (item, value) in items {
                change.save(&location(*item, *value), version(item))?;
            }
            change.commit().await.map(drop)
        }
        Act::Remove(_, item) => match version(item) {
            Some(version) => item::remove::<Location>(write, job, &location(*item, 0).id, version).await,
            None => Err(Error::NoSuchJob),
        },
        Act::Undo(_, back) => {
            let no = no - i64::try_from(*back).unwrap();
            undo::change(write, job, Version::from(no)).await
        }
    }
}

/// The model's items as the store has them.
async fn state(write: &mut Write, job: JobId) -> State {
    let held = item::all::<Location>(write, job).await.unwrap().into_iter();
    let items = held.filter_map(|held| {
        let item = held.value.id.as_str().strip_prefix('l')?.parse().ok()?;
        let value = held.value.name.as_str().strip_prefix("Named ")?.parse().ok()?;
        Some((item, (held.version.number(), value)))
    });
    items.collect()
}

async fn agree(acts: &[Act], shop: &Shop, hands: &[Actor]) -> std::result::Result<(), TestCaseError> {
    let job = shop.import(&small()).await;
    let mut model = Model { no: 1, ..Model::default() };
    for act in acts {
        let (Act::Look(who) | Act::Save(who, _) | Act::Remove(who, _) | Act::Undo(who, _)) = act;
        let (seen, no) = (model.seen[*who].clone(), model.no);
        let takes = model.takes(act);
        let mut write = shop.store.write(&hands[*who], at(0)).await.unwrap();
        let done = act_on(&mut write, job, act, &seen, no).await;
        prop_assert_eq!(done.is_ok(), takes, "{:?}: {:?}", act, done);
        if done.is_ok() {
            write.commit().await.unwrap();
        } else {
            drop(write);
        }
        let mut write = shop.store.write(&hands[*who], at(0)).await.unwrap();
        prop_assert_eq!(&state(&mut write, job).await, &model.now, "{:?}", act);
    }
    Ok(())
}

#[test]
fn nobody_overwrites_work_that_they_had_not_seen() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let shop = runtime.block_on(Shop::open());
    let hands: Vec<Actor> =
        runtime.block_on(async { vec![shop.hand(PEOPLE[0]).await, shop.hand(PEOPLE[1]).await] });
    proptest!(ProptestConfig::with_cases(64), |(acts in prop::collection::vec(act(), 1..25))| {
        runtime.block_on(agree(&acts, &shop, &hands))?;
    });
    let report = runtime.block_on(doctor::examine(shop.store.folder().root())).unwrap();
    assert!(report.is_well(), "{report:?}");
}
