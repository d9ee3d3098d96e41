//! What things of the plan have beyond their columns, as one JSON text each.

use std::collections::HashMap;

use serde::Serialize;
use serde::de::DeserializeOwned;
use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use crate::job::subject::Subject;

/// Those of all things of a kind, by their ids.
pub(super) async fn all<T: DeserializeOwned>(
    conn: &mut SqliteConnection,
    job: JobId,
    kind: &str,
) -> Result<HashMap<String, T>> {
    let rows =
        sqlx::query_as::<_, (String, String)>("SELECT id, body FROM plan_extras WHERE job = ? AND kind = ?");
    let rows = rows.bind(job).bind(kind).fetch_all(conn).await?;
    rows.into_iter().map(|(id, body)| Ok((id, serde_json::from_str(&body)?))).collect()
}

/// Keeps those of one thing.
pub(super) async fn set(
    conn: &mut SqliteConnection,
    job: JobId,
    subject: &Subject,
    extras: &impl Serialize,
) -> Result<()> {
    let body = serde_json::to_string(extras)?;
    sqlx::query("INSERT OR REPLACE INTO plan_extras (job, kind, id, body) VALUES (?, ?, ?, ?)")
        .bind(job)
        .bind(subject.kind.word())
        .bind(&subject.id)
        .bind(body)
        .execute(conn)
        .await?;
    Ok(())
}
