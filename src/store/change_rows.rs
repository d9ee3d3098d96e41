//! The rows of changes, and what each change did to its items.

use std::collections::HashMap;

use serde_json::Value;
use sqlx::SqliteConnection;

use super::column::{At, JobId, Version};
use super::error::{Error, Result};
use super::pool::Write;
use super::row::{self, Row};
use super::{customer, document, log, plan};
use crate::job::plan::Plan;
use crate::job::upgrade::FORMAT;

/// The distance between the ranks of items that are added one after the other.
const GAP: i64 = 1024;

/// The key of an item: the name of its kind, and its id.
pub(super) type Key = (String, String);

/// The kind of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Act {
    /// The first change of a new boat's job.
    Create,
    /// The first change of a job imported from a job file.
    Import,
    /// A change from a form.
    Edit,
    /// The undo of a change.
    Undo(Version),
}

/// What a change will do to one item.
pub(super) struct Touch {
    pub(super) key: Key,
    /// The new state of the item; `None` removes it.
    pub(super) after: Option<String>,
    /// Its order, if it had one before.
    pub(super) rank: Option<i64>,
}

/// What a change did to one item, in the present format.
pub(super) struct Past {
    pub(super) kind: String,
    pub(super) id: String,
    /// The state before the change, with its rank.
    pub(super) before: Option<(Value, i64)>,
    pub(super) after: Option<Value>,
}

/// Writes the first change of a new job: its whole plan.
pub(super) async fn first(write: &mut Write, job: JobId, act: Act, whole: &Plan) -> Result<()> {
    let no = next(write, job).await?;
    customer::set(write, job, whole.customer.as_ref(), no).await?;
    insert(write, job, no, act).await?;
    let touched = plan::documents(whole)?.into_iter().map(|document| Touch {
        key: (document.kind.to_owned(), document.id),
        after: Some(document.body),
        rank: None,
    });
    apply(write, job, no, HashMap::new(), touched.collect()).await
}

/// What a change did to each item. The change that began the job gives nothing.
pub(super) async fn past(conn: &mut SqliteConnection, job: JobId, no: Version) -> Result<Vec<Past>> {
    let rows = sqlx::query!(
        r#"SELECT kind, id, before, after, rank_before, format AS "format: u32"
           FROM item_change JOIN change ON change.job = item_change.job AND change.no = item_change.no
           WHERE item_change.job = ? AND item_change.no = ? AND act IN ('edit', 'undo') ORDER BY seq"#,
        job,
        no
    );
    let past = rows.fetch_all(conn).await?.into_iter().map(|row| {
        let read = |body: Option<String>| {
            body.map(|body| document::of_item(&row.kind, row.format, &body)).transpose()
        };
        let before = read(row.before)?.zip(row.rank_before);
        Ok(Past { before, after: read(row.after)?, kind: row.kind.clone(), id: row.id })
    });
    past.collect()
}

/// The number of the next change of a job.
pub(super) async fn next(conn: &mut SqliteConnection, job: JobId) -> Result<Version> {
    let no = sqlx::query_scalar!(
        r#"UPDATE job SET change_no = change_no + 1 WHERE id = ? RETURNING change_no AS "no: Version""#,
        job
    );
    no.fetch_optional(conn).await?.ok_or(Error::NoSuchJob)
}

/// For each id that was ever removed, the last change that removed it.
pub(super) async fn removed(conn: &mut SqliteConnection, job: JobId) -> Result<HashMap<Key, Version>> {
    let rows = sqlx::query!(
        r#"SELECT kind AS "kind!", id AS "id!", max(no) AS "no!: Version" FROM item_change WHERE job = ? AND after IS NULL
           GROUP BY kind, id"#,
        job
    )
    .map(|row| ((row.kind, row.id), row.no));
    Ok(rows.fetch_all(conn).await?.into_iter().collect())
}

/// Writes the row of the change itself.
pub(super) async fn insert(write: &mut Write, job: JobId, no: Version, act: Act) -> Result<()> {
    let line = log::next_work_line(write, job).await?;
    let (at, by, person) = (At(write.now()), write.actor().name.clone(), write.actor().person);
    let (act, undoes) = match act {
        Act::Create => ("create", None),
        Act::Import => ("import", None),
        Act::Edit => ("edit", None),
        Act::Undo(undoes) => ("undo", Some(undoes)),
    };
    sqlx::query!(
        r#"INSERT INTO change (job, no, line, at, "by", person, act, undoes, format)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"#,
        job,
        no,
        line,
        at,
        by,
        person,
        act,
        undoes,
        FORMAT
    )
    .execute(&mut **write)
    .await?;
    Ok(())
}

/// Applies a change to the items and records what it does to each.
pub(super) async fn apply(
    conn: &mut SqliteConnection,
    job: JobId,
    no: Version,
    rows: HashMap<Key, Row>,
    touched: Vec<Touch>,
) -> Result<()> {
    let mut last: HashMap<String, i64> = HashMap::new();
    for row in rows.values() {
        let last = last.entry(row.kind.clone()).or_default();
        *last = row.rank.max(*last);
    }
    for Touch { key, after, rank } in touched {
        let held = rows.get(&key);
        let rank = rank.or(held.map(|row| row.rank)).unwrap_or_else(|| {
            let last = last.entry(key.0.clone()).or_default();
            *last += GAP;
            *last
        });
        let (before, rank_before) = held.map(|row| (&row.body, row.rank)).unzip();
        let rank_after = after.as_ref().map(|_| rank);
        let (kind, id) = key;
        sqlx::query!(
            "INSERT INTO item_change (job, no, kind, id, before, after, rank_before, rank_after)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            job,
            no,
            kind,
            id,
            before,
            after,
            rank_before,
            rank_after
        )
        .execute(&mut *conn)
        .await?;
        match (after, held) {
            (Some(body), held) => {
                let row = Row { kind, id, rank, version: no, body };
                match held {
                    Some(_) => row::update(conn, job, &row).await?,
                    None => row::insert(conn, job, &row).await?,
                }
            }
            (None, _) => row::delete(conn, job, &kind, &id).await?,
        }
    }
    Ok(())
}
