//! Adds a record of the work if the work allows it, inside the transaction that stores it.
//!
//! The plan was checked and its readings were judged outside, so nothing is solved while the only writer waits. If
//! another person changed the plan or took a reading meanwhile, nothing is stored, and the caller begins again.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::error::Result;
use super::log::{self, Edition};
use super::pool::Write;
use super::record;
use crate::job::checked::Checked;
use crate::job::record::Record;
use crate::job::work::{Verdicts, Work};

/// What a person saw when he acted: the checked plan with its revision, and the verdicts of the readings.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// The revision of the plan.
    pub edition: Option<&'a Edition>,
    /// The checked plan.
    pub checked: &'a Checked,
    /// The verdict of every reading.
    pub verdicts: &'a Verdicts,
}

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// It is stored.
    New,
    /// It was stored before.
    Known,
    /// The work does not allow it now.
    Refused,
    /// The plan or a reading is newer than what it was decided on. Begin again.
    Outdated,
}

/// Stores a record if `allows` says so about the status of the work at this moment.
///
/// # Errors
///
/// As [`record::add`].
pub async fn add<R: Record>(
    write: &mut Write,
    job: JobId,
    basis: Basis<'_>,
    record: &R,
    allows: impl FnOnce(&Work<'_>) -> bool,
) -> Result<Added> {
    if record::is_known(write, job, record).await? {
        return Ok(Added::Known);
    }
    match decide(write, job, basis, allows).await? {
        Added::New => record::add(write, job, record).await.map(|_| Added::New),
        other => Ok(other),
    }
}

async fn decide(
    conn: &mut SqliteConnection,
    job: JobId,
    basis: Basis<'_>,
    allows: impl FnOnce(&Work<'_>) -> bool,
) -> Result<Added> {
    if log::edition(conn, job).await?.as_ref() != basis.edition {
        return Ok(Added::Outdated);
    }
    let history = record::history(conn, job).await?;
    if !basis.verdicts.has_all(&history) {
        return Ok(Added::Outdated);
    }
    let work = Work::of(basis.checked, &history, basis.verdicts);
    Ok(if allows(&work) { Added::New } else { Added::Refused })
}
