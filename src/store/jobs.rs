//! Jobs: the head of a job with its boat and customer, and the list of jobs.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sqlx::SqliteConnection;

use super::change::ChangeSet;
use super::change_rows::{self, Act};
use super::column::{At, JobId, Version};
use super::customer;
use super::error::{Error, Result};
use super::job_state;
use super::log::{self, Change};
use super::plan::{self, BOAT, HEAD};
use super::pool::Write;
use super::row::{self, Row};
use super::versioned::Versioned;
use crate::job::plan::{Boat, Customer, Head, Plan};
use crate::job::value::Name;
use crate::shop::access::Scope;
use crate::shop::job_state::JobState;

/// The data of a new boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Intake {
    /// The head of the job: the rules for the job as a whole.
    pub job: Head,
    /// The boat.
    pub boat: Boat,
    /// The owner of the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<Customer>,
}

/// A job as a row of the list on the shop floor page.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Its key.
    pub id: JobId,
    /// Its name.
    pub name: Name,
    /// Name of the boat.
    pub boat: Name,
    /// Name of the customer.
    pub customer: Option<Name>,
    /// Day the boat came in.
    pub received_on: Option<Date>,
    /// Promised day of return.
    pub promised_on: Option<Date>,
    /// Number of planned circuits.
    pub circuits: i64,
    /// Number of planned devices.
    pub devices: i64,
    /// The last activity on it.
    pub last: Option<Last>,
    /// The newest line of its log. If it is unchanged, nothing of the job has changed.
    pub line: i64,
}

/// The last activity on a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Last {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
}

/// Creates the job of a new boat.
pub async fn create(write: &mut Write, intake: &Intake) -> Result<JobId> {
    let job = add(write).await?;
    let mut plan = Plan::new(intake.job.clone(), intake.boat.clone());
    plan.customer = intake.customer.clone();
    change_rows::first(write, job, Act::Create, &plan).await?;
    Ok(job)
}

/// Head, boat and customer of a job. Their version is that of the last change of any of the three.
pub async fn get(conn: &mut SqliteConnection, job: JobId) -> Result<Versioned<Intake>> {
    let of_customer = customer::version(conn, job).await?.ok_or_else(|| plan::missing(job))?;
    let (head, boat) = (single(conn, job, HEAD).await?, single(conn, job, BOAT).await?);
    let value = Intake {
        job: plan::read(&head)?,
        boat: plan::read(&boat)?,
        customer: customer::get(conn, job).await?,
    };
    Ok(Versioned { version: of_customer.max(head.version).max(boat.version), value })
}

/// Changes head, boat and customer.
pub async fn update(write: &mut Write, job: JobId, intake: &Intake, expected: Version) -> Result<Version> {
    get(write, job).await?.started_from(expected, log::subject_of(job))?;
    let mut change = ChangeSet::begin(write, job).await?;
    change.set_head(&intake.job)?;
    change.set_boat(&intake.boat)?;
    change.set_customer(intake.customer.as_ref());
    Ok(change.commit().await?.unwrap_or(expected))
}

/// Closes a job, puts it aside or reopens it. It can always be read. Nothing happens for a job that already has
/// that state.
pub async fn change_state(write: &mut Write, job: JobId, state: JobState) -> Result<()> {
    let held = job_state::of(write, job).await?.ok_or_else(|| plan::missing(job))?;
    if held == state {
        return Ok(());
    }
    sqlx::query!("UPDATE job SET state = ? WHERE id = ?", state, job).execute(&mut **write).await?;
    let change = match state {
        JobState::Open => Change::Reopened,
        JobState::PutAside => Change::PutAside,
        JobState::Closed => Change::Closed,
    };
    log::line(write, Some(job), change, &log::subject_of(job), None::<&()>, None::<&()>).await
}

/// At most `most` jobs of the scope in one state, by promised day; those without one come last.
pub async fn list(
    conn: &mut SqliteConnection,
    state: JobState,
    scope: &Scope<JobId>,
    most: u32,
) -> Result<Vec<Summary>> {
    let only = match scope {
        Scope::All => None,
        Scope::Only(jobs) => Some(serde_json::to_string(jobs)?),
    };
    let rows = sqlx::query_as!(
        Listed,
        r#"SELECT job.id AS "id!: JobId", head.name AS "name!: Name", boat.name AS "boat!: Name",
                  customer.name AS "customer?: Name", json_extract(head.body, '$.received_on') AS "received_on: String",
                  json_extract(head.body, '$.promised_on') AS "promised_on: String", job.line_no AS "line!",
                  (SELECT count(*) FROM item WHERE job = job.id AND kind = 'circuit') AS "circuits!: i64",
                  (SELECT count(*) FROM item WHERE job = job.id AND kind = 'device') AS "devices!: i64",
                  coalesce(change.at, record.received_at, log.at) AS "at: At",
                  coalesce(change."by", record."by", log."by") AS "by: String"
           FROM job
           JOIN item AS head ON head.job = job.id AND head.kind = 'job'
           JOIN item AS boat ON boat.job = job.id AND boat.kind = 'boat'
           LEFT JOIN customer ON customer.job = job.id
           LEFT JOIN change ON change.job = job.id AND change.line = job.line_no
           LEFT JOIN record ON record.job = job.id AND record.line = job.line_no
           LEFT JOIN log ON log.job = job.id AND log.line = job.line_no
           WHERE state = ?1 AND (?2 IS NULL OR job.id IN (SELECT value FROM json_each(?2)))
           ORDER BY json_extract(head.body, '$.promised_on') IS NULL, json_extract(head.body, '$.promised_on'), job.id
           LIMIT ?3"#,
        state,
        only,
        most
    );
    rows.fetch_all(conn).await?.into_iter().map(Summary::try_from).collect()
}

/// The number of all jobs.
pub async fn count(conn: &mut SqliteConnection) -> Result<i64> {
    Ok(sqlx::query_scalar!(r#"SELECT count(*) AS "count!: i64" FROM job"#).fetch_one(conn).await?)
}

/// Adds the row of a job. Its first change writes the rest.
pub(super) async fn add(write: &mut Write) -> Result<JobId> {
    let now = At(write.now());
    let row = sqlx::query!("INSERT INTO job (created_at) VALUES (?)", now).execute(&mut **write).await?;
    Ok(JobId::from(row.last_insert_rowid()))
}

async fn single(conn: &mut SqliteConnection, job: JobId, kind: &str) -> Result<Row> {
    row::one(conn, job, kind, kind).await?.ok_or_else(|| plan::missing(job))
}

/// A job as the list reads it.
struct Listed {
    id: JobId,
    name: Name,
    boat: Name,
    customer: Option<Name>,
    received_on: Option<String>,
    promised_on: Option<String>,
    circuits: i64,
    devices: i64,
    line: i64,
    at: Option<At>,
    by: Option<String>,
}

impl TryFrom<Listed> for Summary {
    type Error = Error;

    fn try_from(row: Listed) -> Result<Self> {
        let day =
            |text: Option<String>| text.map(|text| serde_json::from_value(Value::String(text))).transpose();
        Ok(Self {
            id: row.id,
            name: row.name,
            boat: row.boat,
            customer: row.customer,
            received_on: day(row.received_on)?,
            promised_on: day(row.promised_on)?,
            circuits: row.circuits,
            devices: row.devices,
            last: row.at.zip(row.by).map(|(at, by)| Last { at: at.into(), by }),
            line: row.line,
        })
    }
}
