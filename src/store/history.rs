//! Everything that happened on a job at once.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::events::{Event, all, import};
use super::{Result, Write};
use crate::job::event::History;

/// Everything that happened on one job, each kind in the order it arrived.
pub async fn load(conn: &mut SqliteConnection, job: JobId) -> Result<History> {
    Ok(History {
        ticks: all(conn, job).await?,
        readings: all(conn, job).await?,
        crimp_pulls: all(conn, job).await?,
        end_notes: all(conn, job).await?,
        step_readings: all(conn, job).await?,
        repairs: all(conn, job).await?,
        releases: all(conn, job).await?,
        withdrawals: all(conn, job).await?,
    })
}

/// Adds the history of an imported job.
pub(super) async fn add(write: &mut Write, job: JobId, history: &History) -> Result<()> {
    import_all(write, job, &history.ticks).await?;
    import_all(write, job, &history.readings).await?;
    import_all(write, job, &history.crimp_pulls).await?;
    import_all(write, job, &history.end_notes).await?;
    import_all(write, job, &history.withdrawals).await?;
    import_all(write, job, &history.step_readings).await?;
    import_all(write, job, &history.repairs).await?;
    import_all(write, job, &history.releases).await
}

async fn import_all<E: Event>(write: &mut Write, job: JobId, events: &[E]) -> Result<()> {
    for event in events {
        import(write, job, event).await?;
    }
    Ok(())
}
