//! Ways set by hand: the raceways of circuits and feeders, in order from the source.

use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use super::lists::Lists;
use crate::job::subject::Subject;
use crate::job::value::{CircuitId, FeederId, RacewayId};

/// The routes of all circuits, or of one.
pub(super) async fn of_circuits(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&CircuitId>,
) -> Result<Lists<CircuitId, RacewayId>> {
    let rows = sqlx::query!(
        r#"SELECT circuit AS "circuit: CircuitId", raceway AS "raceway: RacewayId"
           FROM circuit_routes WHERE job = ?1 AND (?2 IS NULL OR circuit = ?2) ORDER BY circuit, rank"#,
        job,
        only
    )
    .map(|row| (row.circuit, row.raceway));
    Ok(rows.fetch_all(conn).await?.into())
}

/// The routes of all feeders, or of one.
pub(super) async fn of_feeders(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&FeederId>,
) -> Result<Lists<FeederId, RacewayId>> {
    let rows = sqlx::query!(
        r#"SELECT feeder AS "feeder: FeederId", raceway AS "raceway: RacewayId"
           FROM feeder_routes WHERE job = ?1 AND (?2 IS NULL OR feeder = ?2) ORDER BY feeder, rank"#,
        job,
        only
    )
    .map(|row| (row.feeder, row.raceway));
    Ok(rows.fetch_all(conn).await?.into())
}

/// Puts a circuit's route in the place of the one it has.
pub(super) async fn set_circuit(
    conn: &mut SqliteConnection,
    job: JobId,
    circuit: &CircuitId,
    route: &[RacewayId],
) -> Result<()> {
    sqlx::query!("DELETE FROM circuit_routes WHERE job = ? AND circuit = ?", job, circuit)
        .execute(&mut *conn)
        .await?;
    for (rank, raceway) in (1_i64..).zip(route) {
        sqlx::query!(
            "INSERT INTO circuit_routes (job, circuit, rank, raceway) VALUES (?, ?, ?, ?)",
            job,
            circuit,
            rank,
            raceway
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// Puts a feeder's route in the place of the one it has.
pub(super) async fn set_feeder(
    conn: &mut SqliteConnection,
    job: JobId,
    feeder: &FeederId,
    route: &[RacewayId],
) -> Result<()> {
    sqlx::query!("DELETE FROM feeder_routes WHERE job = ? AND feeder = ?", job, feeder)
        .execute(&mut *conn)
        .await?;
    for (rank, raceway) in (1_i64..).zip(route) {
        sqlx::query!(
            "INSERT INTO feeder_routes (job, feeder, rank, raceway) VALUES (?, ?, ?, ?)",
            job,
            feeder,
            rank,
            raceway
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The circuits and feeders whose route names a raceway.
pub(super) async fn users(
    conn: &mut SqliteConnection,
    job: JobId,
    raceway: &RacewayId,
) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'circuit/' || circuit AS "user!: Subject" FROM circuit_routes WHERE job = ?1 AND raceway = ?2
           UNION ALL SELECT 'feeder/' || feeder FROM feeder_routes WHERE job = ?1 AND raceway = ?2"#,
        job,
        raceway
    );
    Ok(users.fetch_all(conn).await?)
}
