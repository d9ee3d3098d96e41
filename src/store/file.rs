//! Import and export of a job file: a whole job in one transaction.

use std::collections::{HashMap, HashSet};

use sqlx::SqliteConnection;

use super::change_rows::{self, Act};
use super::column::{JobId, PersonId};
use super::error::{Error, Result};
use super::pool::Write;
use super::{jobs, plan, record};
use crate::job::event::History;
use crate::job::file::JobFile;

/// Imports a job file as a new job. After an error the caller must drop the transaction; then nothing is stored.
///
/// # Errors
///
/// [`Error::Faults`] if the file's parts do not fit together.
pub async fn import(write: &mut Write, file: &JobFile) -> Result<JobId> {
    let job = add(write, file).await?;
    record::import(write, job, &file.history).await?;
    Ok(job)
}

/// Imports a job file with the work that people of this shop did. Their records count as made here.
///
/// # Errors
///
/// As for [`import`].
pub async fn import_own(
    write: &mut Write,
    file: &JobFile,
    people: &HashMap<String, PersonId>,
) -> Result<JobId> {
    let job = add(write, file).await?;
    record::import_own(write, job, &file.history, people).await?;
    Ok(job)
}

/// Adds a job with the plan of a file.
async fn add(write: &mut Write, file: &JobFile) -> Result<JobId> {
    let faults = file.faults();
    if !faults.is_empty() {
        return Err(Error::Faults(faults));
    }
    let job = jobs::add(write).await?;
    change_rows::first(write, job, Act::Import, &file.plan).await?;
    Ok(job)
}

/// Exports a job as its file: the plan and the history. The file does not say which records were imported here.
pub async fn export(conn: &mut SqliteConnection, job: JobId) -> Result<JobFile> {
    let plan = plan::load(conn, job).await?;
    let history = record::history(conn, job).await?;
    Ok(JobFile { plan, history: History { imported: HashSet::default(), ..history } })
}
