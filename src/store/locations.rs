//! Locations: named spots where things are mounted or wires end.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::plan::{HoleFill, Location, Spot};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{AheadM, LengthM, LocationId, Name, StarboardM, UpM};

/// All locations of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Location>>> {
    select(conn, job, None).await
}

/// One location.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &LocationId) -> Result<Versioned<Location>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a location at the end.
pub async fn insert(write: &mut Write, job: JobId, location: &Location) -> Result<()> {
    edit::fits(write, job, "locations", |plan| edit::push(&mut plan.locations, location)).await?;
    add(write, job, location).await?;
    log::added(write, job, &subject(&location.id), location).await
}

/// Changes a location; its id stays.
pub async fn update(
    write: &mut Write,
    job: JobId,
    location: &Location,
    expected: Version,
) -> Result<Version> {
    let held = get(write, job, &location.id).await?;
    held.started_from(expected, subject(&location.id))?;
    edit::fits(write, job, "locations", |plan| {
        edit::replace(&mut plan.locations, location, |held| held.id == location.id)
    })
    .await?;
    set(write, job, location).await?;
    log::changed(write, job, &subject(&location.id), &held.value, location).await?;
    Ok(held.version.next())
}

/// Removes a location that nothing is at any more.
pub async fn remove(write: &mut Write, job: JobId, id: &LocationId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    sqlx::query!("DELETE FROM locations WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &LocationId) -> Subject {
    Subject::new(SubjectKind::Location, id)
}

/// What names a location.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &LocationId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'raceway/' || id AS "user!: Subject" FROM raceways WHERE job = ?1 AND ?2 IN (location_a, location_b)
           UNION ALL SELECT 'point/' || id FROM points WHERE job = ?1 AND location = ?2
           UNION ALL SELECT 'board/' || id FROM boards WHERE job = ?1 AND location = ?2
           UNION ALL SELECT 'device/' || id FROM devices WHERE job = ?1 AND location = ?2
           UNION ALL SELECT 'removed/' || id FROM removed WHERE job = ?1 AND location = ?2
           UNION ALL SELECT 'device/' || device FROM factory_cables WHERE job = ?1 AND to_location = ?2"#,
        job,
        id
    );
    Ok(users.fetch_all(conn).await?)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&LocationId>,
) -> Result<Vec<Versioned<Location>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: LocationId", name AS "name: Name",
                  ahead_m AS "ahead_m: AheadM", starboard_m AS "starboard_m: StarboardM", up_m AS "up_m: UpM",
                  rise_m AS "rise_m: LengthM", engine_space AS "engine_space: bool", wet AS "wet: bool",
                  below_waterline AS "below_waterline: bool", old_holes AS "old_holes: u16",
                  closed_with AS "closed_with: HoleFill"
           FROM locations WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Location {
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

/// Adds a location's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, location: &Location) -> Result<()> {
    let (ahead_m, starboard_m, up_m) = spot(location);
    sqlx::query!(
        "INSERT INTO locations (job, rank, id, name, ahead_m, starboard_m, up_m, rise_m, engine_space, wet,
                             below_waterline, old_holes, closed_with)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM locations WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12)",
        job,
        location.id,
        location.name,
        ahead_m,
        starboard_m,
        up_m,
        location.rise_m,
        location.engine_space,
        location.wet,
        location.below_waterline,
        location.old_holes,
        location.closed_with
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, location: &Location) -> Result<()> {
    let (ahead_m, starboard_m, up_m) = spot(location);
    sqlx::query!(
        "UPDATE locations SET name = ?3, ahead_m = ?4, starboard_m = ?5, up_m = ?6, rise_m = ?7, engine_space = ?8, wet = ?9,
                           below_waterline = ?10, old_holes = ?11, closed_with = ?12, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        location.id,
        location.name,
        ahead_m,
        starboard_m,
        up_m,
        location.rise_m,
        location.engine_space,
        location.wet,
        location.below_waterline,
        location.old_holes,
        location.closed_with
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Where a location is, as its columns have it.
fn spot(location: &Location) -> (Option<AheadM>, Option<StarboardM>, Option<UpM>) {
    let at = location.at.as_ref();
    (at.map(|at| at.ahead_m), at.map(|at| at.starboard_m), at.and_then(|at| at.up_m))
}
