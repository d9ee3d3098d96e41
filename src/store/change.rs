//! Changes of a plan: one save is one change and one undo, no matter how many items it touches.
//!
//! A [`ChangeSet`] makes a change in memory first. The whole resulting plan must fit together. So everything
//! stored can always be written as a job file and read again, and a form gets all faults at once. A change writes no
//! records. What it means for the work follows from the records and the present plan.

use std::collections::HashMap;

use serde_json::Value;

use super::change_rows::{self, Act, Key, Past, Touch};
use super::column::{JobId, Version};
use super::customer;
use super::error::{Error, Result, Stale};
use super::plan::{self, Document};
use super::pool::Write;
use super::row::{self, Row};
use crate::job::fault::PlanFault;
use crate::job::plan::item::{self, Item};
use crate::job::plan::{Boat, Customer, Head, Plan};
use crate::job::subject::Subject;

/// A change of a plan that is being made.
pub struct ChangeSet<'w> {
    write: &'w mut Write,
    job: JobId,
    /// The stored items.
    rows: HashMap<Key, Row>,
    /// For each removed id, the last change that removed it.
    removed: HashMap<Key, Version>,
    before: Plan,
    after: Plan,
    touched: Vec<Touch>,
    /// The subject of the change. Its faults are named by their field alone.
    about: Option<String>,
    /// Removed items.
    taken: Vec<Subject>,
    /// The change that this one undoes.
    undoes: Option<Version>,
}

impl<'w> ChangeSet<'w> {
    /// Begins a change of a job's plan.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`] if there is no such job.
    pub async fn begin(write: &'w mut Write, job: JobId) -> Result<Self> {
        let rows = row::all(write, job).await?;
        let before = plan::of_rows(job, &rows, customer::get(write, job).await?)?;
        let removed = change_rows::removed(write, job).await?;
        let rows = rows.into_iter().map(|row| ((row.kind.clone(), row.id.clone()), row)).collect();
        let after = before.clone();
        let (touched, taken) = (Vec::new(), Vec::new());
        Ok(Self { write, job, rows, removed, before, after, touched, about: None, taken, undoes: None })
    }

    /// Adds an item at the end, or changes the item that a form opened in version `from`. The id of an item never
    /// changes.
    ///
    /// # Errors
    ///
    /// [`Error::Stale`] if it has another version now, [`Error::Gone`] if it was removed.
    pub fn save<T: Item>(&mut self, item: &T, from: Option<Version>) -> Result<()> {
        if let Some(from) = from {
            self.is_as_opened(&item.subject(), from)?;
        }
        let held = T::list(&self.after).iter().position(|held| from.is_some() && held.id() == item.id());
        self.put(held, item)
    }

    /// Changes the present version of an item, for changes of only a part of it.
    ///
    /// # Errors
    ///
    /// [`Error::Gone`] and [`Error::NotFound`] if it does not exist.
    pub fn alter<T: Item>(&mut self, id: &T::Id, alter: impl FnOnce(T) -> T) -> Result<()> {
        let held = T::list(&self.after).iter().find(|held| held.id() == id).cloned();
        let Some(held) = held else {
            let subject = Subject::new(T::KIND, id);
            let removed = self.removed.contains_key(&key_of(&subject));
            return Err(if removed { Error::Gone(subject) } else { Error::not_found(&subject) });
        };
        let altered = alter(held);
        let at = T::list(&self.after).iter().position(|held| held.id() == id);
        self.put(at, &altered)
    }

    /// Removes the item that a form opened in version `from`. Its records stay in the history.
    ///
    /// # Errors
    ///
    /// As [`save`](Self::save).
    pub fn remove<T: Item>(&mut self, id: &T::Id, from: Version) -> Result<()> {
        let subject = Subject::new(T::KIND, id);
        self.is_as_opened(&subject, from)?;
        T::list_mut(&mut self.after).retain(|held| held.id() != id);
        self.take_out(key_of(&subject));
        self.taken.push(subject);
        Ok(())
    }

    /// Makes the plan another one: items are added, changed and removed until it is. Its customer stays.
    ///
    /// # Errors
    ///
    /// An item that cannot be written.
    pub fn become_plan(&mut self, plan: &Plan) -> Result<()> {
        let mut become_plan = Become { change: self, plan, result: Ok(()) };
        item::visit(&mut become_plan);
        become_plan.result?;
        self.set_head(&plan.job)?;
        self.set_boat(&plan.boat)
    }

    /// Removes and saves items of one kind until its list is as in a plan.
    fn become_list<T: Item>(&mut self, plan: &Plan) -> Result<()> {
        let stays = |item: &T| T::list(plan).iter().any(|other| other.id() == item.id());
        let lost: Vec<Subject> =
            T::list(&self.after).iter().filter(|item| !stays(item)).map(Item::subject).collect();
        T::list_mut(&mut self.after).retain(stays);
        for subject in lost {
            self.take_out(key_of(&subject));
        }
        for item in T::list(plan) {
            let held = T::list(&self.after).iter().position(|other| other.id() == item.id());
            if held.and_then(|at| T::list(&self.after).get(at)) != Some(item) {
                self.put(held, item)?;
            }
        }
        Ok(())
    }

    /// Changes the head of the job.
    pub(super) fn set_head(&mut self, head: &Head) -> Result<()> {
        self.after.job = head.clone();
        self.touch(Document::single(plan::HEAD, head)?);
        Ok(())
    }

    /// Changes the boat.
    pub(super) fn set_boat(&mut self, boat: &Boat) -> Result<()> {
        self.after.boat = boat.clone();
        self.touch(Document::single(plan::BOAT, boat)?);
        Ok(())
    }

    /// Changes or erases the customer. This cannot be undone.
    pub(super) fn set_customer(&mut self, customer: Option<&Customer>) {
        self.after.customer = customer.cloned();
    }

    /// Marks this change as the undo of another change.
    pub(super) fn undo(&mut self, change: Version) {
        self.undoes = Some(change);
    }

    /// Restores an item to its state before a change, which left it as `after`. Nothing happens if it already has
    /// that state.
    ///
    /// # Errors
    ///
    /// [`Error::Stale`] and [`Error::Gone`] if it was changed or removed again since.
    pub(super) fn reverse(&mut self, change: Version, past: &Past) -> Result<()> {
        let key = (past.kind.clone(), past.id.clone());
        let held = self.rows.get(&key).map(|row| Ok::<_, Error>((row.version, plan::read::<Value>(row)?)));
        let held = held.transpose()?;
        let is = held.as_ref().map(|(_, value)| value);
        if is == past.before.as_ref().map(|(value, _)| value) {
            return Ok(());
        }
        let subject = format!("{}/{}", past.kind, past.id);
        match held {
            Some((version, theirs)) if Some(&theirs) != past.after.as_ref() => {
                return Err(Error::Stale(Box::new(Stale { subject, version, theirs })));
            }
            None if past.after.is_some() || self.removed.get(&key) != Some(&change) => {
                return Err(subject.parse().map_or(Error::NotFound(subject), Error::Gone));
            }
            _ => {}
        }
        let (value, rank) = past.before.clone().unzip();
        let at = self.rows.values().filter(|row| row.kind == key.0 && Some(row.rank) <= rank).count();
        match plan::put(&mut self.after, &key.0, &key.1, at, value)? {
            Some(body) => self.touched.push(Touch { key, after: Some(body), rank }),
            None => {
                self.taken.extend(subject.parse().ok());
                self.take_out(key);
            }
        }
        Ok(())
    }

    /// Whether nothing is different.
    pub(super) fn is_empty(&self) -> bool {
        self.touched.is_empty() && self.before.customer == self.after.customer
    }

    /// Writes the change. Its number becomes the version of every item it touches. `None` if nothing is different.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] if the plan would not fit together, or an id was used before. [`Error::InUse`] if other
    /// items refer to the removed item.
    pub async fn commit(mut self) -> Result<Option<Version>> {
        let faults = self.after.faults();
        if !faults.is_empty() {
            return Err(self.refused(faults));
        }
        let is = |touch: &Touch| self.rows.get(&touch.key).map(|row| &row.body);
        self.touched.retain(|touch| is(touch) != touch.after.as_ref());
        if self.is_empty() {
            return Ok(None);
        }
        self.ids_are_new()?;
        let Self { write, job, rows, before, after, touched, undoes, .. } = self;
        let no = change_rows::next(write, job).await?;
        let act = undoes.map_or(Act::Edit, Act::Undo);
        if before.customer != after.customer {
            customer::set(write, job, after.customer.as_ref(), no).await?;
        }
        change_rows::insert(write, job, no, act).await?;
        change_rows::apply(write, job, no, rows, touched).await?;
        Ok(Some(no))
    }

    /// Refuses a change that started from another version than the present one.
    fn is_as_opened(&self, subject: &Subject, from: Version) -> Result<()> {
        let key = key_of(subject);
        match self.rows.get(&key) {
            Some(row) if row.version == from => Ok(()),
            Some(row) => {
                let (subject, theirs) = (subject.to_string(), plan::read(row)?);
                Err(Error::Stale(Box::new(Stale { subject, version: row.version, theirs })))
            }
            None if self.removed.contains_key(&key) => Err(Error::Gone(subject.clone())),
            None => Err(Error::not_found(subject)),
        }
    }

    /// Replaces the item at `held`, or adds one at the end.
    fn put<T: Item>(&mut self, held: Option<usize>, item: &T) -> Result<()> {
        let list = T::list_mut(&mut self.after);
        let at = held.unwrap_or(list.len());
        match list.get_mut(at) {
            Some(held) => held.clone_from(item),
            None => list.push(item.clone()),
        }
        self.about.get_or_insert_with(|| format!("{}[{at}].", T::LIST));
        self.touch(Document::of(item)?);
        Ok(())
    }

    fn touch(&mut self, document: Document) {
        let key = (document.kind.to_owned(), document.id);
        self.touched.retain(|touch| touch.key != key);
        self.touched.push(Touch { key, after: Some(document.body), rank: None });
    }

    fn take_out(&mut self, key: Key) {
        self.touched.retain(|touch| touch.key != key);
        self.touched.push(Touch { key, after: None, rank: None });
    }

    /// Refuses new items with ids that were used before, unless the change undoes the removal.
    fn ids_are_new(&self) -> Result<()> {
        let brought_back =
            |key: &Key| self.removed.get(key).is_some_and(|removal| Some(*removal) != self.undoes);
        let new =
            self.touched.iter().filter(|touch| touch.after.is_some() && !self.rows.contains_key(&touch.key));
        match new.map(|touch| &touch.key).find(|key| brought_back(key)) {
            Some((kind, id)) => {
                let expected = format!("an id that no {kind} of this job ever had; this one was removed");
                Err(Error::Faults(vec![PlanFault::expected("id", id, expected)]))
            }
            None => Ok(()),
        }
    }

    /// The error for the faults of the plan. If a removal causes them, it is the list of items that use the
    /// removed one.
    fn refused(&self, mut faults: Vec<PlanFault>) -> Error {
        if let Some(subject) = self.taken.first() {
            let by = item::at_paths(&self.after, faults.iter().map(|fault| fault.path.as_str()));
            if !by.is_empty() {
                return Error::InUse { subject: subject.clone(), by };
            }
        }
        if let Some(about) = &self.about {
            for fault in &mut faults {
                if let Some(field) = fault.path.strip_prefix(about) {
                    fault.path = field.to_owned();
                }
            }
        }
        Error::Faults(faults)
    }
}

/// Makes each list of a change as in a plan.
struct Become<'c, 'w> {
    change: &'c mut ChangeSet<'w>,
    plan: &'c Plan,
    result: Result<()>,
}

impl item::ItemVisitor for Become<'_, '_> {
    fn visit<T: Item>(&mut self) {
        if self.result.is_ok() {
            self.result = self.change.become_list::<T>(self.plan);
        }
    }
}

fn key_of(subject: &Subject) -> Key {
    (subject.kind.word().to_owned(), subject.id.clone())
}
