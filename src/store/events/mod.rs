//! What happened on a job: ticks, readings, releases and the rest of what is added once and never changed.
//!
//! The rules are here, once for all of them; a file of this folder has the SQL of one kind.

mod crimp_pulls;
mod end_notes;
mod readings;
mod releases;
mod repairs;
mod step_readings;
mod ticks;
mod withdrawals;

use serde::Serialize;
use sqlx::SqliteConnection;
use uuid::{NoContext, Timestamp as Moment, Uuid};

use super::column::{JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write};

/// One kind of record of a job's history.
pub trait Event: PartialEq + Serialize + Sync + Sized {
    /// The word of the log for it.
    const CHANGE: Change;

    /// The id that its manufacturer gave it.
    fn id(&self) -> Uuid;

    /// The same record under the name that another stands under.
    fn in_the_name_of(self, other: &Self) -> Self;

    /// What it is about, as the log names it.
    fn subject(&self, job: JobId) -> String;

    /// What the plan must have for it to be taken.
    fn require(&self, _conn: &mut SqliteConnection, _job: JobId) -> impl Future<Output = Result<()>> + Send {
        std::future::ready(Ok(()))
    }

    /// Inserts its row unless the id is taken; tells whether it did.
    fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> impl Future<Output = Result<bool>> + Send;

    /// The records of a job, or the one with an id, in the order they arrived.
    fn select(
        conn: &mut SqliteConnection,
        job: JobId,
        only: Option<Uuid>,
    ) -> impl Future<Output = Result<Vec<Self>>> + Send;
}

/// Stores a record, with its line in the log; tells whether it is new. The same record sent twice is stored
/// once, in the name under which it came first.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a record that says something else, [`Error::Field`] for a
/// circuit or device that the plan does not have.
pub async fn add<E: Event>(write: &mut Write, job: JobId, event: &E) -> Result<bool> {
    let person = write.actor().person;
    event.require(write, job).await?;
    let new = put(write, job, event, person).await?;
    if new {
        log::line(write, Some(job), E::CHANGE, &event.subject(job), None::<&()>, Some(event)).await?;
    }
    Ok(new)
}

/// All records of one kind of a job, in the order they arrived.
pub async fn all<E: Event>(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<E>> {
    E::select(conn, job, None).await
}

/// Stores a record of an imported job, in the name it was written under and without a line in the log.
///
/// What it is about may be gone from the plan by now: it was taken all the same.
pub(super) async fn import<E: Event>(conn: &mut SqliteConnection, job: JobId, event: &E) -> Result<()> {
    if put(conn, job, event, None).await? { Ok(()) } else { Err(Error::EventDiffers(event.id())) }
}

async fn put<E: Event>(
    conn: &mut SqliteConnection,
    job: JobId,
    event: &E,
    person: Option<PersonId>,
) -> Result<bool> {
    if event.insert(conn, job, person).await? {
        return Ok(true);
    }
    let stored = E::select(conn, job, Some(event.id())).await?;
    match stored.into_iter().next().map(|stored| stored.in_the_name_of(event)) {
        Some(stored) if stored == *event => Ok(false),
        _ => Err(Error::EventDiffers(event.id())),
    }
}

/// An id for an event that the program itself adds at a moment.
pub(super) fn id_at(at: jiff::Timestamp) -> Uuid {
    // No tick is older than 1970, and none has a negative part of a second.
    let seconds = u64::try_from(at.as_second()).unwrap_or(0);
    Uuid::new_v7(Moment::from_unix(NoContext, seconds, at.subsec_nanosecond().unsigned_abs()))
}
