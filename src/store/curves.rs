//! What manufacturers say of when their fuses and breakers open, for circuits and feeders.

use std::collections::HashMap;

use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use crate::job::plan::{CurvePoint, ManufacturerCurve};
use crate::job::value::{CircuitId, CurrentA, FeederId, Seconds};

/// The curves of all circuits, or of one.
pub(super) async fn of_circuits(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&CircuitId>,
) -> Result<HashMap<CircuitId, ManufacturerCurve>> {
    let rows = sqlx::query!(
        r#"SELECT circuit AS "circuit: CircuitId", carries_a AS "carries_a: CurrentA", carries_s AS "carries_s: Seconds",
                  opens_a AS "opens_a: CurrentA", opens_s AS "opens_s: Seconds"
           FROM circuit_curves WHERE job = ?1 AND (?2 IS NULL OR circuit = ?2)"#,
        job,
        only
    )
    .map(|row| (row.circuit, curve((row.carries_a, row.carries_s), (row.opens_a, row.opens_s))));
    Ok(rows.fetch_all(conn).await?.into_iter().collect())
}

/// The curves of all feeders, or of one.
pub(super) async fn of_feeders(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&FeederId>,
) -> Result<HashMap<FeederId, ManufacturerCurve>> {
    let rows = sqlx::query!(
        r#"SELECT feeder AS "feeder: FeederId", carries_a AS "carries_a: CurrentA", carries_s AS "carries_s: Seconds",
                  opens_a AS "opens_a: CurrentA", opens_s AS "opens_s: Seconds"
           FROM feeder_curves WHERE job = ?1 AND (?2 IS NULL OR feeder = ?2)"#,
        job,
        only
    )
    .map(|row| (row.feeder, curve((row.carries_a, row.carries_s), (row.opens_a, row.opens_s))));
    Ok(rows.fetch_all(conn).await?.into_iter().collect())
}

/// Puts what is said of a circuit's protection in the place of what was.
pub(super) async fn set_circuit(
    conn: &mut SqliteConnection,
    job: JobId,
    circuit: &CircuitId,
    curve: &ManufacturerCurve,
) -> Result<()> {
    sqlx::query!("DELETE FROM circuit_curves WHERE job = ? AND circuit = ?", job, circuit)
        .execute(&mut *conn)
        .await?;
    if *curve == ManufacturerCurve::default() {
        return Ok(());
    }
    let [(carries_a, carries_s), (opens_a, opens_s)] = columns(curve);
    sqlx::query!(
        "INSERT INTO circuit_curves (job, circuit, carries_a, carries_s, opens_a, opens_s) VALUES (?, ?, ?, ?, ?, ?)",
        job,
        circuit,
        carries_a,
        carries_s,
        opens_a,
        opens_s
    )
    .execute(&mut *conn)
    .await?;
    Ok(())
}

/// Puts what is said of a feeder's protection in the place of what was.
pub(super) async fn set_feeder(
    conn: &mut SqliteConnection,
    job: JobId,
    feeder: &FeederId,
    curve: &ManufacturerCurve,
) -> Result<()> {
    sqlx::query!("DELETE FROM feeder_curves WHERE job = ? AND feeder = ?", job, feeder)
        .execute(&mut *conn)
        .await?;
    if *curve == ManufacturerCurve::default() {
        return Ok(());
    }
    let [(carries_a, carries_s), (opens_a, opens_s)] = columns(curve);
    sqlx::query!(
        "INSERT INTO feeder_curves (job, feeder, carries_a, carries_s, opens_a, opens_s) VALUES (?, ?, ?, ?, ?, ?)",
        job,
        feeder,
        carries_a,
        carries_s,
        opens_a,
        opens_s
    )
    .execute(&mut *conn)
    .await?;
    Ok(())
}

/// A point as two columns have it.
type Columns = (Option<CurrentA>, Option<Seconds>);

fn curve(carries: Columns, opens: Columns) -> ManufacturerCurve {
    let point = |(a, s): Columns| a.zip(s).map(|(a, s)| CurvePoint { a, s });
    ManufacturerCurve { carries: point(carries), opens: point(opens) }
}

fn columns(curve: &ManufacturerCurve) -> [Columns; 2] {
    [curve.carries, curve.opens].map(|point| point.map(|point| (point.a, point.s)).unzip())
}
