//! The state of a job as a whole, read. `jobs.rs` changes it.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::error::Result;
use crate::shop::job_state::JobState;

/// The state of a job; `None` if there is no such job.
pub async fn of(conn: &mut SqliteConnection, job: JobId) -> Result<Option<JobState>> {
    let state = sqlx::query_scalar!(r#"SELECT state AS "state: JobState" FROM job WHERE id = ?"#, job);
    Ok(state.fetch_optional(conn).await?)
}
