//! The rows of items: the only SQL on that table. These functions do not depend on the kind of item.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::error::Result;
use crate::job::upgrade::FORMAT;

/// A stored item.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// The name of its kind.
    pub(super) kind: String,
    /// Its id within the kind.
    pub(super) id: String,
    /// Its order within the kind.
    pub(super) rank: i64,
    /// Number of the change that wrote it.
    pub(super) version: Version,
    /// The document.
    pub(super) body: String,
}

/// All items of a job, each kind in its order.
pub(super) async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Row>> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT kind, id, rank, version AS "version: Version", body FROM item WHERE job = ?
           ORDER BY kind, rank, pk"#,
        job
    );
    Ok(rows.fetch_all(conn).await?)
}

/// All items of one kind, in their order.
pub(super) async fn of_kind(conn: &mut SqliteConnection, job: JobId, kind: &str) -> Result<Vec<Row>> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT kind, id, rank, version AS "version: Version", body FROM item WHERE job = ? AND kind = ?
           ORDER BY rank, pk"#,
        job,
        kind
    );
    Ok(rows.fetch_all(conn).await?)
}

/// One item.
pub(super) async fn one(
    conn: &mut SqliteConnection,
    job: JobId,
    kind: &str,
    id: &str,
) -> Result<Option<Row>> {
    let row = sqlx::query_as!(
        Row,
        r#"SELECT kind, id, rank, version AS "version: Version", body FROM item
           WHERE job = ? AND kind = ? AND id = ?"#,
        job,
        kind,
        id
    );
    Ok(row.fetch_optional(conn).await?)
}

/// Adds an item. Its change must have been written.
pub(super) async fn insert(conn: &mut SqliteConnection, job: JobId, row: &Row) -> Result<()> {
    sqlx::query!(
        "INSERT INTO item (job, kind, id, rank, version, body, format) VALUES (?, ?, ?, ?, ?, ?, ?)",
        job,
        row.kind,
        row.id,
        row.rank,
        row.version,
        row.body,
        FORMAT
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Changes an item. Its change must have been written.
pub(super) async fn update(conn: &mut SqliteConnection, job: JobId, row: &Row) -> Result<()> {
    sqlx::query!(
        "UPDATE item SET rank = ?, version = ?, body = ?, format = ? WHERE job = ? AND kind = ? AND id = ?",
        row.rank,
        row.version,
        row.body,
        FORMAT,
        job,
        row.kind,
        row.id
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Removes an item. Its change must have been written.
pub(super) async fn delete(conn: &mut SqliteConnection, job: JobId, kind: &str, id: &str) -> Result<()> {
    sqlx::query!("DELETE FROM item WHERE job = ? AND kind = ? AND id = ?", job, kind, id)
        .execute(conn)
        .await?;
    Ok(())
}
