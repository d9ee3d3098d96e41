//! The cables of devices: what they are beside the device's columns, and where they go as rows.

use std::collections::HashMap;

use sqlx::SqliteConnection;

use super::column::JobId;
use super::{Result, extras};
use crate::job::plan::{Cable, CableTo, Device};
use crate::job::subject::{Subject, SubjectKind};

/// The cables of all devices.
pub(super) async fn of_devices(
    conn: &mut SqliteConnection,
    job: JobId,
) -> Result<HashMap<String, Vec<Cable>>> {
    extras::all(conn, job, SubjectKind::Device.word()).await
}

/// Puts a device's cables in the place of those it has.
pub(super) async fn set(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    extras::set(conn, job, &Subject::new(SubjectKind::Device, &device.id), &device.cables).await?;
    sqlx::query("DELETE FROM factory_cables WHERE job = ? AND device = ?")
        .bind(job)
        .bind(&device.id)
        .execute(&mut *conn)
        .await?;
    for (rank, cable) in (1_i64..).zip(&device.cables) {
        let (location, other) = match &cable.to {
            CableTo::Location(location) => (Some(location), None),
            CableTo::Device(other) => (None, Some(other)),
        };
        sqlx::query(
            "INSERT INTO factory_cables (job, device, rank, to_location, to_device) VALUES (?, ?, ?, ?, ?)",
        )
        .bind(job)
        .bind(&device.id)
        .bind(rank)
        .bind(location)
        .bind(other)
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The devices whose cables go to a device.
pub(super) async fn to_device(conn: &mut SqliteConnection, job: JobId, id: &str) -> Result<Vec<Subject>> {
    let rows = sqlx::query_scalar::<_, String>(
        "SELECT DISTINCT device FROM factory_cables WHERE job = ? AND to_device = ?",
    );
    let ids = rows.bind(job).bind(id).fetch_all(conn).await?;
    Ok(ids.into_iter().map(|id| Subject::new(SubjectKind::Device, id)).collect())
}
