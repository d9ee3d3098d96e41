//! The job file in and out: a whole job in one transaction.

use serde::Serialize;
use sqlx::SqliteConnection;

use super::column::JobId;
use super::log::{self, Change};
use super::{Error, Result, Write, history, jobs, plan};
use crate::job::file::JobFile;
use crate::job::value::Name;

/// Takes in a job file as a new job. What goes wrong leaves nothing behind, as long as the transaction is
/// dropped then.
///
/// # Errors
///
/// [`Error::Faults`] where the file's parts do not fit together.
pub async fn import(write: &mut Write, file: &JobFile) -> Result<JobId> {
    let faults = file.faults();
    if !faults.is_empty() {
        return Err(Error::Faults(faults));
    }
    let job = plan::add(write, &file.plan).await?;
    history::add(write, job, &file.history).await?;
    let subject = jobs::subject(job).to_string();
    log::line(write, Some(job), Change::Imported, &subject, None::<&()>, Some(&Imported::from(file))).await?;
    Ok(job)
}

/// A job as its file: what was planned and what happened.
pub async fn export(conn: &mut SqliteConnection, job: JobId) -> Result<JobFile> {
    Ok(JobFile { plan: plan::load(conn, job).await?, history: history::load(conn, job).await? })
}

/// What the log keeps of an import: the job itself is in the tables.
#[derive(Serialize)]
struct Imported<'a> {
    name: &'a Name,
    boat: &'a Name,
    circuits: usize,
    devices: usize,
    ticks: usize,
}

impl<'a> From<&'a JobFile> for Imported<'a> {
    fn from(file: &'a JobFile) -> Self {
        Self {
            name: &file.plan.job.name,
            boat: &file.plan.boat.name,
            circuits: file.plan.circuits.len(),
            devices: file.plan.devices.len(),
            ticks: file.history.ticks.len(),
        }
    }
}
