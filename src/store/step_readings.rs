//! Measurements of single steps, such as the ohms of a check made dead. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write};
use crate::job::event::StepReading;
use crate::job::step::StepKey;
use crate::job::value::{MeterOhm, MeterV, Name, Prose};

/// Stores a reading; tells whether it is new. The same reading sent twice is stored once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a reading that says something else.
pub async fn add(write: &mut Write, job: JobId, reading: &StepReading) -> Result<bool> {
    let person = write.actor().person;
    let new = put(write, job, reading, person).await?;
    if new {
        let subject = reading.step.subject.to_string();
        log::line(write, Some(job), Change::Measured, &subject, None::<&()>, Some(reading)).await?;
    }
    Ok(new)
}

/// All of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<StepReading>> {
    select(conn, job, None).await
}

/// Stores a reading without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    reading: &StepReading,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(reading.id), At(reading.at));
    let done = sqlx::query!(
        r#"INSERT INTO step_readings (job, id, step, ohm, v, note, "by", person, at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        reading.step,
        reading.ohm,
        reading.v,
        reading.note,
        reading.by,
        person,
        at
    )
    .execute(&mut *conn)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(true);
    }
    let stored = select(conn, job, Some(id)).await?;
    match stored.into_iter().next().map(|stored| StepReading { by: reading.by.clone(), ..stored }) {
        Some(stored) if stored == *reading => Ok(false),
        _ => Err(Error::EventDiffers(reading.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<StepReading>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", step AS "step: StepKey", ohm AS "ohm: MeterOhm", v AS "v: MeterV", note AS "note: Prose",
                  "by" AS "by: Name", at AS "at: At"
           FROM step_readings WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| StepReading {
        id: Uuid::from(row.id),
        step: row.step,
        ohm: row.ohm,
        v: row.v,
        note: row.note,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
