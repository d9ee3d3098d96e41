//! Jobs: the head of a job with its boat and customer, and the list of them.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use sqlx::SqliteConnection;

use super::column::{At, Day, JobId, Version};
use super::log::{self, Change};
use super::{Error, Result, Versioned, Write};
use crate::job::plan::{Boat, Customer, CutAllowances, Engine, Fuel, Head, Hull};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{
    AmbientC, BeamM, BoatLengthM, LengthM, Milliohm, Money, Name, NominalV, Prose, SpeedKn, WastePct,
};
use crate::trade::rules::RuleSet;

/// What is written down when a boat comes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Intake {
    /// What the job as a whole is worked to.
    pub job: Head,
    /// The boat.
    pub boat: Boat,
    /// Who owns the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<Customer>,
}

/// A job as a row of the shop floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Its key.
    pub id: JobId,
    /// Its name.
    pub name: Name,
    /// Name of the boat.
    pub boat: Name,
    /// Name of the boat's customer.
    pub customer: Option<Name>,
    /// Day the boat came in.
    pub received_on: Option<Date>,
    /// Day the boat is promised back.
    pub promised_on: Option<Date>,
    /// How many circuits are planned.
    pub circuits: i64,
    /// How many devices are planned.
    pub devices: i64,
    /// The last thing that was done on it.
    pub last: Option<Last>,
    /// The newest line of its log: where it is the same, nothing of the job has changed.
    pub line: Option<i64>,
}

/// The last thing that was done on a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Last {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
}

/// Which jobs a list shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// Those on the shop floor.
    Open,
    /// Those that are done with.
    Closed,
}

/// Writes down a boat that comes in.
pub async fn create(write: &mut Write, intake: &Intake) -> Result<JobId> {
    let job = add(write, intake).await?;
    log::added(write, job, &subject(job), intake).await?;
    Ok(job)
}

/// Head, boat and customer of a job.
pub async fn get(conn: &mut SqliteConnection, job: JobId) -> Result<Versioned<Intake>> {
    let row = sqlx::query_as!(
        Row,
        r#"SELECT version AS "version: _", name AS "name: _", rules AS "rules: _", nominal_v AS "nominal_v: _",
                  ambient_c AS "ambient_c: _", contact_mohm AS "contact_mohm: _", rise_m AS "rise_m: _",
                  service_loop_m AS "service_loop_m: _", drip_loop_m AS "drip_loop_m: _",
                  waste_pct AS "waste_pct: _", wishes AS "wishes: _",
                  budget AS "budget: _", received_on AS "received_on: _", promised_on AS "promised_on: _",
                  boat_name AS "boat_name: _", length_m AS "length_m: _", beam_m AS "beam_m: _", hull AS "hull: _", fuel AS "fuel: _",
                  engine AS "engine: _", sails AS "sails: bool", top_speed_kn AS "top_speed_kn: _", customer_name AS "customer_name: _",
                  customer_contact AS "customer_contact: _"
           FROM jobs WHERE id = ?"#,
        job
    )
    .fetch_optional(conn)
    .await?;
    row.map(Versioned::from).ok_or_else(|| missing(job))
}

/// Changes head, boat and customer.
pub async fn update(write: &mut Write, job: JobId, intake: &Intake, expected: Version) -> Result<Version> {
    let held = get(write, job).await?;
    held.started_from(expected, subject(job))?;
    set(write, job, intake).await?;
    log::changed(write, job, &subject(job), &held.value, intake).await?;
    Ok(held.version.next())
}

/// When a job was closed; none while it is open.
pub async fn closed_at(conn: &mut SqliteConnection, job: JobId) -> Result<Option<Timestamp>> {
    let row = sqlx::query!(r#"SELECT closed_at AS "at: At" FROM jobs WHERE id = ?"#, job)
        .fetch_optional(conn)
        .await?
        .ok_or_else(|| missing(job))?;
    Ok(row.at.map(Timestamp::from))
}

/// Takes a job off the shop floor. It may still be read and opened again.
pub async fn close(write: &mut Write, job: JobId) -> Result<()> {
    let now = At(write.now());
    let done = sqlx::query!("UPDATE jobs SET closed_at = ? WHERE id = ? AND closed_at IS NULL", now, job)
        .execute(&mut **write)
        .await?;
    moved(write, job, done.rows_affected(), Change::Closed).await
}

/// Puts a closed job back on the shop floor.
pub async fn reopen(write: &mut Write, job: JobId) -> Result<()> {
    let done = sqlx::query!("UPDATE jobs SET closed_at = NULL WHERE id = ? AND closed_at IS NOT NULL", job)
        .execute(&mut **write)
        .await?;
    moved(write, job, done.rows_affected(), Change::Reopened).await
}

/// Deletes a job with its plan, events and log. Only the line that says who did it stays, and that one
/// carries neither the boat's nor the customer's data.
pub async fn delete(write: &mut Write, job: JobId) -> Result<()> {
    let done = sqlx::query!("DELETE FROM jobs WHERE id = ?", job).execute(&mut **write).await?;
    if done.rows_affected() == 0 {
        return Err(missing(job));
    }
    log::line(write, None, Change::Removed, &subject(job).to_string(), None::<&()>, None::<&()>).await
}

/// Jobs by promised day, those without one last; at most `most`.
pub async fn list(conn: &mut SqliteConnection, which: Which, most: u32) -> Result<Vec<Summary>> {
    let closed = which == Which::Closed;
    let jobs = sqlx::query!(
        r#"SELECT jobs.id AS "id: JobId", name AS "name: Name", boat_name AS "boat: Name",
                  customer_name AS "customer: Name", received_on AS "received_on: Day", promised_on AS "promised_on: Day",
                  (SELECT count(*) FROM circuits WHERE job = jobs.id) AS "circuits!: i64",
                  (SELECT count(*) FROM devices WHERE job = jobs.id) AS "devices!: i64",
                  log.id AS "line?: i64", log.at AS "at?: At", log."by" AS "by?"
           FROM jobs LEFT JOIN log ON log.id = (SELECT max(id) FROM log WHERE job = jobs.id)
           WHERE (closed_at IS NOT NULL) = ?1
           ORDER BY promised_on IS NULL, promised_on, jobs.id LIMIT ?2"#,
        closed,
        most
    )
    .map(|row| Summary {
        id: row.id,
        name: row.name,
        boat: row.boat,
        customer: row.customer,
        received_on: row.received_on.map(Date::from),
        promised_on: row.promised_on.map(Date::from),
        circuits: row.circuits,
        devices: row.devices,
        last: row.at.zip(row.by).map(|(at, by)| Last { at: at.into(), by }),
        line: row.line,
    });
    Ok(jobs.fetch_all(conn).await?)
}

/// How many jobs there are in all.
pub async fn count(conn: &mut SqliteConnection) -> Result<i64> {
    Ok(sqlx::query_scalar!(r#"SELECT count(*) AS "count!: i64" FROM jobs"#).fetch_one(conn).await?)
}

/// The job as the log and errors name it.
pub(super) fn subject(job: JobId) -> Subject {
    Subject::new(SubjectKind::Job, job)
}

/// The error for a job that is not there.
fn missing(job: JobId) -> Error {
    Error::NotFound(format!("job {job}"))
}

/// Logs a job's way off or onto the floor; a job that was there already is left alone.
async fn moved(write: &mut Write, job: JobId, rows: u64, change: Change) -> Result<()> {
    match rows {
        0 => closed_at(write, job).await.map(|_| ()),
        _ => log::line(write, Some(job), change, &subject(job).to_string(), None::<&()>, None::<&()>).await,
    }
}

/// Adds a job's row without a line in the log.
pub(super) async fn add(write: &mut Write, intake: &Intake) -> Result<JobId> {
    let (head, boat, customer) = (&intake.job, &intake.boat, intake.customer.as_ref());
    let (received, promised) = (head.received_on.map(Day), head.promised_on.map(Day));
    let (customer_name, customer_contact) =
        (customer.map(|customer| &customer.name), customer.and_then(|o| o.contact.as_ref()));
    let now = At(write.now());
    let row = sqlx::query!(
        "INSERT INTO jobs (name, rules, nominal_v, ambient_c, contact_mohm, rise_m, service_loop_m, drip_loop_m,
                           waste_pct, wishes, budget, received_on, promised_on, boat_name, length_m, beam_m, hull, fuel, engine, sails, top_speed_kn, customer_name, customer_contact,
                           created_at)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        head.name,
        head.rules,
        head.nominal_v,
        head.ambient_c,
        head.contact_mohm,
        head.allowances.rise_m,
        head.allowances.service_loop_m,
        head.allowances.drip_loop_m,
        head.allowances.waste_pct,
        head.wishes,
        head.budget,
        received,
        promised,
        boat.name,
        boat.length_m,
        boat.beam_m,
        boat.hull,
        boat.fuel,
        boat.engine,
        boat.sails,
        boat.top_speed_kn,
        customer_name,
        customer_contact,
        now
    )
    .execute(&mut **write)
    .await?;
    Ok(JobId::from(row.last_insert_rowid()))
}

async fn set(conn: &mut SqliteConnection, job: JobId, intake: &Intake) -> Result<()> {
    let (head, boat, customer) = (&intake.job, &intake.boat, intake.customer.as_ref());
    let (received, promised) = (head.received_on.map(Day), head.promised_on.map(Day));
    let (customer_name, customer_contact) =
        (customer.map(|customer| &customer.name), customer.and_then(|o| o.contact.as_ref()));
    sqlx::query!(
        "UPDATE jobs SET name = ?, rules = ?, nominal_v = ?, ambient_c = ?, contact_mohm = ?, rise_m = ?,
                         service_loop_m = ?, drip_loop_m = ?, waste_pct = ?, wishes = ?, budget = ?,
                         received_on = ?, promised_on = ?, boat_name = ?, length_m = ?, beam_m = ?, hull = ?, fuel = ?,
                         engine = ?, sails = ?, top_speed_kn = ?, customer_name = ?, customer_contact = ?, version = version + 1
         WHERE id = ?",
        head.name,
        head.rules,
        head.nominal_v,
        head.ambient_c,
        head.contact_mohm,
        head.allowances.rise_m,
        head.allowances.service_loop_m,
        head.allowances.drip_loop_m,
        head.allowances.waste_pct,
        head.wishes,
        head.budget,
        received,
        promised,
        boat.name,
        boat.length_m,
        boat.beam_m,
        boat.hull,
        boat.fuel,
        boat.engine,
        boat.sails,
        boat.top_speed_kn,
        customer_name,
        customer_contact,
        job
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// A job's row as the table has it.
struct Row {
    version: Version,
    name: Name,
    rules: RuleSet,
    nominal_v: NominalV,
    ambient_c: AmbientC,
    contact_mohm: Option<Milliohm>,
    rise_m: Option<LengthM>,
    service_loop_m: Option<LengthM>,
    drip_loop_m: Option<LengthM>,
    waste_pct: Option<WastePct>,
    wishes: Option<Prose>,
    budget: Option<Money>,
    received_on: Option<Day>,
    promised_on: Option<Day>,
    boat_name: Name,
    length_m: BoatLengthM,
    beam_m: Option<BeamM>,
    hull: Option<Hull>,
    fuel: Option<Fuel>,
    engine: Option<Engine>,
    sails: bool,
    top_speed_kn: Option<SpeedKn>,
    customer_name: Option<Name>,
    customer_contact: Option<Name>,
}

impl From<Row> for Versioned<Intake> {
    fn from(row: Row) -> Self {
        let job = Head {
            name: row.name,
            rules: row.rules,
            nominal_v: row.nominal_v,
            ambient_c: row.ambient_c,
            contact_mohm: row.contact_mohm,
            allowances: CutAllowances {
                rise_m: row.rise_m,
                service_loop_m: row.service_loop_m,
                drip_loop_m: row.drip_loop_m,
                waste_pct: row.waste_pct,
            },
            wishes: row.wishes,
            budget: row.budget,
            received_on: row.received_on.map(Date::from),
            promised_on: row.promised_on.map(Date::from),
        };
        let boat = Boat {
            name: row.boat_name,
            length_m: row.length_m,
            beam_m: row.beam_m,
            hull: row.hull,
            fuel: row.fuel,
            engine: row.engine,
            sails: row.sails,
            top_speed_kn: row.top_speed_kn,
        };
        let customer = row.customer_name.map(|name| Customer { name, contact: row.customer_contact });
        Self { version: row.version, value: Intake { job, boat, customer } }
    }
}
