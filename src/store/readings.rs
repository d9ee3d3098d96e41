//! Readings of the power-up test. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::log::{self, Change};
use super::{Error, Result, Write, circuits, devices};
use crate::job::event::Reading;
use crate::job::subject::{Kind, Subject};
use crate::job::value::{CircuitId, DeviceId, MeterA, MeterOhm, MeterV, Name, Prose};

/// Stores a reading of a circuit of the plan; tells whether it is new. The same reading sent twice is stored
/// once.
///
/// # Errors
///
/// [`Error::EventDiffers`] where the id is taken by a reading that says something else, [`Error::Field`] for
/// a circuit or device that the plan does not have.
pub async fn add(write: &mut Write, job: JobId, reading: &Reading) -> Result<bool> {
    let person = write.actor().person;
    circuits::require(write, job, "circuit", &reading.circuit).await?;
    if let Some(device) = &reading.device {
        devices::require(write, job, "device", device).await?;
    }
    let new = put(write, job, reading, person).await?;
    if new {
        let subject = Subject::new(Kind::Circuit, &reading.circuit).to_string();
        log::line(write, Some(job), Change::Measured, &subject, None::<&()>, Some(reading)).await?;
    }
    Ok(new)
}

/// All readings of a job, in the order they arrived.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Reading>> {
    select(conn, job, None).await
}

/// Stores a reading without a line in the log.
pub(super) async fn put(
    conn: &mut SqliteConnection,
    job: JobId,
    reading: &Reading,
    person: Option<PersonId>,
) -> Result<bool> {
    let (id, at) = (ClientId(reading.id), At(reading.at));
    let done = sqlx::query!(
        r#"INSERT INTO readings (job, id, circuit, device, source_v, load_v, current_a, return_ohm, load_off_v,
                                 current_off_a, note, "by", person, at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
        job,
        id,
        reading.circuit,
        reading.device,
        reading.source_v,
        reading.load_v,
        reading.current_a,
        reading.return_ohm,
        reading.load_off_v,
        reading.current_off_a,
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
    match stored.into_iter().next().map(|stored| Reading { by: reading.by.clone(), ..stored }) {
        Some(stored) if stored == *reading => Ok(false),
        _ => Err(Error::EventDiffers(reading.id)),
    }
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<ClientId>) -> Result<Vec<Reading>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", circuit AS "circuit: CircuitId", device AS "device: DeviceId",
                  source_v AS "source_v: MeterV", load_v AS "load_v: MeterV", current_a AS "current_a: MeterA",
                  return_ohm AS "return_ohm: MeterOhm",
                  load_off_v AS "load_off_v: MeterV", current_off_a AS "current_off_a: MeterA", note AS "note: Prose", "by" AS "by: Name", at AS "at: At"
           FROM readings WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
        job,
        only
    )
    .map(|row| Reading {
        id: Uuid::from(row.id),
        circuit: row.circuit,
        device: row.device,
        source_v: row.source_v,
        load_v: row.load_v,
        current_a: row.current_a,
        return_ohm: row.return_ohm,
        load_off_v: row.load_off_v,
        current_off_a: row.current_off_a,
        note: row.note,
        by: row.by,
        at: Timestamp::from(row.at),
    });
    Ok(rows.fetch_all(conn).await?)
}
