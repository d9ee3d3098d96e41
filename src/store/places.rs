//! Places: named spots where things are mounted or wires end.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::plan::{HoleFill, Place, Spot};
use crate::job::subject::{Kind, Subject};
use crate::job::value::{AheadM, LengthM, Name, PlaceId, StarboardM, UpM};

/// All places of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Place>>> {
    select(conn, job, None).await
}

/// One place.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &PlaceId) -> Result<Versioned<Place>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a place at the end.
pub async fn insert(write: &mut Write, job: JobId, place: &Place) -> Result<()> {
    edit::fits(write, job, "places", |plan| edit::push(&mut plan.places, place)).await?;
    add(write, job, place).await?;
    log::added(write, job, &subject(&place.id), place).await
}

/// Changes a place; its id stays.
pub async fn update(write: &mut Write, job: JobId, place: &Place, expected: Version) -> Result<Version> {
    let held = get(write, job, &place.id).await?;
    held.started_from(expected, subject(&place.id))?;
    edit::fits(write, job, "places", |plan| {
        edit::replace(&mut plan.places, place, |held| held.id == place.id)
    })
    .await?;
    set(write, job, place).await?;
    log::changed(write, job, &subject(&place.id), &held.value, place).await?;
    Ok(held.version.next())
}

/// Removes a place that nothing is at any more.
pub async fn remove(write: &mut Write, job: JobId, id: &PlaceId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    sqlx::query!("DELETE FROM places WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &PlaceId) -> Subject {
    Subject::new(Kind::Place, id)
}

/// What names a place.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &PlaceId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'passage/' || id AS "user!: Subject" FROM passages WHERE job = ?1 AND ?2 IN (place_a, place_b)
           UNION ALL SELECT 'point/' || id FROM points WHERE job = ?1 AND place = ?2
           UNION ALL SELECT 'board/' || id FROM boards WHERE job = ?1 AND place = ?2
           UNION ALL SELECT 'device/' || id FROM devices WHERE job = ?1 AND place = ?2
           UNION ALL SELECT 'removal/' || id FROM removals WHERE job = ?1 AND place = ?2
           UNION ALL SELECT 'device/' || device FROM factory_cables WHERE job = ?1 AND to_place = ?2"#,
        job,
        id
    );
    Ok(users.fetch_all(conn).await?)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&PlaceId>,
) -> Result<Vec<Versioned<Place>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: PlaceId", name AS "name: Name",
                  ahead_m AS "ahead_m: AheadM", starboard_m AS "starboard_m: StarboardM", up_m AS "up_m: UpM",
                  rise_m AS "rise_m: LengthM", engine_space AS "engine_space: bool", wet AS "wet: bool",
                  below_waterline AS "below_waterline: bool", old_holes AS "old_holes: u16",
                  closed_with AS "closed_with: HoleFill"
           FROM places WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Place {
            id: row.id,
            name: row.name,
            at: row.ahead_m.zip(row.starboard_m).map(|(ahead_m, starboard_m)| Spot {
                ahead_m,
                starboard_m,
                up_m: row.up_m,
            }),
            rise_m: row.rise_m,
            engine_space: row.engine_space,
            wet: row.wet,
            below_waterline: row.below_waterline,
            old_holes: row.old_holes,
            closed_with: row.closed_with,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Adds a place's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, place: &Place) -> Result<()> {
    let (ahead_m, starboard_m, up_m) = spot(place);
    sqlx::query!(
        "INSERT INTO places (job, rank, id, name, ahead_m, starboard_m, up_m, rise_m, engine_space, wet,
                             below_waterline, old_holes, closed_with)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM places WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12)",
        job,
        place.id,
        place.name,
        ahead_m,
        starboard_m,
        up_m,
        place.rise_m,
        place.engine_space,
        place.wet,
        place.below_waterline,
        place.old_holes,
        place.closed_with
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, place: &Place) -> Result<()> {
    let (ahead_m, starboard_m, up_m) = spot(place);
    sqlx::query!(
        "UPDATE places SET name = ?3, ahead_m = ?4, starboard_m = ?5, up_m = ?6, rise_m = ?7, engine_space = ?8, wet = ?9,
                           below_waterline = ?10, old_holes = ?11, closed_with = ?12, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        place.id,
        place.name,
        ahead_m,
        starboard_m,
        up_m,
        place.rise_m,
        place.engine_space,
        place.wet,
        place.below_waterline,
        place.old_holes,
        place.closed_with
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Where a place is, as its columns have it.
fn spot(place: &Place) -> (Option<AheadM>, Option<StarboardM>, Option<UpM>) {
    let at = place.at.as_ref();
    (at.map(|at| at.ahead_m), at.map(|at| at.starboard_m), at.and_then(|at| at.up_m))
}
