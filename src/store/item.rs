//! The items of a plan, of any kind: read one by one or by kind, added, removed, and changed from a known version.

use std::collections::HashMap;
use std::hash::Hash;

use sqlx::SqliteConnection;

use super::change::ChangeSet;
use super::column::{JobId, Version};
use super::document;
use super::error::{Error, Result};
use super::plan;
use super::pool::Write;
use super::row::{self, Row};
use super::versioned::Versioned;
use crate::job::plan::item::Item;
use crate::job::subject::{Subject, SubjectKind};

/// One item.
///
/// # Errors
///
/// [`Error::NotFound`].
pub async fn get<T: Item>(conn: &mut SqliteConnection, job: JobId, id: &T::Id) -> Result<Versioned<T>> {
    let row = row::one(conn, job, T::KIND.word(), &id.to_string()).await?;
    row.as_ref().map(read).unwrap_or_else(|| Err(Error::not_found(&Subject::new(T::KIND, id))))
}

/// All items of one kind, in their order.
pub async fn all<T: Item>(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<T>>> {
    row::of_kind(conn, job, T::KIND.word()).await?.iter().map(read).collect()
}

/// The version of each item of one kind.
pub async fn versions<T: Item<Id: Eq + Hash>>(
    conn: &mut SqliteConnection,
    job: JobId,
) -> Result<HashMap<T::Id, Version>> {
    let held = all::<T>(conn, job).await?.into_iter();
    Ok(held.map(|held| (held.value.id().clone(), held.version)).collect())
}

/// Adds an item at the end, or changes the item that a form opened in version `from`, as a change by itself.
/// Returns its new version.
///
/// # Errors
///
/// As [`ChangeSet::save`] and [`ChangeSet::commit`].
pub async fn save<T: Item>(
    write: &mut Write,
    job: JobId,
    item: &T,
    from: Option<Version>,
) -> Result<Version> {
    let mut change = ChangeSet::begin(write, job).await?;
    change.save(item, from)?;
    let no = change.commit().await?;
    // "Nothing is different" is possible only for an existing item.
    Ok(no.or(from).unwrap_or_else(Version::first))
}

/// Removes an item that nothing refers to any more, as a change by itself. Its records stay in the history.
///
/// # Errors
///
/// As [`ChangeSet::remove`] and [`ChangeSet::commit`].
pub async fn remove<T: Item>(write: &mut Write, job: JobId, id: &T::Id, from: Version) -> Result<()> {
    let mut change = ChangeSet::begin(write, job).await?;
    change.remove::<T>(id, from)?;
    change.commit().await.map(drop)
}

/// An item in a version; `None` if it has no such version.
pub async fn in_version<T: Item>(
    conn: &mut SqliteConnection,
    job: JobId,
    id: &T::Id,
    version: Version,
) -> Result<Option<T>> {
    let (kind, id) = (T::KIND.word(), id.to_string());
    let row = sqlx::query!(
        r#"SELECT after, format AS "format: u32"
           FROM item_change JOIN change ON change.job = item_change.job AND change.no = item_change.no
           WHERE item_change.job = ? AND kind = ? AND id = ? AND item_change.no = ?"#,
        job,
        kind,
        id,
        version
    );
    let Some(row) = row.fetch_optional(conn).await? else { return Ok(None) };
    let value = row.after.map(|body| document::of_item(kind, row.format, &body)).transpose()?;
    Ok(value.map(serde_json::from_value).transpose()?)
}

/// The last change of an item, by its number.
pub async fn last_change(
    conn: &mut SqliteConnection,
    job: JobId,
    subject: &Subject,
) -> Result<Option<Version>> {
    let kind = subject.kind.word();
    let no = sqlx::query_scalar!(
        r#"SELECT max(no) AS "no: Version" FROM item_change WHERE job = ? AND kind = ? AND id = ?"#,
        job,
        kind,
        subject.id
    );
    Ok(no.fetch_one(conn).await?)
}

/// The removed ids of one kind, which may not be used again.
pub async fn removed_ids(conn: &mut SqliteConnection, job: JobId, kind: SubjectKind) -> Result<Vec<String>> {
    let kind = kind.word();
    let ids = sqlx::query_scalar!(
        "SELECT DISTINCT id FROM item_change WHERE job = ? AND kind = ? AND after IS NULL ORDER BY id",
        job,
        kind
    );
    Ok(ids.fetch_all(conn).await?)
}

fn read<T: Item>(row: &Row) -> Result<Versioned<T>> {
    Ok(Versioned { version: row.version, value: plan::read(row)? })
}
