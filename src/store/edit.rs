//! What every change of a plan begins with: the plan as it would be must still fit together, and what was
//! done to wire that the change moves is taken back.
//!
//! So what is stored can always be written as a job file and read again, and a form learns everything that is
//! wrong with it at once, field by field, in the words of a job file's faults.

use super::column::JobId;
use super::{Error, Result, Write, events, history, plan};
use crate::job::event::{Mark, Tick};
use crate::job::moved;
use crate::job::plan::Plan;

/// Refuses a change after which the plan does not fit together.
///
/// `change` makes the change in memory and tells which item of `list` it touched; faults of that item are
/// named by their field alone, those of others by their path in the job file.
pub(super) async fn fits(
    write: &mut Write,
    job: JobId,
    list: &str,
    change: impl FnOnce(&mut Plan) -> usize,
) -> Result<()> {
    let before = plan::load(write, job).await?;
    let mut after = before.clone();
    let touched = format!("{list}[{}].", change(&mut after));
    let mut faults = after.faults();
    for fault in &mut faults {
        if let Some(field) = fault.path.strip_prefix(&touched) {
            fault.path = field.to_owned();
        }
    }
    if faults.is_empty() { take_back(write, job, &before, &after).await } else { Err(Error::Faults(faults)) }
}

/// Takes something out of the plan that nothing refers to any more.
pub(super) async fn drops(write: &mut Write, job: JobId, change: impl FnOnce(&mut Plan)) -> Result<()> {
    let before = plan::load(write, job).await?;
    let mut after = before.clone();
    change(&mut after);
    take_back(write, job, &before, &after).await
}

/// Takes back what was ticked on conductors that the change moves.
async fn take_back(write: &mut Write, job: JobId, before: &Plan, after: &Plan) -> Result<()> {
    if before.circuits == after.circuits && before.feeders == after.feeders {
        return Ok(());
    }
    let history = history::load(write, job).await?.standing();
    let at = history.moment(write.now());
    for (step, why) in moved::taken_back(before, after, &history) {
        let (id, by) = (events::id_at(at), write.actor().name.clone());
        let tick = Tick { id, step, mark: Mark::Undone, reason: Some(why), by, at };
        events::add(write, job, &tick).await?;
    }
    Ok(())
}

/// Adds an item at the end of a list; tells where it is.
pub(super) fn push<T: Clone>(list: &mut Vec<T>, item: &T) -> usize {
    list.push(item.clone());
    list.len() - 1
}

/// Puts an item in the place of the one it replaces; tells where that is.
pub(super) fn replace<T: Clone>(list: &mut [T], item: &T, is_it: impl Fn(&T) -> bool) -> usize {
    let at = list.iter().position(is_it);
    if let Some(held) = at.and_then(|at| list.get_mut(at)) {
        held.clone_from(item);
    }
    at.unwrap_or(list.len())
}
