//! Summaries of jobs, so that a page about all jobs need not check each plan again.
//!
//! A summary is derived data. It is trusted only while the job has no newer change and no newer record, and only by
//! the same build of the program. If a row is missing, the only cost is the time to calculate it again. So it is
//! not in the log, and it is written only if no other write is in its path.

use std::collections::HashMap;

use serde::Serialize;
use serde::de::DeserializeOwned;
use sqlx::SqliteConnection;

use super::column::JobId;
use super::error::Result;
use super::pool::Store;

/// The state of a job: the numbers of its last change and its last record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JobNumbers {
    change: i64,
    record: i64,
}

/// A job with its summary, if the stored one is still right.
#[derive(Debug, Clone, PartialEq)]
pub struct Summarized<T> {
    /// The state of the job now.
    pub numbers: JobNumbers,
    /// Its summary.
    pub summary: Option<T>,
}

/// These jobs with their summaries by this build, in one query. A row that cannot be read counts as missing.
pub async fn of_jobs<T: DeserializeOwned>(
    conn: &mut SqliteConnection,
    jobs: &[JobId],
    build: &str,
) -> Result<HashMap<JobId, Summarized<T>>> {
    let jobs = serde_json::to_string(jobs)?;
    let rows = sqlx::query!(
        r#"SELECT job.id AS "job!: JobId", job.change_no AS "change!: i64", job.record_no AS "record!: i64",
                  job_summary.body AS "body?: String"
           FROM job
           LEFT JOIN job_summary ON job_summary.job = job.id AND job_summary.change_no = job.change_no
               AND job_summary.record_no = job.record_no AND job_summary.build = ?1
           WHERE job.id IN (SELECT value FROM json_each(?2))"#,
        build,
        jobs
    );
    let rows = rows.fetch_all(conn).await?.into_iter().map(|row| {
        let numbers = JobNumbers { change: row.change, record: row.record };
        (row.job, Summarized { numbers, summary: row.body.and_then(|body| serde_json::from_str(&body).ok()) })
    });
    Ok(rows.collect())
}

/// Stores summaries, each with the state of its job that was read before it was calculated. Returns whether they
/// were stored: if another write takes long, the next page does it.
pub async fn keep<T: Serialize>(
    store: &Store,
    build: &str,
    summaries: &[(JobId, JobNumbers, T)],
) -> Result<bool> {
    let Some(mut write) = store.housekeep_soon().await? else { return Ok(false) };
    for (job, numbers, summary) in summaries {
        let body = serde_json::to_string(summary)?;
        // The job may have been deleted meanwhile.
        sqlx::query!(
            "INSERT INTO job_summary (job, change_no, record_no, build, body)
             SELECT id, ?2, ?3, ?4, ?5 FROM job WHERE id = ?1
             ON CONFLICT (job) DO UPDATE SET change_no = excluded.change_no, record_no = excluded.record_no,
                 build = excluded.build, body = excluded.body",
            job,
            numbers.change,
            numbers.record,
            build,
            body
        )
        .execute(&mut *write)
        .await?;
    }
    write.commit().await?;
    Ok(true)
}
