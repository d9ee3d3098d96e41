//! Everything that happened on a job at once.

use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::JobId;
use super::{
    Error, Result, Write, crimp_pulls, end_notes, readings, releases, repairs, step_readings, ticks,
    withdrawals,
};
use crate::job::event::History;

/// Everything that happened on one job, each kind in the order it arrived.
pub async fn load(conn: &mut SqliteConnection, job: JobId) -> Result<History> {
    Ok(History {
        ticks: ticks::all(conn, job).await?,
        readings: readings::all(conn, job).await?,
        crimp_pulls: crimp_pulls::all(conn, job).await?,
        end_notes: end_notes::all(conn, job).await?,
        step_readings: step_readings::all(conn, job).await?,
        repairs: repairs::all(conn, job).await?,
        releases: releases::all(conn, job).await?,
        withdrawals: withdrawals::all(conn, job).await?,
    })
}

/// Adds the history of an imported job, in the names it was written under and without lines in the log.
///
/// Readings of circuits that the plan no longer has are kept: they were taken.
pub(super) async fn add(write: &mut Write, job: JobId, history: &History) -> Result<()> {
    for tick in &history.ticks {
        once(tick.id, ticks::put(write, job, tick, None).await?)?;
    }
    for reading in &history.readings {
        once(reading.id, readings::put(write, job, reading, None).await?)?;
    }
    for pull in &history.crimp_pulls {
        once(pull.id, crimp_pulls::put(write, job, pull, None).await?)?;
    }
    for note in &history.end_notes {
        once(note.id, end_notes::put(write, job, note, None).await?)?;
    }
    for withdrawal in &history.withdrawals {
        once(withdrawal.id, withdrawals::put(write, job, withdrawal, None).await?)?;
    }
    for reading in &history.step_readings {
        once(reading.id, step_readings::put(write, job, reading, None).await?)?;
    }
    for repair in &history.repairs {
        once(repair.id, repairs::put(write, job, repair, None).await?)?;
    }
    for release in &history.releases {
        once(release.id, releases::put(write, job, release, None).await?)?;
    }
    Ok(())
}

fn once(id: Uuid, new: bool) -> Result<()> {
    if new { Ok(()) } else { Err(Error::EventDiffers(id)) }
}
