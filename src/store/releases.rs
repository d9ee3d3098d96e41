//! Releases: written reasons to pass a gate in spite of something. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write, jobs};
use crate::job::event::Release;
use crate::job::phase::Phase;
use crate::job::value::{Name, Prose};

/// Stores a release; tells whether it is new. The same release sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a release that says something else.
pub async fn add(write: &mut Write, job: JobId, release: &Release) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, release, person).await?;
    if new {
        let subject = jobs::subject(job).to_string();
        log::line(write, Some(job), Change::Released, &subject, None::<&()>, Some(release)).await?;
    }
    Ok(new)
}

/// All releases of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Release>> {
    select(conn, job, None).await
}

/// Stores a release without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    release: &Release,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(release.id), At(release.at));
    let done = sqlx::query!(
        r#"INSERT INTO releases (job, id, into_phase, obstacle, reason, "by", person, at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        release.into,
        release.obstacle,
        release.reason,
        release.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| Release { by: release.by.clone(), ..stored }) {
        Some(stored) if stored == *release => Ok(false),
        _ => Err(Error::EventDiffers(release.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<Release>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", into_phase AS "into: Phase", obstacle, reason AS "reason: Prose",
                  "by" AS "by: Name", at AS "at: At"
           FROM releases WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| Release {
        id: Uuid::from(row.id),
        into: row.into,
        obstacle: row.obstacle,
        reason: row.reason,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
