//! Removals: what came off the boat at strip-out, and what becomes of it.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::plan::{Fate, Removal, Tested};
use crate::job::subject::{Kind, Subject};
use crate::job::value::{DeviceId, Money, Name, PlaceId, Prose, RemovalId};

/// All removals of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Removal>>> {
    select(conn, job, None).await
}

/// One removal.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &RemovalId) -> Result<Versioned<Removal>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a removal at the end.
pub async fn insert(write: &mut Write, job: JobId, removal: &Removal) -> Result<()> {
    edit::fits(write, job, "removals", |plan| edit::push(&mut plan.removals, removal)).await?;
    add(write, job, removal).await?;
    log::added(write, job, &subject(&removal.id), removal).await
}

/// Changes a removal; its id stays.
pub async fn update(write: &mut Write, job: JobId, removal: &Removal, expected: Version) -> Result<Version> {
    let held = get(write, job, &removal.id).await?;
    held.started_from(expected, subject(&removal.id))?;
    edit::fits(write, job, "removals", |plan| {
        edit::replace(&mut plan.removals, removal, |held| held.id == removal.id)
    })
    .await?;
    set(write, job, removal).await?;
    log::changed(write, job, &subject(&removal.id), &held.value, removal).await?;
    Ok(held.version.next())
}

/// Takes a removal off the register; its photos stay with the job.
pub async fn remove(write: &mut Write, job: JobId, id: &RemovalId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    sqlx::query!("DELETE FROM removals WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &RemovalId) -> Subject {
    Subject::new(Kind::Removal, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&RemovalId>,
) -> Result<Vec<Versioned<Removal>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: RemovalId", name AS "name: Name",
                  place AS "place: PlaceId", fate AS "fate: Fate", tested AS "tested: Tested",
                  notes AS "notes: Prose", worth_new AS "worth_new: Money", device AS "device: DeviceId"
           FROM removals WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Removal {
            id: row.id,
            name: row.name,
            place: row.place,
            fate: row.fate,
            tested: row.tested,
            notes: row.notes,
            worth_new: row.worth_new,
            device: row.device,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Adds a removal's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, removal: &Removal) -> Result<()> {
    sqlx::query!(
        "INSERT INTO removals (job, rank, id, name, place, fate, tested, notes, worth_new, device)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM removals WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        job,
        removal.id,
        removal.name,
        removal.place,
        removal.fate,
        removal.tested,
        removal.notes,
        removal.worth_new,
        removal.device
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, removal: &Removal) -> Result<()> {
    sqlx::query!(
        "UPDATE removals SET name = ?3, place = ?4, fate = ?5, tested = ?6, notes = ?7, worth_new = ?8, device = ?9,
                             version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        removal.id,
        removal.name,
        removal.place,
        removal.fate,
        removal.tested,
        removal.notes,
        removal.worth_new,
        removal.device
    )
    .execute(conn)
    .await?;
    Ok(())
}
