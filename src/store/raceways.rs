//! Raceways: ways between two locations that wire can take.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log, routes};
use crate::job::plan::{Condition, PullString, Raceway, RacewayKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{LengthM, LocationId, Name, RacewayId, SizeMm};

/// All raceways of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Raceway>>> {
    select(conn, job, None).await
}

/// One raceway.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &RacewayId) -> Result<Versioned<Raceway>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a raceway at the end.
pub async fn insert(write: &mut Write, job: JobId, raceway: &Raceway) -> Result<()> {
    edit::fits(write, job, "raceways", |plan| edit::push(&mut plan.raceways, raceway)).await?;
    add(write, job, raceway).await?;
    log::added(write, job, &subject(&raceway.id), raceway).await
}

/// Changes a raceway; its id stays.
pub async fn update(write: &mut Write, job: JobId, raceway: &Raceway, expected: Version) -> Result<Version> {
    let held = get(write, job, &raceway.id).await?;
    held.started_from(expected, subject(&raceway.id))?;
    edit::fits(write, job, "raceways", |plan| {
        edit::replace(&mut plan.raceways, raceway, |held| held.id == raceway.id)
    })
    .await?;
    set(write, job, raceway).await?;
    log::changed(write, job, &subject(&raceway.id), &held.value, raceway).await?;
    Ok(held.version.next())
}

/// Removes a raceway that no route set by hand takes any more.
pub async fn remove(write: &mut Write, job: JobId, id: &RacewayId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = routes::users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    sqlx::query!("DELETE FROM raceways WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &RacewayId) -> Subject {
    Subject::new(SubjectKind::Raceway, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&RacewayId>,
) -> Result<Vec<Versioned<Raceway>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: RacewayId", location_a AS "location_a: LocationId",
                  location_b AS "location_b: LocationId", name AS "name: Name", length_m AS "length_m: LengthM", bore_mm AS "bore_mm: SizeMm",
                  kind AS "kind: RacewayKind", engine_space AS "engine_space: bool",
                  wet AS "wet: bool", condition AS "condition: Condition", pull_string AS "pull_string: PullString"
           FROM raceways WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Raceway {
            id: row.id,
            between: [row.location_a, row.location_b],
            name: row.name,
            length_m: row.length_m,
            bore_mm: row.bore_mm,
            kind: row.kind,
            engine_space: row.engine_space,
            wet: row.wet,
            condition: row.condition,
            pull_string: row.pull_string,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Adds a raceway's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, raceway: &Raceway) -> Result<()> {
    let [location_a, location_b] = &raceway.between;
    sqlx::query!(
        "INSERT INTO raceways (job, rank, id, location_a, location_b, name, length_m, bore_mm, kind, engine_space, wet,
                               condition, pull_string)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM raceways WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12)",
        job,
        raceway.id,
        location_a,
        location_b,
        raceway.name,
        raceway.length_m,
        raceway.bore_mm,
        raceway.kind,
        raceway.engine_space,
        raceway.wet,
        raceway.condition,
        raceway.pull_string
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, raceway: &Raceway) -> Result<()> {
    let [location_a, location_b] = &raceway.between;
    sqlx::query!(
        "UPDATE raceways SET location_a = ?3, location_b = ?4, name = ?5, length_m = ?6, bore_mm = ?7, kind = ?8,
                             engine_space = ?9, wet = ?10, condition = ?11, pull_string = ?12, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        raceway.id,
        location_a,
        location_b,
        raceway.name,
        raceway.length_m,
        raceway.bore_mm,
        raceway.kind,
        raceway.engine_space,
        raceway.wet,
        raceway.condition,
        raceway.pull_string
    )
    .execute(conn)
    .await?;
    Ok(())
}
