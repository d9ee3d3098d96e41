//! Points: where conductors meet, with the labeled positions of switch panels.

use sqlx::SqliteConnection;

use super::column::{Curve, JobId, Short, ThrowLabels, Version};
use super::lists::Lists;
use super::mounted::{self, Mounted};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::point::{Engraved, Point, PointKind, Position, Positions, SwitchKind, Written};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{
    CapacityAh, CurrentA, FloorPct, InternalMohm, Label, LocationId, Name, Peukert, PointId, RatingA,
    SourceV, TabMm,
};
use crate::trade::energy::battery::Chemistry;
use crate::trade::terminal::Stud;

/// All points of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Point>>> {
    select(conn, job, None).await
}

/// One point.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &PointId) -> Result<Versioned<Point>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a point at the end.
pub async fn insert(write: &mut Write, job: JobId, point: &Point) -> Result<()> {
    edit::fits(write, job, "points", |plan| edit::push(&mut plan.points, point)).await?;
    add(write, job, point).await?;
    log::added(write, job, &subject(&point.id), point).await
}

/// Changes a point; its id stays. A switch panel keeps the positions that circuits are on.
pub async fn update(write: &mut Write, job: JobId, point: &Point, expected: Version) -> Result<Version> {
    let held = get(write, job, &point.id).await?;
    held.started_from(expected, subject(&point.id))?;
    edit::fits(write, job, "points", |plan| {
        edit::replace(&mut plan.points, point, |held| held.id == point.id)
    })
    .await?;
    set(write, job, point).await?;
    log::changed(write, job, &subject(&point.id), &held.value, point).await?;
    Ok(held.version.next())
}

/// Removes a point that no feeder and no circuit is on any more.
pub async fn remove(write: &mut Write, job: JobId, id: &PointId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    mounted::remove(write, job, id.as_str()).await?;
    sqlx::query!("DELETE FROM points WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &PointId) -> Subject {
    Subject::new(SubjectKind::Point, id)
}

/// What names a point.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &PointId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'feeder/' || id AS "user!: Subject" FROM feeders WHERE job = ?1 AND ?2 IN (from_point, to_point)
           UNION ALL
           SELECT 'circuit/' || id FROM circuits
           WHERE job = ?1 AND ?2 IN (from_point, coalesce(switch_panel, ''), coalesce(junction, ''), return_point)
           UNION ALL
           SELECT 'mode/' || mode FROM mode_chargers WHERE job = ?1 AND point = ?2"#,
        job,
        id
    );
    Ok(users.fetch_all(conn).await?)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&PointId>,
) -> Result<Vec<Versioned<Point>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: PointId", name AS "name: Name", kind AS "kind: PointKind",
                  location AS "location: LocationId", rating_a AS "rating_a: RatingA", positions AS "positions: u16",
                  open_circuit_v AS "open_circuit_v: SourceV", internal_mohm AS "internal_mohm: InternalMohm",
                  capacity_ah AS "capacity_ah: CapacityAh", chemistry AS "chemistry: Chemistry",
                  cranking_a AS "cranking_a: CurrentA", starter_a AS "starter_a: CurrentA",
                  peukert AS "peukert: Peukert", floor_pct AS "floor_pct: FloorPct", low_v AS "low_v: SourceV",
                  curve AS "curve: Curve",
                  stud AS "stud: Stud", screw AS "screw: Stud", tab_mm AS "tab_mm: TabMm"
           FROM points WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .fetch_all(&mut *conn)
    .await?;
    let mut labeled = positions(conn, job, only).await?;
    let mut mounted = Mounted::load(conn, job, only.map(PointId::as_str)).await?;
    let points = rows.into_iter().map(|row| {
        let positions = match row.kind {
            PointKind::SwitchPanel => Some(Positions::Labeled(labeled.take(&row.id))),
            _ => row.positions.map(Positions::Count),
        };
        let (footprint, mounting) = mounted.take(row.id.as_str());
        let written = Written {
            id: row.id,
            name: row.name,
            kind: row.kind,
            location: row.location,
            rating_a: row.rating_a,
            positions,
            open_circuit_v: row.open_circuit_v,
            internal_mohm: row.internal_mohm,
            capacity_ah: row.capacity_ah,
            chemistry: row.chemistry,
            cranking_a: row.cranking_a,
            starter_a: row.starter_a,
            peukert: row.peukert,
            floor_pct: row.floor_pct,
            low_v: row.low_v,
            curve: row.curve.map(|Short(curve)| curve).unwrap_or_default(),
            idle_a: None,
            stud: row.stud,
            screw: row.screw,
            tab_mm: row.tab_mm,
            footprint,
            mounting,
        };
        // The checks of the table keep each kind to its fields; only a database changed from outside fails here.
        let value = Point::try_from(written).map_err(|error| sqlx::Error::Decode(Box::new(error)))?;
        Ok(Versioned { version: row.version, value })
    });
    points.collect()
}

/// The positions of all panels, or of one, in order.
async fn positions(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&PointId>,
) -> Result<Lists<PointId, Position>> {
    let rows = sqlx::query!(
        r#"SELECT point AS "point: PointId", label AS "label: Label", engraved AS "engraved: Engraved",
                  switch AS "switch: SwitchKind", indicator AS "indicator: bool", rating_a AS "rating_a: RatingA",
                  throws AS "throws: ThrowLabels"
           FROM panel_positions WHERE job = ?1 AND (?2 IS NULL OR point = ?2) ORDER BY point, position"#,
        job,
        only
    )
    .map(|row| {
        let throws = row.throws.map_or_else(Vec::new, |throws| throws.0);
        (row.point, Position { label: row.label, engraved: row.engraved, switch: row.switch, indicator: row.indicator, rating_a: row.rating_a, throws })
    });
    Ok(rows.fetch_all(conn).await?.into())
}

/// Adds a point's rows without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, point: &Point) -> Result<()> {
    let written = Written::from(point.clone());
    let (count, curve) = (counted(&written), curve(&written));
    sqlx::query!(
        "INSERT INTO points (job, rank, id, name, kind, location, rating_a, positions, open_circuit_v, internal_mohm,
                             capacity_ah, chemistry, cranking_a, starter_a, stud, screw, tab_mm, peukert,
                             floor_pct, low_v, curve)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM points WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20)",
        job,
        written.id,
        written.name,
        written.kind,
        written.location,
        written.rating_a,
        count,
        written.open_circuit_v,
        written.internal_mohm,
        written.capacity_ah,
        written.chemistry,
        written.cranking_a,
        written.starter_a,
        written.stud,
        written.screw,
        written.tab_mm,
        written.peukert,
        written.floor_pct,
        written.low_v,
        curve
    )
    .execute(&mut *conn)
    .await?;
    set_mounted(conn, job, &written).await?;
    set_positions(conn, job, &written).await
}

/// The curve as its column has it.
fn curve(written: &Written) -> Option<Curve> {
    (!written.curve.is_empty()).then(|| Short(written.curve.clone()))
}

async fn set_mounted(conn: &mut SqliteConnection, job: JobId, written: &Written) -> Result<()> {
    let (footprint, mounting) = (written.footprint.as_ref(), written.mounting.as_ref());
    mounted::set(conn, job, written.id.as_str(), footprint, mounting).await
}

async fn set(conn: &mut SqliteConnection, job: JobId, point: &Point) -> Result<()> {
    let written = Written::from(point.clone());
    let (count, curve) = (counted(&written), curve(&written));
    sqlx::query!(
        "UPDATE points SET name = ?3, kind = ?4, location = ?5, rating_a = ?6, positions = ?7, open_circuit_v = ?8,
                           internal_mohm = ?9, capacity_ah = ?10, chemistry = ?11, cranking_a = ?12,
                           starter_a = ?13, stud = ?14, screw = ?15, tab_mm = ?16, peukert = ?17,
                           floor_pct = ?18, low_v = ?19, curve = ?20, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        written.id,
        written.name,
        written.kind,
        written.location,
        written.rating_a,
        count,
        written.open_circuit_v,
        written.internal_mohm,
        written.capacity_ah,
        written.chemistry,
        written.cranking_a,
        written.starter_a,
        written.stud,
        written.screw,
        written.tab_mm,
        written.peukert,
        written.floor_pct,
        written.low_v,
        curve
    )
    .execute(&mut *conn)
    .await?;
    set_mounted(conn, job, &written).await?;
    set_positions(conn, job, &written).await
}

/// The count of positions, for what only has a count.
fn counted(written: &Written) -> Option<u16> {
    match written.positions {
        Some(Positions::Count(count)) => Some(count),
        _ => None,
    }
}

/// Makes the rows of a panel's positions what they are to be. Those that stay are changed in place, because
/// circuits refer to them.
async fn set_positions(conn: &mut SqliteConnection, job: JobId, written: &Written) -> Result<()> {
    let positions: &[Position] = match &written.positions {
        Some(Positions::Labeled(positions)) => positions,
        _ => &[],
    };
    // A job file of eight megabytes has no room for as many positions as a u16 counts.
    let count = u16::try_from(positions.len()).unwrap_or(u16::MAX);
    sqlx::query!(
        "DELETE FROM panel_positions WHERE job = ? AND point = ? AND position > ?",
        job,
        written.id,
        count
    )
    .execute(&mut *conn)
    .await?;
    for (number, position) in (1..=count).zip(positions) {
        let throws = (!position.throws.is_empty()).then(|| Short(position.throws.clone()));
        sqlx::query!(
            "INSERT INTO panel_positions (job, point, position, label, rating_a, engraved, switch, indicator, throws)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)
             ON CONFLICT DO UPDATE SET label = ?4, rating_a = ?5, engraved = ?6, switch = ?7, indicator = ?8,
                                       throws = ?9",
            job,
            written.id,
            number,
            position.label,
            position.rating_a,
            position.engraved,
            position.switch,
            position.indicator,
            throws
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}
