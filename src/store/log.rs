//! The log: who changed what and when. Lines are written by the other files of this folder, each in the
//! transaction of its change; here they are also read.

use jiff::Timestamp;
use serde::Serialize;
use serde_json::Value;
use sqlx::SqliteConnection;

use super::column::{At, JobId, PersonId};
use super::{Error, Result, Write};
use crate::job::subject::Subject;

/// What kind of change a line tells of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// Something new.
    Added,
    /// Something is different.
    Changed,
    /// Something is gone.
    Removed,
    /// A whole job came from a job file.
    Imported,
    /// A job left the shop floor.
    Closed,
    /// A closed job came back.
    Reopened,
    /// A step was marked.
    Ticked,
    /// A reading was taken.
    Measured,
    /// A photo was taken in, or taken away.
    Photographed,
    /// Something found was written down.
    Noted,
    /// A reading, a pull or a note was taken back.
    Withdrawn,
    /// A gate was passed in spite of something.
    Released,
    /// Somebody signed in by passphrase.
    SignedIn,
    /// Somebody took over a device by PIN.
    Switched,
    /// A device was signed out, by whoever was at it or from afar.
    SignedOut,
}

/// One line of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its number: later lines have higher ones.
    pub id: i64,
    /// When, by the server's clock.
    pub at: Timestamp,
    /// The name of who did it, as it was then.
    pub by: String,
    /// Who did it, where it was someone of this shop.
    pub person: Option<PersonId>,
    /// The job, or none for the shop itself.
    pub job: Option<JobId>,
    /// What was done.
    pub change: Change,
    /// To what: `circuit/C01`, `person/Ana`.
    pub subject: String,
    /// What was there before, by the field names of the job file.
    pub before: Option<Value>,
    /// What is there since.
    pub after: Option<Value>,
}

/// The state of a job's plan, as a drawing counts its editions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edition {
    /// How often the plan was changed, counted from 1.
    pub number: i64,
    /// When it was changed last.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
}

/// The lines of one job, newest first: at most `most` of those older than line `older_than`.
pub async fn of_job(
    conn: &mut SqliteConnection,
    job: JobId,
    older_than: Option<i64>,
    most: u32,
) -> Result<Vec<Line>> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT id, at AS "at: _", "by", person AS "person: _", job AS "job: _", change AS "change: _", subject,
                  before, after
           FROM log WHERE job = ?1 AND (?2 IS NULL OR id < ?2) ORDER BY id DESC LIMIT ?3"#,
        job,
        older_than,
        most
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Line::try_from).collect()
}

/// How often a job's plan was changed, and the last of those changes; none for a job without a log.
pub async fn edition(conn: &mut SqliteConnection, job: JobId) -> Result<Option<Edition>> {
    // Of the columns beside max(), SQLite gives those of the row that holds the greatest.
    let row = sqlx::query!(
        r#"SELECT count(*) AS "number!: i64", max(id) AS "last: i64", at AS "at: At", "by" AS "by: String"
           FROM log WHERE job = ? AND change IN ('added', 'changed', 'removed', 'imported')"#,
        job
    )
    .fetch_one(conn)
    .await?;
    Ok(row.at.zip(row.by).map(|(at, by)| Edition { number: row.number, at: at.0, by }))
}

/// The lines about the shop itself, such as its people, newest first.
pub async fn of_shop(conn: &mut SqliteConnection, older_than: Option<i64>, most: u32) -> Result<Vec<Line>> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT id, at AS "at: _", "by", person AS "person: _", job AS "job: _", change AS "change: _", subject,
                  before, after
           FROM log WHERE job IS NULL AND (?1 IS NULL OR id < ?1) ORDER BY id DESC LIMIT ?2"#,
        older_than,
        most
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Line::try_from).collect()
}

/// Writes that something new is there.
pub(super) async fn added(
    write: &mut Write,
    job: JobId,
    subject: &Subject,
    after: &impl Serialize,
) -> Result<()> {
    line(write, Some(job), Change::Added, &subject.to_string(), None::<&()>, Some(after)).await
}

/// Writes that something is different.
pub(super) async fn changed<T: Serialize>(
    write: &mut Write,
    job: JobId,
    subject: &Subject,
    before: &T,
    after: &T,
) -> Result<()> {
    line(write, Some(job), Change::Changed, &subject.to_string(), Some(before), Some(after)).await
}

/// Writes that something is gone.
pub(super) async fn removed(
    write: &mut Write,
    job: JobId,
    subject: &Subject,
    before: &impl Serialize,
) -> Result<()> {
    line(write, Some(job), Change::Removed, &subject.to_string(), Some(before), None::<&()>).await
}

/// Writes any line.
pub(super) async fn line<B: Serialize, A: Serialize>(
    write: &mut Write,
    job: Option<JobId>,
    change: Change,
    subject: &str,
    before: Option<&B>,
    after: Option<&A>,
) -> Result<()> {
    let (at, by, person) = (At(write.now()), write.actor().name.clone(), write.actor().person);
    let before = before.map(serde_json::to_string).transpose()?;
    let after = after.map(serde_json::to_string).transpose()?;
    sqlx::query!(
        r#"INSERT INTO log (at, "by", person, job, change, subject, before, after)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?)"#,
        at,
        by,
        person,
        job,
        change,
        subject,
        before,
        after
    )
    .execute(&mut **write)
    .await?;
    Ok(())
}

/// A line as the table has it: the JSON still text.
struct Row {
    id: i64,
    at: At,
    by: String,
    person: Option<PersonId>,
    job: Option<JobId>,
    change: Change,
    subject: String,
    before: Option<String>,
    after: Option<String>,
}

impl TryFrom<Row> for Line {
    type Error = Error;

    fn try_from(row: Row) -> Result<Self> {
        let read = |text: Option<String>| text.map(|text| serde_json::from_str(&text)).transpose();
        Ok(Self {
            id: row.id,
            at: row.at.0,
            by: row.by,
            person: row.person,
            job: row.job,
            change: row.change,
            subject: row.subject,
            before: read(row.before)?,
            after: read(row.after)?,
        })
    }
}
