//! What every change of a plan begins with: the plan as it would be must still fit together.
//!
//! So what is stored can always be written as a job file and read again, and a form learns everything that is
//! wrong with it at once, field by field, in the words of a job file's faults.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::{Error, Result, plan};
use crate::job::plan::Plan;

/// Refuses a change after which the plan does not fit together.
///
/// `change` makes the change in memory and tells which item of `list` it touched; faults of that item are
/// named by their field alone, those of others by their path in the job file.
pub(super) async fn fits(
    conn: &mut SqliteConnection,
    job: JobId,
    list: &str,
    change: impl FnOnce(&mut Plan) -> usize,
) -> Result<()> {
    let mut plan = plan::load(conn, job).await?;
    let touched = format!("{list}[{}].", change(&mut plan));
    let mut faults = plan.faults();
    for fault in &mut faults {
        if let Some(field) = fault.path.strip_prefix(&touched) {
            fault.path = field.to_owned();
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(Error::Faults(faults)) }
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
