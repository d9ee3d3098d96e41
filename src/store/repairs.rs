//! Faults found and put right. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write, circuits};
use crate::job::event::Repair;
use crate::job::subject::{Kind, Subject};
use crate::job::value::{CircuitId, Name, Prose};

/// Stores a repair; tells whether it is new. The same repair sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a repair that says something else,
/// [`Error::Field`] for a circuit that the plan does not have.
pub async fn add(write: &mut Write, job: JobId, repair: &Repair) -> Result<bool> {
    let person = write.actor().person;
    circuits::require(write, job, "circuit", &repair.circuit).await?;
    let new = put(write, job, repair, person).await?;
    if new {
        let subject = Subject::new(Kind::Circuit, &repair.circuit).to_string();
        log::line(write, Some(job), Change::Measured, &subject, None::<&()>, Some(repair)).await?;
    }
    Ok(new)
}

/// All of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Repair>> {
    select(conn, job, None).await
}

/// Stores a repair without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    repair: &Repair,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(repair.id), At(repair.at));
    let done = sqlx::query!(
        r#"INSERT INTO repairs (job, id, circuit, "where", found, "by", person, at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        repair.circuit,
        repair.r#where,
        repair.found,
        repair.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| Repair { by: repair.by.clone(), ..stored }) {
        Some(stored) if stored == *repair => Ok(false),
        _ => Err(Error::EventDiffers(repair.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<Repair>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", circuit AS "circuit: CircuitId", "where" AS "where: Name", found AS "found: Prose",
                  "by" AS "by: Name", at AS "at: At"
           FROM repairs WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| Repair {
        id: Uuid::from(row.id),
        circuit: row.circuit,
        r#where: row.r#where,
        found: row.found,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
