//! What was taken back. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write, jobs};
use crate::job::event::Withdrawal;
use crate::job::value::Name;

/// Stores a withdrawal; tells whether it is new. The same withdrawal sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by one that says something else.
pub async fn add(write: &mut Write, job: JobId, withdrawal: &Withdrawal) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, withdrawal, person).await?;
    if new {
        let subject = jobs::subject(job).to_string();
        log::line(write, Some(job), Change::Withdrawn, &subject, None::<&()>, Some(withdrawal)).await?;
    }
    Ok(new)
}

/// All withdrawals of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Withdrawal>> {
    select(conn, job, None).await
}

/// Stores one without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    withdrawal: &Withdrawal,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(withdrawal.id), At(withdrawal.at));
    let event = ClientId(withdrawal.event);
    let done = sqlx::query!(
        r#"INSERT INTO withdrawals (job, id, event, "by", person, at) VALUES (?, ?, ?, ?, ?, ?)
           ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        event,
        withdrawal.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| Withdrawal { by: withdrawal.by.clone(), ..stored }) {
        Some(stored) if stored == *withdrawal => Ok(false),
        _ => Err(Error::EventDiffers(withdrawal.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<Withdrawal>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", event AS "event: ClientId", "by" AS "by: Name", at AS "at: At"
           FROM withdrawals WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| Withdrawal {
        id: Uuid::from(row.id),
        event: Uuid::from(row.event),
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
