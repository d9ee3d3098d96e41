//! Modes: the states a boat is used in, with what is on in each.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::lists::Lists;
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::plan::{InUse, Mode};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, Hours, ModeId, Name, PointId, Rpm, Share};

/// All modes of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Mode>>> {
    select(conn, job, None).await
}

/// One mode.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &ModeId) -> Result<Versioned<Mode>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a mode at the end.
pub async fn insert(write: &mut Write, job: JobId, mode: &Mode) -> Result<()> {
    edit::fits(write, job, "modes", |plan| edit::push(&mut plan.modes, mode)).await?;
    add(write, job, mode).await?;
    log::added(write, job, &subject(&mode.id), mode).await
}

/// Changes a mode; its id stays.
pub async fn update(write: &mut Write, job: JobId, mode: &Mode, expected: Version) -> Result<Version> {
    let held = get(write, job, &mode.id).await?;
    held.started_from(expected, subject(&mode.id))?;
    edit::fits(write, job, "modes", |plan| edit::replace(&mut plan.modes, mode, |held| held.id == mode.id))
        .await?;
    set(write, job, mode).await?;
    log::changed(write, job, &subject(&mode.id), &held.value, mode).await?;
    Ok(held.version.next())
}

/// Removes a mode.
pub async fn remove(write: &mut Write, job: JobId, id: &ModeId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    sqlx::query!("DELETE FROM modes WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &ModeId) -> Subject {
    Subject::new(SubjectKind::Mode, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&ModeId>,
) -> Result<Vec<Versioned<Mode>>> {
    let mut on = on(conn, job, only).await?;
    let mut charging = charging(conn, job, only).await?;
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: ModeId", name AS "name: Name", hours AS "hours: Hours",
                  rpm AS "rpm: Rpm"
           FROM modes WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Mode {
            on: on.take(&row.id),
            charging: charging.take(&row.id),
            id: row.id,
            name: row.name,
            hours: row.hours,
            rpm: row.rpm,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// What is on in all modes, or in one, in order.
async fn on(conn: &mut SqliteConnection, job: JobId, only: Option<&ModeId>) -> Result<Lists<ModeId, InUse>> {
    let rows = sqlx::query!(
        r#"SELECT mode AS "mode: ModeId", circuit AS "circuit: CircuitId", share AS "share: Share"
           FROM mode_circuits WHERE job = ?1 AND (?2 IS NULL OR mode = ?2) ORDER BY mode, rank"#,
        job,
        only
    )
    .map(|row| (row.mode, InUse { circuit: row.circuit, share: row.share }));
    Ok(rows.fetch_all(conn).await?.into())
}

/// The chargers that run in all modes, or in one, in order.
async fn charging(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&ModeId>,
) -> Result<Lists<ModeId, PointId>> {
    let rows = sqlx::query!(
        r#"SELECT mode AS "mode: ModeId", point AS "point: PointId"
           FROM mode_chargers WHERE job = ?1 AND (?2 IS NULL OR mode = ?2) ORDER BY mode, rank"#,
        job,
        only
    )
    .map(|row| (row.mode, row.point));
    Ok(rows.fetch_all(conn).await?.into())
}

/// Adds a mode's rows without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, mode: &Mode) -> Result<()> {
    sqlx::query!(
        "INSERT INTO modes (job, rank, id, name, hours, rpm)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM modes WHERE job = ?1), ?2, ?3, ?4, ?5)",
        job,
        mode.id,
        mode.name,
        mode.hours,
        mode.rpm
    )
    .execute(&mut *conn)
    .await?;
    add_circuits(conn, job, mode).await?;
    add_chargers(conn, job, mode).await
}

async fn set(conn: &mut SqliteConnection, job: JobId, mode: &Mode) -> Result<()> {
    sqlx::query!(
        "UPDATE modes SET name = ?3, hours = ?4, rpm = ?5, version = version + 1 WHERE job = ?1 AND id = ?2",
        job,
        mode.id,
        mode.name,
        mode.hours,
        mode.rpm
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!("DELETE FROM mode_circuits WHERE job = ? AND mode = ?", job, mode.id)
        .execute(&mut *conn)
        .await?;
    sqlx::query!("DELETE FROM mode_chargers WHERE job = ? AND mode = ?", job, mode.id)
        .execute(&mut *conn)
        .await?;
    add_circuits(conn, job, mode).await?;
    add_chargers(conn, job, mode).await
}

async fn add_circuits(conn: &mut SqliteConnection, job: JobId, mode: &Mode) -> Result<()> {
    for (rank, used) in (1_i64..).zip(&mode.on) {
        sqlx::query!(
            "INSERT INTO mode_circuits (job, mode, rank, circuit, share) VALUES (?, ?, ?, ?, ?)",
            job,
            mode.id,
            rank,
            used.circuit,
            used.share
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

async fn add_chargers(conn: &mut SqliteConnection, job: JobId, mode: &Mode) -> Result<()> {
    for (rank, point) in (1_i64..).zip(&mode.charging) {
        sqlx::query!(
            "INSERT INTO mode_chargers (job, mode, rank, point) VALUES (?, ?, ?, ?)",
            job,
            mode.id,
            rank,
            point
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}
