//! A whole plan at once: the read that every page of a job starts from, and the write of an import.

use sqlx::SqliteConnection;

use super::column::JobId;
use super::jobs::Intake;
use super::{
    Result, Versioned, Write, boards, circuits, devices, feeders, jobs, locations, modes, points, raceways,
    removed,
};
use crate::job::plan::Plan;

/// Everything planned for one job.
pub async fn load(conn: &mut SqliteConnection, job: JobId) -> Result<Plan> {
    let Intake { job: head, boat, customer } = jobs::get(conn, job).await?.value;
    Ok(Plan {
        job: head,
        boat,
        customer,
        locations: values(locations::all(conn, job).await?),
        raceways: values(raceways::all(conn, job).await?),
        boards: values(boards::all(conn, job).await?),
        points: values(points::all(conn, job).await?),
        feeders: values(feeders::all(conn, job).await?),
        devices: values(devices::all(conn, job).await?),
        circuits: values(circuits::all(conn, job).await?),
        modes: values(modes::all(conn, job).await?),
        removed: values(removed::all(conn, job).await?),
    })
}

/// Adds a job with everything planned for it, without a line in the log.
///
/// What is referred to goes in before what refers to it.
pub(super) async fn add(write: &mut Write, plan: &Plan) -> Result<JobId> {
    let intake = Intake { job: plan.job.clone(), boat: plan.boat.clone(), customer: plan.customer.clone() };
    let job = jobs::add(write, &intake).await?;
    for location in &plan.locations {
        locations::add(write, job, location).await?;
    }
    for raceway in &plan.raceways {
        raceways::add(write, job, raceway).await?;
    }
    for board in &plan.boards {
        boards::add(write, job, board).await?;
    }
    for point in &plan.points {
        points::add(write, job, point).await?;
    }
    for feeder in &plan.feeders {
        feeders::add(write, job, feeder).await?;
    }
    for device in &plan.devices {
        devices::add(write, job, device).await?;
    }
    for circuit in &plan.circuits {
        circuits::add(write, job, circuit).await?;
    }
    for mode in &plan.modes {
        modes::add(write, job, mode).await?;
    }
    for removed in &plan.removed {
        removed::add(write, job, removed).await?;
    }
    Ok(job)
}

fn values<T>(rows: Vec<Versioned<T>>) -> Vec<T> {
    rows.into_iter().map(|row| row.value).collect()
}
