//! A whole plan at once: its items as documents, read and written regardless of their kind.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use sqlx::SqliteConnection;

use super::column::JobId;
use super::customer;
use super::error::{Error, Result};
use super::row::{self, Row};
use crate::job::plan::item::{self, Item, ItemVisitor};
use crate::job::plan::{Customer, Plan};
use crate::job::subject::SubjectKind;

/// The kind of the head of a job, and its id.
pub(super) const HEAD: &str = "job";
/// The kind of the boat, and its id.
pub(super) const BOAT: &str = "boat";

/// Everything planned for one job.
pub async fn load(conn: &mut SqliteConnection, job: JobId) -> Result<Plan> {
    let rows = row::all(conn, job).await?;
    of_rows(job, &rows, customer::get(conn, job).await?)
}

/// The plan in a set of rows.
///
/// # Errors
///
/// [`Error::NotFound`] if there is no such job, [`Error::Unreadable`] for the first document that cannot be read.
pub(super) fn of_rows(job: JobId, rows: &[Row], customer: Option<Customer>) -> Result<Plan> {
    let single = |kind| rows.iter().find(|row| row.kind == kind).ok_or_else(|| missing(job));
    let mut plan = Plan::new(read(single(HEAD)?)?, read(single(BOAT)?)?);
    plan.customer = customer;
    let mut fill = Fill { rows, plan, problem: None };
    item::visit(&mut fill);
    match fill.problem {
        Some(problem) => Err(problem),
        None => Ok(fill.plan),
    }
}

/// The error for a job that does not exist.
pub(super) fn missing(job: JobId) -> Error {
    Error::NotFound(format!("{} {job}", SubjectKind::Job.word()))
}

/// The value in a row.
pub(super) fn read<T: DeserializeOwned>(row: &Row) -> Result<T> {
    serde_json::from_str(&row.body).map_err(|problem| unreadable(&row.kind, &row.id, problem))
}

fn unreadable(kind: &str, id: &str, problem: serde_json::Error) -> Error {
    Error::Unreadable { what: format!("{kind} '{id}'"), problem: problem.to_string() }
}

/// Reads the items of each kind from the rows of all kinds.
struct Fill<'a> {
    rows: &'a [Row],
    plan: Plan,
    problem: Option<Error>,
}

impl ItemVisitor for Fill<'_> {
    fn visit<T: Item>(&mut self) {
        let own = self.rows.iter().filter(|row| row.kind == T::KIND.word());
        match own.map(read).collect() {
            Ok(items) => *T::list_mut(&mut self.plan) = items,
            Err(problem) => self.problem = self.problem.take().or(Some(problem)),
        }
    }
}

/// A document for a row: kind, id and body.
pub(super) struct Document {
    /// The name of its kind.
    pub(super) kind: &'static str,
    /// Its id.
    pub(super) id: String,
    /// Its content.
    pub(super) body: String,
}

impl Document {
    /// The document of one item.
    pub(super) fn of<T: Item>(item: &T) -> Result<Self> {
        Self::named(T::KIND.word(), item.id().to_string(), item)
    }

    /// The document of the head or the boat, which are named by their kind.
    pub(super) fn single(kind: &'static str, value: &impl Serialize) -> Result<Self> {
        Self::named(kind, kind.to_owned(), value)
    }

    fn named(kind: &'static str, id: String, value: &impl Serialize) -> Result<Self> {
        Ok(Self { kind, id, body: serde_json::to_string(value)? })
    }
}

/// Every document of a plan, each kind in its order.
pub(super) fn documents(plan: &Plan) -> Result<Vec<Document>> {
    let singles = [Document::single(HEAD, &plan.job), Document::single(BOAT, &plan.boat)];
    let mut write = WriteAll { plan, documents: singles.into() };
    item::visit(&mut write);
    write.documents.into_iter().collect()
}

struct WriteAll<'a> {
    plan: &'a Plan,
    documents: Vec<Result<Document>>,
}

impl ItemVisitor for WriteAll<'_> {
    fn visit<T: Item>(&mut self) {
        self.documents.extend(T::list(self.plan).iter().map(Document::of));
    }
}

/// Puts a document into a plan, at a position of its list or in place of the item with its id. Without a document
/// the item is removed. Returns the document as the program writes it.
pub(super) fn put(
    plan: &mut Plan,
    kind: &str,
    id: &str,
    at: usize,
    value: Option<Value>,
) -> Result<Option<String>> {
    let body = match (kind, value) {
        (HEAD, Some(value)) => {
            plan.job = from_value(kind, id, value)?;
            Some(serde_json::to_string(&plan.job)?)
        }
        (BOAT, Some(value)) => {
            plan.boat = from_value(kind, id, value)?;
            Some(serde_json::to_string(&plan.boat)?)
        }
        (_, value) => {
            let mut put = Put { plan, kind, id, at, value, body: Ok(None) };
            item::visit(&mut put);
            put.body?
        }
    };
    Ok(body)
}

fn from_value<T: DeserializeOwned>(kind: &str, id: &str, value: Value) -> Result<T> {
    serde_json::from_value(value).map_err(|problem| unreadable(kind, id, problem))
}

struct Put<'a> {
    plan: &'a mut Plan,
    kind: &'a str,
    id: &'a str,
    at: usize,
    value: Option<Value>,
    body: Result<Option<String>>,
}

impl ItemVisitor for Put<'_> {
    fn visit<T: Item>(&mut self) {
        if T::KIND.word() == self.kind {
            self.body = self.put::<T>();
        }
    }
}

impl Put<'_> {
    fn put<T: Item>(&mut self) -> Result<Option<String>> {
        let list = T::list_mut(self.plan);
        let Some(value) = self.value.take() else {
            list.retain(|item| item.id().to_string() != self.id);
            return Ok(None);
        };
        let item: T = from_value(self.kind, self.id, value)?;
        let body = serde_json::to_string(&item)?;
        match list.iter_mut().find(|held| held.id() == item.id()) {
            Some(held) => *held = item,
            None => list.insert(self.at.min(list.len()), item),
        }
        Ok(Some(body))
    }
}
