//! Ticks: who marked which step, and when. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write};
use crate::job::event::{Mark, Tick};
use crate::job::step::StepKey;
use crate::job::value::{Name, Prose};

/// Stores a tick; tells whether it is new. The same tick sent twice is stored once, in the name under which
/// it came first.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a tick that says something else.
pub async fn add(write: &mut Write, job: JobId, tick: &Tick) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, tick, person).await?;
    if new {
        let subject = tick.step.subject.to_string();
        log::line(write, Some(job), Change::Ticked, &subject, None::<&()>, Some(tick)).await?;
    }
    Ok(new)
}

/// All ticks of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Tick>> {
    select(conn, job, None).await
}

/// Stores a tick without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    tick: &Tick,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(tick.id), At(tick.at));
    let done = sqlx::query!(
        r#"INSERT INTO ticks (job, id, step, mark, reason, "by", person, at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
           ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        tick.step,
        tick.mark,
        tick.reason,
        tick.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| Tick { by: tick.by.clone(), ..stored }) {
        Some(stored) if stored == *tick => Ok(false),
        _ => Err(Error::EventDiffers(tick.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<Tick>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", step AS "step: StepKey", mark AS "mark: Mark", reason AS "reason: Prose",
                  "by" AS "by: Name", at AS "at: At"
           FROM ticks WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| Tick {
        id: Uuid::from(row.id),
        step: row.step,
        mark: row.mark,
        reason: row.reason,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
