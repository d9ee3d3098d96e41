//! Removed: what came off the boat at strip-out, and what becomes of it.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::plan::{Fate, RemovedEquipment, Tested};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{DeviceId, LocationId, Money, Name, Prose, RemovedId};

/// All removed of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<RemovedEquipment>>> {
    select(conn, job, None).await
}

/// One removed.
pub async fn get(
    conn: &mut SqliteConnection,
    job: JobId,
    id: &RemovedId,
) -> Result<Versioned<RemovedEquipment>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a removed at the end.
pub async fn insert(write: &mut Write, job: JobId, removed: &RemovedEquipment) -> Result<()> {
    edit::fits(write, job, "removed", |plan| edit::push(&mut plan.removed, removed)).await?;
    add(write, job, removed).await?;
    log::added(write, job, &subject(&removed.id), removed).await
}

/// Changes a removed; its id stays.
pub async fn update(
    write: &mut Write,
    job: JobId,
    removed: &RemovedEquipment,
    expected: Version,
) -> Result<Version> {
    let held = get(write, job, &removed.id).await?;
    held.started_from(expected, subject(&removed.id))?;
    edit::fits(write, job, "removed", |plan| {
        edit::replace(&mut plan.removed, removed, |held| held.id == removed.id)
    })
    .await?;
    set(write, job, removed).await?;
    log::changed(write, job, &subject(&removed.id), &held.value, removed).await?;
    Ok(held.version.next())
}

/// Takes a removed off the register; its photos stay with the job.
pub async fn remove(write: &mut Write, job: JobId, id: &RemovedId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    sqlx::query!("DELETE FROM removed WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &RemovedId) -> Subject {
    Subject::new(SubjectKind::Removed, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&RemovedId>,
) -> Result<Vec<Versioned<RemovedEquipment>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: RemovedId", name AS "name: Name",
                  location AS "location: LocationId", fate AS "fate: Fate", tested AS "tested: Tested",
                  notes AS "notes: Prose", worth_new AS "worth_new: Money", device AS "device: DeviceId"
           FROM removed WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: RemovedEquipment {
            id: row.id,
            name: row.name,
            location: row.location,
            fate: row.fate,
            tested: row.tested,
            notes: row.notes,
            worth_new: row.worth_new,
            device: row.device,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Adds a removed's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, removed: &RemovedEquipment) -> Result<()> {
    sqlx::query!(
        "INSERT INTO removed (job, rank, id, name, location, fate, tested, notes, worth_new, device)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM removed WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        job,
        removed.id,
        removed.name,
        removed.location,
        removed.fate,
        removed.tested,
        removed.notes,
        removed.worth_new,
        removed.device
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, removed: &RemovedEquipment) -> Result<()> {
    sqlx::query!(
        "UPDATE removed SET name = ?3, location = ?4, fate = ?5, tested = ?6, notes = ?7, worth_new = ?8, device = ?9,
                             version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        removed.id,
        removed.name,
        removed.location,
        removed.fate,
        removed.tested,
        removed.notes,
        removed.worth_new,
        removed.device
    )
    .execute(conn)
    .await?;
    Ok(())
}
