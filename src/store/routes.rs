//! Ways set by hand: the passages of circuits and feeders, in order from the source.

use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use super::lists::Lists;
use crate::job::subject::Subject;
use crate::job::value::{CircuitId, FeederId, PassageId};

/// The routes of all circuits, or of one.
pub(super) async fn of_circuits(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&CircuitId>,
) -> Result<Lists<CircuitId, PassageId>> {
    let rows = sqlx::query!(
        r#"SELECT circuit AS "circuit: CircuitId", passage AS "passage: PassageId"
           FROM circuit_routes WHERE job = ?1 AND (?2 IS NULL OR circuit = ?2) ORDER BY circuit, rank"#,
        job,
        only
    )
    .map(|row| (row.circuit, row.passage));
    Ok(rows.fetch_all(conn).await?.into())
}

/// The routes of all feeders, or of one.
pub(super) async fn of_feeders(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&FeederId>,
) -> Result<Lists<FeederId, PassageId>> {
    let rows = sqlx::query!(
        r#"SELECT feeder AS "feeder: FeederId", passage AS "passage: PassageId"
           FROM feeder_routes WHERE job = ?1 AND (?2 IS NULL OR feeder = ?2) ORDER BY feeder, rank"#,
        job,
        only
    )
    .map(|row| (row.feeder, row.passage));
    Ok(rows.fetch_all(conn).await?.into())
}

/// Puts a circuit's route in the place of the one it has.
pub(super) async fn set_circuit(
    conn: &mut SqliteConnection,
    job: JobId,
    circuit: &CircuitId,
    route: &[PassageId],
) -> Result<()> {
    sqlx::query!("DELETE FROM circuit_routes WHERE job = ? AND circuit = ?", job, circuit)
        .execute(&mut *conn)
        .await?;
    for (rank, passage) in (1_i64..).zip(route) {
        sqlx::query!(
            "INSERT INTO circuit_routes (job, circuit, rank, passage) VALUES (?, ?, ?, ?)",
            job,
            circuit,
            rank,
            passage
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
    route: &[PassageId],
) -> Result<()> {
    sqlx::query!("DELETE FROM feeder_routes WHERE job = ? AND feeder = ?", job, feeder)
        .execute(&mut *conn)
        .await?;
    for (rank, passage) in (1_i64..).zip(route) {
        sqlx::query!(
            "INSERT INTO feeder_routes (job, feeder, rank, passage) VALUES (?, ?, ?, ?)",
            job,
            feeder,
            rank,
            passage
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

/// The circuits and feeders whose route names a passage.
pub(super) async fn users(
    conn: &mut SqliteConnection,
    job: JobId,
    passage: &PassageId,
) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'circuit/' || circuit AS "user!: Subject" FROM circuit_routes WHERE job = ?1 AND passage = ?2
           UNION ALL SELECT 'feeder/' || feeder FROM feeder_routes WHERE job = ?1 AND passage = ?2"#,
        job,
        passage
    );
    Ok(users.fetch_all(conn).await?)
}
