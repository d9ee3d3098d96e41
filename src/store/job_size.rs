//! How much a job holds: read in no time, before anything of the job is.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::error::Result;

/// How much a job holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JobSize {
    /// The documents of its plan, in bytes.
    pub plan: i64,
    /// Its records.
    pub records: i64,
}

/// The size of a job; zero if there is no such job.
pub async fn of(conn: &mut SqliteConnection, job: JobId) -> Result<JobSize> {
    let size = sqlx::query_as!(
        JobSize,
        r#"SELECT (SELECT coalesce(sum(octet_length(body)), 0) FROM item WHERE job = ?1) AS "plan!: i64",
                  coalesce((SELECT record_no FROM job WHERE id = ?1), 0) AS "records!: i64""#,
        job
    );
    Ok(size.fetch_one(conn).await?)
}
