//! Undo of a change of the plan: its items are as before, removed items exist again, and added items are removed.
//! An undo is itself a change with its own line.

use super::change::ChangeSet;
use super::column::{JobId, Version};
use super::error::{Error, Result};
use super::folder::Folder;
use super::log::{self, Change, LogLine};
use super::pool::Write;
use super::{change_rows, photos};
use crate::job::subject::Subject;

/// Whether a line of the log can be undone.
pub fn goes(line: &LogLine) -> bool {
    let says_something = line.before.is_some() || line.after.is_some();
    match line.change {
        Change::Photographed => true,
        // An undo never removes a job.
        Change::Added if line.job.is_some_and(|job| line.subject == log::subject_of(job)) => false,
        Change::Added | Change::Changed | Change::Removed => line.no.is_some() && says_something,
        _ => false,
    }
}

/// Undoes a line of the log.
///
/// # Errors
///
/// [`Error::NotFound`] if there is no such line or it cannot be undone; otherwise as [`change`].
pub async fn line(write: &mut Write, folder: &Folder, job: JobId, id: i64) -> Result<()> {
    let lines = log::of_job(write, job, Some(id.saturating_add(1)), 1).await?;
    let no_such = || Error::NotFound(format!("line {id} that can be undone"));
    let line = lines.into_iter().find(|line| line.id == id && goes(line)).ok_or_else(no_such)?;
    match line.no {
        Some(no) => change(write, job, Version::from(no)).await,
        None => {
            let subject: Subject = line.subject.parse().map_err(|_| no_such())?;
            photos::reverse(write, folder, job, &subject, &line).await
        }
    }
}

/// Undoes a change of the plan by its number. Nothing happens if it is already undone.
///
/// # Errors
///
/// [`Error::NotFound`] if there is no such change, or if it began the job. [`Error::Stale`] and [`Error::Gone`] if
/// an item was changed again since. [`Error::InUse`] if other items now refer to an item that it added.
pub async fn change(write: &mut Write, job: JobId, no: Version) -> Result<()> {
    let past = change_rows::past(write, job, no).await?;
    if past.is_empty() {
        return Err(Error::NotFound(format!("change {no} that can be undone")));
    }
    let mut undo = ChangeSet::begin(write, job).await?;
    for past in past.iter().rev() {
        undo.reverse(no, past)?;
    }
    if undo.is_empty() {
        return Ok(());
    }
    undo.undo(no);
    undo.commit().await.map(drop)
}
