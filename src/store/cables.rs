//! Factory cables: one of a device at most.

use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use super::lists::Lists;
use crate::job::plan::{Device, FactoryCable};
use crate::job::value::{DeviceId, LengthM, LocationId, SizeMm};
use crate::trade::route::CableKind;

/// The cables of all devices, or of one.
pub(super) async fn of_devices(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&DeviceId>,
) -> Result<Lists<DeviceId, FactoryCable>> {
    let rows = sqlx::query!(
        r#"SELECT device AS "device: DeviceId", kind AS "kind: CableKind", length_m AS "length_m: LengthM",
                  to_location AS "to_location: LocationId", connector_mm AS "connector_mm: SizeMm",
                  outside_mm AS "outside_mm: SizeMm", least_length_m AS "least_length_m: LengthM",
                  sealed_join AS "sealed_join: bool"
           FROM factory_cables WHERE job = ?1 AND (?2 IS NULL OR device = ?2)"#,
        job,
        only
    )
    .map(|row| {
        let cable = FactoryCable {
            kind: row.kind,
            length_m: row.length_m,
            to: row.to_location,
            connector_mm: row.connector_mm,
            outside_mm: row.outside_mm,
            least_length_m: row.least_length_m,
            sealed_join: row.sealed_join,
        };
        (row.device, cable)
    });
    Ok(rows.fetch_all(conn).await?.into())
}

/// Puts a device's cable in the place of the one it has.
pub(super) async fn set(conn: &mut SqliteConnection, job: JobId, device: &Device) -> Result<()> {
    sqlx::query!("DELETE FROM factory_cables WHERE job = ? AND device = ?", job, device.id)
        .execute(&mut *conn)
        .await?;
    let Some(cable) = &device.cable else { return Ok(()) };
    sqlx::query!(
        "INSERT INTO factory_cables (job, device, kind, length_m, to_location, connector_mm, outside_mm,
                                     least_length_m, sealed_join)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        job,
        device.id,
        cable.kind,
        cable.length_m,
        cable.to,
        cable.connector_mm,
        cable.outside_mm,
        cable.least_length_m,
        cable.sealed_join
    )
    .execute(conn)
    .await?;
    Ok(())
}
