//! Feeders: conductors between points.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, curves, edit, extras, log, routes};
use crate::job::plan::{Feeder, Polarity, Protection};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{FeederId, InsulationC, InterruptA, Label, LengthM, Milliohm, PointId, RatingA};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;

/// All feeders of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Feeder>>> {
    select(conn, job, None).await
}

/// One feeder.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &FeederId) -> Result<Versioned<Feeder>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a feeder at the end.
pub async fn insert(write: &mut Write, job: JobId, feeder: &Feeder) -> Result<()> {
    edit::fits(write, job, "feeders", |plan| edit::push(&mut plan.feeders, feeder)).await?;
    add(write, job, feeder).await?;
    log::added(write, job, &subject(&feeder.id), feeder).await
}

/// Changes a feeder; its id stays.
pub async fn update(write: &mut Write, job: JobId, feeder: &Feeder, expected: Version) -> Result<Version> {
    let held = get(write, job, &feeder.id).await?;
    held.started_from(expected, subject(&feeder.id))?;
    edit::fits(write, job, "feeders", |plan| {
        edit::replace(&mut plan.feeders, feeder, |held| held.id == feeder.id)
    })
    .await?;
    set(write, job, feeder).await?;
    log::changed(write, job, &subject(&feeder.id), &held.value, feeder).await?;
    Ok(held.version.next())
}

/// Removes a feeder.
pub async fn remove(write: &mut Write, job: JobId, id: &FeederId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    edit::drops(write, job, |plan| plan.feeders.retain(|feeder| feeder.id != *id)).await?;
    sqlx::query!("DELETE FROM feeders WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &FeederId) -> Subject {
    Subject::new(SubjectKind::Feeder, id)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&FeederId>,
) -> Result<Vec<Versioned<Feeder>>> {
    let mut ways = routes::of_feeders(conn, job, only).await?;
    let mut curves = curves::of_feeders(conn, job, only).await?;
    let mut labels = extras::all::<Option<Label>>(conn, job, SubjectKind::Feeder.word()).await?;
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: FeederId", from_point AS "from_point: PointId",
                  to_point AS "to_point: PointId", polarity AS "polarity: Polarity", size AS "size: Size",
                  insulation_c AS "insulation_c: InsulationC", length_m AS "length_m: LengthM",
                  jacketed AS "jacketed: bool", bundle AS "bundle: u16", cranking AS "cranking: bool",
                  protection_kind AS "protection_kind: Family", rating_a AS "rating_a: RatingA",
                  from_source_m AS "from_source_m: LengthM", interrupt_a AS "interrupt_a: InterruptA",
                  resistance_mohm AS "resistance_mohm: Milliohm", color AS "color: Label"
           FROM feeders WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| {
        let curve = curves.remove(&row.id).unwrap_or_default();
        Versioned {
            version: row.version,
            value: Feeder {
                route: ways.take(&row.id),
                label: labels.remove(row.id.as_str()).flatten(),
                id: row.id,
                from: row.from_point,
                to: row.to_point,
                polarity: row.polarity,
                size: row.size,
                insulation_c: row.insulation_c,
                length_m: row.length_m,
                jacketed: row.jacketed,
                bundle: row.bundle,
                cranking: row.cranking,
                color: row.color,
                protection: row.protection_kind.map(|kind| Protection {
                    kind,
                    rating_a: row.rating_a,
                    from_source_m: row.from_source_m,
                    interrupt_a: row.interrupt_a,
                    resistance_mohm: row.resistance_mohm,
                    curve,
                }),
            },
        }
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Adds a feeder's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, feeder: &Feeder) -> Result<()> {
    let protection = feeder.protection.as_ref();
    let kind = protection.map(|protection| protection.kind);
    let rating = protection.and_then(|protection| protection.rating_a);
    let from_source = protection.and_then(|protection| protection.from_source_m);
    let interrupt = protection.and_then(|protection| protection.interrupt_a);
    let resistance = protection.and_then(|protection| protection.resistance_mohm);
    sqlx::query!(
        "INSERT INTO feeders (job, rank, id, from_point, to_point, polarity, size, insulation_c, length_m, jacketed,
                              bundle, cranking, protection_kind, rating_a, from_source_m, interrupt_a,
                              resistance_mohm, color)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM feeders WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17)",
        job,
        feeder.id,
        feeder.from,
        feeder.to,
        feeder.polarity,
        feeder.size,
        feeder.insulation_c,
        feeder.length_m,
        feeder.jacketed,
        feeder.bundle,
        feeder.cranking,
        kind,
        rating,
        from_source,
        interrupt,
        resistance,
        feeder.color
    )
    .execute(&mut *conn)
    .await?;
    let curve = feeder.protection.as_ref().map(|protection| protection.curve).unwrap_or_default();
    curves::set_feeder(conn, job, &feeder.id, &curve).await?;
    extras::set(conn, job, &subject(&feeder.id), &feeder.label).await?;
    routes::set_feeder(conn, job, &feeder.id, &feeder.route).await
}

async fn set(conn: &mut SqliteConnection, job: JobId, feeder: &Feeder) -> Result<()> {
    let protection = feeder.protection.as_ref();
    let kind = protection.map(|protection| protection.kind);
    let rating = protection.and_then(|protection| protection.rating_a);
    let from_source = protection.and_then(|protection| protection.from_source_m);
    let interrupt = protection.and_then(|protection| protection.interrupt_a);
    let resistance = protection.and_then(|protection| protection.resistance_mohm);
    sqlx::query!(
        "UPDATE feeders SET from_point = ?3, to_point = ?4, polarity = ?5, size = ?6, insulation_c = ?7,
                            length_m = ?8, jacketed = ?9, bundle = ?10, cranking = ?11, protection_kind = ?12,
                            rating_a = ?13, from_source_m = ?14, interrupt_a = ?15, resistance_mohm = ?16,
                            color = ?17, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        feeder.id,
        feeder.from,
        feeder.to,
        feeder.polarity,
        feeder.size,
        feeder.insulation_c,
        feeder.length_m,
        feeder.jacketed,
        feeder.bundle,
        feeder.cranking,
        kind,
        rating,
        from_source,
        interrupt,
        resistance,
        feeder.color
    )
    .execute(&mut *conn)
    .await?;
    let curve = feeder.protection.as_ref().map(|protection| protection.curve).unwrap_or_default();
    curves::set_feeder(conn, job, &feeder.id, &curve).await?;
    extras::set(conn, job, &subject(&feeder.id), &feeder.label).await?;
    routes::set_feeder(conn, job, &feeder.id, &feeder.route).await
}
