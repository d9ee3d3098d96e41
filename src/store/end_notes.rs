//! What was found at ends. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write};
use crate::job::event::EndNote;
use crate::job::subject::{Kind, Subject};
use crate::job::value::{Name, Prose};

/// Stores a note; tells whether it is new. The same note sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by one that says something else.
pub async fn add(write: &mut Write, job: JobId, note: &EndNote) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, note, person).await?;
    if new {
        let subject = Subject::new(Kind::End, &note.end).to_string();
        log::line(write, Some(job), Change::Noted, &subject, None::<&()>, Some(note)).await?;
    }
    Ok(new)
}

/// All notes of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<EndNote>> {
    select(conn, job, None).await
}

/// Stores one without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    note: &EndNote,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(note.id), At(note.at));

    let done = sqlx::query!(
        r#"INSERT INTO end_notes (job, id, end, found, "by", person, at) VALUES (?, ?, ?, ?, ?, ?, ?)
           ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        note.end,
        note.found,
        note.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| EndNote { by: note.by.clone(), ..stored }) {
        Some(stored) if stored == *note => Ok(false),
        _ => Err(Error::EventDiffers(note.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<EndNote>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", end AS "end: Name", found AS "found: Prose", "by" AS "by: Name", at AS "at: At"
           FROM end_notes WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| EndNote {
        id: Uuid::from(row.id),
        end: row.end,
        found: row.found,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
