//! Sample crimps that were pulled. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write};
use crate::job::event::CrimpPull;
use crate::job::subject::{Kind, Subject};
use crate::job::value::{Name, Prose, PullN};

/// Stores a pull; tells whether it is new. The same pull sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by one that says something else.
pub async fn add(write: &mut Write, job: JobId, pull: &CrimpPull) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, pull, person).await?;
    if new {
        let subject = Subject::new(Kind::End, &pull.end).to_string();
        log::line(write, Some(job), Change::Measured, &subject, None::<&()>, Some(pull)).await?;
    }
    Ok(new)
}

/// All pulls of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<CrimpPull>> {
    select(conn, job, None).await
}

/// Stores one without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    pull: &CrimpPull,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(pull.id), At(pull.at));

    let done = sqlx::query!(
        r#"INSERT INTO crimp_pulls (job, id, end, force_n, note, "by", person, at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
           ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        pull.end,
        pull.force_n,
        pull.note,
        pull.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| CrimpPull { by: pull.by.clone(), ..stored }) {
        Some(stored) if stored == *pull => Ok(false),
        _ => Err(Error::EventDiffers(pull.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<CrimpPull>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", end AS "end: Name", force_n AS "force_n: PullN", note AS "note: Prose", "by" AS "by: Name", at AS "at: At"
           FROM crimp_pulls WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| CrimpPull {
        id: Uuid::from(row.id),
        end: row.end,
        force_n: row.force_n,
        note: row.note,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
