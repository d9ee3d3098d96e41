//! Passages: ways between two places that wire can take.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log, routes};
use crate::job::plan::{Condition, Passage, PassageKind, PullString};
use crate::job::subject::{Kind, Subject};
use crate::job::value::{LengthM, Name, PassageId, PlaceId, SizeMm};

/// All passages of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Passage>>> {
    select(conn, job, None).await
}

/// One passage.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &PassageId) -> Result<Versioned<Passage>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a passage at the end.
pub async fn insert(write: &mut Write, job: JobId, passage: &Passage) -> Result<()> {
    edit::fits(write, job, "passages", |plan| edit::push(&mut plan.passages, passage)).await?;
    add(write, job, passage).await?;
    log::added(write, job, &subject(&passage.id), passage).await
}

/// Changes a passage; its id stays.
pub async fn update(write: &mut Write, job: JobId, passage: &Passage, expected: Version) -> Result<Version> {
    let held = get(write, job, &passage.id).await?;
    held.started_from(expected, subject(&passage.id))?;
    edit::fits(write, job, "passages", |plan| {
        edit::replace(&mut plan.passages, passage, |held| held.id == passage.id)
    })
    .await?;
    set(write, job, passage).await?;
    log::changed(write, job, &subject(&passage.id), &held.value, passage).await?;
    Ok(held.version.next())
}

/// Removes a passage that no route set by hand takes any more.
pub async fn remove(write: &mut Write, job: JobId, id: &PassageId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = routes::users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    sqlx::query!("DELETE FROM passages WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &PassageId) -> Subject {
    Subject::new(Kind::Passage, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&PassageId>,
) -> Result<Vec<Versioned<Passage>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: PassageId", place_a AS "place_a: PlaceId",
                  place_b AS "place_b: PlaceId", name AS "name: Name", length_m AS "length_m: LengthM", bore_mm AS "bore_mm: SizeMm",
                  kind AS "kind: PassageKind", engine_space AS "engine_space: bool",
                  wet AS "wet: bool", condition AS "condition: Condition", pull_string AS "pull_string: PullString"
           FROM passages WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Passage {
            id: row.id,
            between: [row.place_a, row.place_b],
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

/// Adds a passage's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, passage: &Passage) -> Result<()> {
    let [place_a, place_b] = &passage.between;
    sqlx::query!(
        "INSERT INTO passages (job, rank, id, place_a, place_b, name, length_m, bore_mm, kind, engine_space, wet,
                               condition, pull_string)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM passages WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12)",
        job,
        passage.id,
        place_a,
        place_b,
        passage.name,
        passage.length_m,
        passage.bore_mm,
        passage.kind,
        passage.engine_space,
        passage.wet,
        passage.condition,
        passage.pull_string
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, passage: &Passage) -> Result<()> {
    let [place_a, place_b] = &passage.between;
    sqlx::query!(
        "UPDATE passages SET place_a = ?3, place_b = ?4, name = ?5, length_m = ?6, bore_mm = ?7, kind = ?8,
                             engine_space = ?9, wet = ?10, condition = ?11, pull_string = ?12, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        passage.id,
        place_a,
        place_b,
        passage.name,
        passage.length_m,
        passage.bore_mm,
        passage.kind,
        passage.engine_space,
        passage.wet,
        passage.condition,
        passage.pull_string
    )
    .execute(conn)
    .await?;
    Ok(())
}
