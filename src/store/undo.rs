//! Undo: what a change of the plan touched is as before, what it removed is there again, what it added is gone, and
//! the ticks that it took with it count again. That is a change like any other, with its own line.

use super::change::ChangeSet;
use super::column::{JobId, Version};
use super::error::{Error, Result};
use super::folder::Folder;
use super::log::{self, Change, Line};
use super::pool::Write;
use super::{change_rows, photos, record};
use crate::job::event::Tick;
use crate::job::subject::Subject;

/// Whether a line of the log tells of something that can be undone.
pub fn goes(line: &Line) -> bool {
    let says_something = line.before.is_some() || line.after.is_some();
    match line.change {
        Change::Photographed => true,
        // A job that is there is not taken away by an undo.
        Change::Added if line.job.is_some_and(|job| line.subject == log::subject_of(job)) => false,
        Change::Added | Change::Changed | Change::Removed => line.no.is_some() && says_something,
        _ => false,
    }
}

/// Undoes what a line of the log tells.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such line or it is none of those; otherwise as [`change`].
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

/// Undoes a change of the plan by its number. Where that is done already, nothing happens.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such change, or it is the beginning of the job; [`Error::Stale`] and
/// [`Error::Gone`] where something of it was changed again since; [`Error::InUse`] where something it added is
/// named by others now.
pub async fn change(write: &mut Write, job: JobId, no: Version) -> Result<()> {
    let past = change_rows::past(write, job, no).await?;
    if past.is_empty() {
        return Err(Error::NotFound(format!("change {no} that can be undone")));
    }
    let ticks = record::written_by::<Tick>(write, job, no).await?;
    let mut undo = ChangeSet::begin(write, job).await?;
    for past in past.iter().rev() {
        undo.reverse(no, past)?;
    }
    if undo.is_empty() {
        return Ok(());
    }
    undo.undo(no, ticks);
    undo.commit().await.map(drop)
}
