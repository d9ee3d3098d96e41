//! Devices: what uses, makes or switches current or signal, with what is set on each.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::lists::Lists;
use super::mounted::{self, Mounted};
use super::{Error, Result, Versioned, Write, cables, edit, log};
use crate::job::load::Load;
use crate::job::plan::Join;
use crate::job::plan::{Device, Inrush, Light, Setting};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BadValue, CurrentA, DeviceId, DropPct, LocationId, Name, RatingA, Seconds, TabMm};
use crate::trade::terminal::Stud;

/// All devices of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Device>>> {
    select(conn, job, None).await
}

/// One device.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &DeviceId) -> Result<Versioned<Device>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a device at the end.
pub async fn insert(write: &mut Write, job: JobId, device: &Device) -> Result<()> {
    edit::fits(write, job, "devices", |plan| edit::push(&mut plan.devices, device)).await?;
    add(write, job, device).await?;
    log::added(write, job, &subject(&device.id), device).await
}

/// Changes a device; its id stays.
pub async fn update(write: &mut Write, job: JobId, device: &Device, expected: Version) -> Result<Version> {
    let held = get(write, job, &device.id).await?;
    held.started_from(expected, subject(&device.id))?;
    edit::fits(write, job, "devices", |plan| {
        edit::replace(&mut plan.devices, device, |held| held.id == device.id)
    })
    .await?;
    set(write, job, device).await?;
    log::changed(write, job, &subject(&device.id), &held.value, device).await?;
    Ok(held.version.next())
}

/// Removes a device that no circuit feeds any more.
pub async fn remove(write: &mut Write, job: JobId, id: &DeviceId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    mounted::remove(write, job, id.as_str()).await?;
    sqlx::query!("DELETE FROM devices WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

/// Refuses a field that names a device this job does not have.
pub(super) async fn require(
    conn: &mut SqliteConnection,
    job: JobId,
    field: &'static str,
    id: &DeviceId,
) -> Result<()> {
    let there = sqlx::query_scalar!("SELECT 1 FROM devices WHERE job = ? AND id = ?", job, id);
    match there.fetch_optional(conn).await? {
        Some(_) => Ok(()),
        None => Err(Error::dangling(field, &subject(id))),
    }
}

fn subject(id: &DeviceId) -> Subject {
    Subject::new(SubjectKind::Device, id)
}

/// The circuits that feed a device.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &DeviceId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'circuit/' || circuit AS "user!: Subject" FROM circuit_devices WHERE job = ?1 AND device = ?2
           UNION ALL SELECT 'removed/' || id FROM removed WHERE job = ?1 AND device = ?2"#,
        job,
        id
    );
    let users = users.fetch_all(&mut *conn).await?;
    Ok(users.into_iter().chain(cables::to_device(conn, job, id.as_str()).await?).collect())
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&DeviceId>,
) -> Result<Vec<Versioned<Device>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: DeviceId", name AS "name: Name", location AS "location: LocationId",
                  load_kind, load_figure, drop_limit_pct AS "drop_limit_pct: DropPct",
                  max_fuse_a AS "max_fuse_a: RatingA", inrush_a AS "inrush_a: CurrentA",
                  inrush_s AS "inrush_s: Seconds", light AS "light: Light", kept AS "kept: bool",
                  through_hull AS "through_hull: bool",
                  stud AS "stud: Stud", tab_mm AS "tab_mm: TabMm", joined AS "joined: Join"
           FROM devices WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .fetch_all(&mut *conn)
    .await?;
    let mut settings = settings(conn, job, only).await?;
    let mut cables = cables::of_devices(conn, job).await?;
    let mut mounted = Mounted::load(conn, job, only.map(DeviceId::as_str)).await?;
    let devices = rows.into_iter().map(|row| {
        let (footprint, mounting) = mounted.take(row.id.as_str());
        let value = Device {
            settings: settings.take(&row.id),
            cables: cables.remove(row.id.as_str()).unwrap_or_default(),
            id: row.id,
            name: row.name,
            location: row.location,
            load: load(row.load_kind.as_deref(), row.load_figure)?,
            drop_limit_pct: row.drop_limit_pct,
            max_fuse_a: row.max_fuse_a,
            inrush: row.inrush_a.zip(row.inrush_s).map(|(a, s)| Inrush { a, s }),
            light: row.light,
            stud: row.stud,
            tab_mm: row.tab_mm,
            join: row.joined,
            kept: row.kept,
            through_hull: row.through_hull,
            footprint,
            mounting,
        };
        Ok(Versioned { version: row.version, value })
    });
    devices.collect()
}

/// The settings of all devices, or of one, in order.
async fn settings(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&DeviceId>,
) -> Result<Lists<DeviceId, Setting>> {
    let rows = sqlx::query!(
        r#"SELECT device AS "device: DeviceId", name AS "name: Name", value AS "value: Name"
           FROM device_settings WHERE job = ?1 AND (?2 IS NULL OR device = ?2) ORDER BY device, number"#,
        job,
        only
    )
    .map(|row| (row.device, Setting { name: row.name, value: row.value }));
    Ok(rows.fetch_all(conn).await?.into())
}

/// A load from its two columns.
fn load(kind: Option<&str>, figure: Option<f64>) -> Result<Option<Load>> {
    let (Some(kind), Some(figure)) = (kind, figure) else { return Ok(None) };
    let load = match kind {
        "constant-current" => figure.try_into().map(Load::ConstantCurrent),
        "constant-power" => figure.try_into().map(Load::ConstantPower),
        "resistance" => figure.try_into().map(Load::Resistance),
        other => Err(BadValue { got: other.to_owned(), expected: "a kind of load" }),
    };
    Ok(Some(load.map_err(|error| sqlx::Error::Decode(Box::new(error)))?))
}

/// A load as its two columns.
fn load_columns(load: Load) -> (&'static str, f64) {
    match load {
        Load::ConstantCurrent(current) => ("constant-current", current.number()),
        Load::ConstantPower(power) => ("constant-power", power.number()),
        Load::Resistance(resistance) => ("resistance", resistance.number()),
    }
}

/// Adds a device's rows without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    let (load_kind, load_figure) = device.load.map(load_columns).unzip();
    let (inrush_a, inrush_s) = device.inrush.map(|inrush| (inrush.a, inrush.s)).unzip();
    sqlx::query!(
        "INSERT INTO devices (job, rank, id, name, location, load_kind, load_figure, drop_limit_pct, max_fuse_a,
                              inrush_a, inrush_s, light, kept, stud, tab_mm, joined, through_hull)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM devices WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
                 ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
        job,
        device.id,
        device.name,
        device.location,
        load_kind,
        load_figure,
        device.drop_limit_pct,
        device.max_fuse_a,
        inrush_a,
        inrush_s,
        device.light,
        device.kept,
        device.stud,
        device.tab_mm,
        device.join,
        device.through_hull
    )
    .execute(&mut *conn)
    .await?;
    cables::set(conn, job, device).await?;
    set_mounted(conn, job, device).await?;
    add_settings(conn, job, device).await
}

async fn set_mounted(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    let (footprint, mounting) = (device.footprint.as_ref(), device.mounting.as_ref());
    mounted::set(conn, job, device.id.as_str(), footprint, mounting).await
}

async fn set(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    let (load_kind, load_figure) = device.load.map(load_columns).unzip();
    let (inrush_a, inrush_s) = device.inrush.map(|inrush| (inrush.a, inrush.s)).unzip();
    sqlx::query!(
        "UPDATE devices SET name = ?3, location = ?4, load_kind = ?5, load_figure = ?6, drop_limit_pct = ?7,
                            max_fuse_a = ?8, inrush_a = ?9, inrush_s = ?10, light = ?11, kept = ?12,
                            stud = ?13, tab_mm = ?14, joined = ?15, through_hull = ?16, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        device.id,
        device.name,
        device.location,
        load_kind,
        load_figure,
        device.drop_limit_pct,
        device.max_fuse_a,
        inrush_a,
        inrush_s,
        device.light,
        device.kept,
        device.stud,
        device.tab_mm,
        device.join,
        device.through_hull
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!("DELETE FROM device_settings WHERE job = ? AND device = ?", job, device.id)
        .execute(&mut *conn)
        .await?;
    cables::set(conn, job, device).await?;
    set_mounted(conn, job, device).await?;
    add_settings(conn, job, device).await
}

async fn add_settings(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    for (number, setting) in (1_i64..).zip(&device.settings) {
        sqlx::query!(
            "INSERT INTO device_settings (job, device, number, name, value) VALUES (?, ?, ?, ?, ?)",
            job,
            device.id,
            number,
            setting.name,
            setting.value
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}
