//! The log: who did what and when.
//!
//! The log of a job contains its changes, its records and other lines in one order: all three take their numbers
//! from the job. Other files of this folder write the other lines, each in the transaction of the logged event.

use jiff::Timestamp;
use serde::Serialize;
use serde_json::Value;
use sqlx::SqliteConnection;

use super::column::{At, ClientId, JobId, PersonId, from_word, word};
use super::document::{self, Stored};
use super::error::{Error, Result};
use super::job_state;
use super::pool::Write;
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::job_state::JobState;

/// The kind of change in a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// An item was added.
    Added,
    /// An item was changed.
    Changed,
    /// An item was removed.
    Removed,
    /// A whole job was imported from a job file.
    Imported,
    /// A job was closed.
    Closed,
    /// A job was put aside.
    PutAside,
    /// A job that was closed or put aside was reopened.
    Reopened,
    /// A job was granted to a viewer.
    Granted,
    /// The grant of a job to a viewer was ended.
    GrantEnded,
    /// A step was marked.
    Ticked,
    /// A reading was taken.
    Measured,
    /// A photo was added or removed.
    Photographed,
    /// A fault was found and repaired.
    Repaired,
    /// Something was found: an open item.
    Found,
    /// An open item was closed.
    Settled,
    /// A reading, a pull or another record was withdrawn.
    Withdrawn,
    /// A hold point was released.
    Released,
    /// Somebody signed in with a passphrase.
    SignedIn,
    /// Somebody set a new passphrase of their own, with the old one.
    PassphraseSet,
    /// A manager set a new passphrase for somebody.
    PassphraseReset,
    /// Somebody gave the passphrase on a device that they had switched to with a PIN.
    PassphraseGiven,
    /// Somebody switched the user of a device with a PIN.
    Switched,
    /// A device was signed out, by its user or from another device.
    SignedOut,
}

/// One line of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct LogLine {
    /// Its number: later lines have higher numbers. All items of one change have the same line number.
    pub id: i64,
    /// When, by the server's clock.
    pub at: Timestamp,
    /// The name of who did it, as it was then.
    pub by: String,
    /// Who did it, if it was a person of this shop.
    pub person: Option<PersonId>,
    /// The job; `None` for the shop itself.
    pub job: Option<JobId>,
    /// What was done.
    pub change: Change,
    /// The subject: `circuit/C01`, `person/Ana`.
    pub subject: String,
    /// The state before, by the field names of the job file.
    pub before: Option<Value>,
    /// The state after.
    pub after: Option<Value>,
    /// The number of the change, if it is a change of the plan.
    pub no: Option<i64>,
    /// The number of the change that it undoes.
    pub undoes: Option<i64>,
}

/// The revision of a job's plan, as shown on drawings.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Edition {
    /// Number of the last change of the plan, counted from 1.
    pub number: i64,
    /// When it was made.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
}

impl Edition {
    /// The number of a plan's revision; 0 before the first change.
    pub fn number_of(edition: Option<&Self>) -> i64 {
        edition.map_or(0, |edition| edition.number)
    }
}

/// The lines of one job, newest first: those of at most `most` events older than line `older_than`. A change has
/// one line for each item it touched.
pub async fn of_job(
    conn: &mut SqliteConnection,
    job: JobId,
    older_than: Option<i64>,
    most: u32,
) -> Result<Vec<LogLine>> {
    let told = told(conn, job, older_than, most).await?;
    let (Some(newest), Some(oldest)) = (told.first(), told.last()) else { return Ok(Vec::new()) };
    let mut items = items(conn, job, oldest.line, newest.line).await?;
    let lines = told.into_iter().map(|told| match told.source.as_str() {
        "change" => {
            let own = items.extract_if(.., |item| item.line == told.line).collect();
            told.of_change(job, own)
        }
        "record" => told.of_record(job).map(|line| vec![line]),
        _ => told.of_log(job).map(|line| vec![line]),
    });
    Ok(lines.collect::<Result<Vec<_>>>()?.concat())
}

/// The data of one event of a job, from its own table.
struct Told {
    line: i64,
    source: String,
    at: At,
    by: String,
    person: Option<PersonId>,
    /// The kind of a change, a line or a record.
    word: String,
    no: Option<i64>,
    undoes: Option<i64>,
    subject: Option<String>,
    before: Option<String>,
    after: Option<String>,
    format: Option<u32>,
    record: Option<ClientId>,
    done_at: Option<At>,
}

async fn told(
    conn: &mut SqliteConnection,
    job: JobId,
    older_than: Option<i64>,
    most: u32,
) -> Result<Vec<Told>> {
    let rows = sqlx::query_as!(
        Told,
        r#"SELECT line AS "line!: i64", 'change' AS "source!: String", at AS "at!: At", "by" AS "by!: String",
                  person AS "person: PersonId", act AS "word!: String", no AS "no: i64", undoes AS "undoes: i64",
                  NULL AS "subject: String", NULL AS "before: String", NULL AS "after: String",
                  NULL AS "format: u32", NULL AS "record: ClientId", NULL AS "done_at: At"
           FROM change WHERE job = ?1 AND (?2 IS NULL OR line < ?2)
           UNION ALL
           SELECT line, 'record', received_at, "by", person, kind, NULL, NULL, subject, NULL, body, format, id, at
           FROM record WHERE job = ?1 AND line IS NOT NULL AND (?2 IS NULL OR line < ?2)
           UNION ALL
           SELECT line, 'log', at, "by", person, act, NULL, NULL, subject, before, after, NULL, NULL, NULL
           FROM log WHERE job = ?1 AND (?2 IS NULL OR line < ?2)
           ORDER BY 1 DESC LIMIT ?3"#,
        job,
        older_than,
        most
    );
    Ok(rows.fetch_all(conn).await?)
}

/// What a change did to one item.
struct Touched {
    line: i64,
    kind: String,
    id: String,
    before: Option<String>,
    after: Option<String>,
    format: u32,
}

/// The items that the changes between two lines touched, without whole jobs imported from a file.
async fn items(conn: &mut SqliteConnection, job: JobId, oldest: i64, newest: i64) -> Result<Vec<Touched>> {
    let rows = sqlx::query_as!(
        Touched,
        r#"SELECT change.line, kind, id, before, after, format AS "format: u32"
           FROM change JOIN item_change ON item_change.job = change.job AND item_change.no = change.no
           WHERE change.job = ? AND change.line BETWEEN ? AND ? AND act <> 'import' ORDER BY seq"#,
        job,
        oldest,
        newest
    );
    Ok(rows.fetch_all(conn).await?)
}

impl Told {
    /// The lines of a change: one for each item. Head, boat and customer together are one item, the job.
    fn of_change(self, job: JobId, touched: Vec<Touched>) -> Result<Vec<LogLine>> {
        let (of_job, of_items): (Vec<_>, Vec<_>) =
            touched.into_iter().partition(|item| matches!(item.kind.as_str(), "job" | "boat"));
        let mut lines = Vec::with_capacity(of_items.len() + 1);
        if !of_job.is_empty() || of_items.is_empty() {
            let change = match self.word.as_str() {
                "import" => Change::Imported,
                "create" => Change::Added,
                _ => Change::Changed,
            };
            let content = |side: fn(&Touched) -> Option<&String>| {
                let fields =
                    of_job.iter().filter_map(|item| Some((item, side(item)?))).map(|(item, body)| {
                        Ok((item.kind.clone(), document::of_item(&item.kind, item.format, body)?))
                    });
                let fields = fields.collect::<Result<serde_json::Map<_, _>>>()?;
                Ok::<_, Error>((!fields.is_empty()).then_some(Value::Object(fields)))
            };
            let (before, after) =
                (content(|item| item.before.as_ref())?, content(|item| item.after.as_ref())?);
            lines.push(self.line(job, change, subject_of(job), before, after));
        }
        for item in of_items {
            let change = match (&item.before, &item.after) {
                (None, _) => Change::Added,
                (_, None) => Change::Removed,
                _ => Change::Changed,
            };
            let read = |body: Option<&String>| {
                body.map(|body| document::of_item(&item.kind, item.format, body)).transpose()
            };
            let (before, after) = (read(item.before.as_ref())?, read(item.after.as_ref())?);
            lines.push(self.line(job, change, format!("{}/{}", item.kind, item.id), before, after));
        }
        Ok(lines)
    }

    fn of_record(self, job: JobId) -> Result<LogLine> {
        let change = match self.word.as_str() {
            "tick" => Change::Ticked,
            "repair" => Change::Repaired,
            "open-item" => Change::Found,
            "closing" => Change::Settled,
            "release" | "judgment" | "confirmation" => Change::Released,
            "withdrawal" => Change::Withdrawn,
            _ => Change::Measured,
        };
        let (Some(id), Some(at), Some(body), Some(format)) =
            (self.record, self.done_at, self.after.clone(), self.format)
        else {
            return self.of_log(job);
        };
        let stored =
            Stored { kind: self.word.clone(), id: id.0, by: self.by.clone(), at: at.0, body, format };
        let after = stored.whole()?;
        let subject = self.subject.clone().unwrap_or_default();
        Ok(self.line(job, change, subject, None, Some(after)))
    }

    fn of_log(self, job: JobId) -> Result<LogLine> {
        let read = |text: &Option<String>| text.as_deref().map(serde_json::from_str).transpose();
        let (before, after) = (read(&self.before)?, read(&self.after)?);
        let change = from_word(&self.word).map_err(sqlx::Error::Decode)?;
        let subject = self.subject.clone().unwrap_or_default();
        Ok(self.line(job, change, subject, before, after))
    }

    fn line(
        &self,
        job: JobId,
        change: Change,
        subject: String,
        before: Option<Value>,
        after: Option<Value>,
    ) -> LogLine {
        LogLine {
            id: self.line,
            at: self.at.0,
            by: self.by.clone(),
            person: self.person,
            job: Some(job),
            change,
            subject,
            before,
            after,
            no: self.no,
            undoes: self.undoes,
        }
    }
}

/// The revision of a job's plan: its last change.
pub async fn edition(conn: &mut SqliteConnection, job: JobId) -> Result<Option<Edition>> {
    let last = sqlx::query_scalar!("SELECT change_no FROM job WHERE id = ?", job);
    match last.fetch_optional(&mut *conn).await? {
        Some(no) => made(conn, job, no).await,
        None => Ok(None),
    }
}

/// A change of a job's plan by its number.
pub async fn made(conn: &mut SqliteConnection, job: JobId, no: i64) -> Result<Option<Edition>> {
    let row = sqlx::query!(r#"SELECT at AS "at: At", "by" FROM change WHERE job = ? AND no = ?"#, job, no)
        .map(|row| Edition { number: no, at: row.at.0, by: row.by });
    Ok(row.fetch_optional(conn).await?)
}

/// The lines about the shop itself, such as its people, newest first.
pub async fn of_shop(
    conn: &mut SqliteConnection,
    older_than: Option<i64>,
    most: u32,
) -> Result<Vec<LogLine>> {
    let rows = sqlx::query!(
        r#"SELECT id, at AS "at: At", "by", person AS "person: PersonId", act, subject, before, after
           FROM log WHERE job IS NULL AND (?1 IS NULL OR id < ?1) ORDER BY id DESC LIMIT ?2"#,
        older_than,
        most
    )
    .fetch_all(conn)
    .await?;
    let read = |text: Option<String>| text.map(|text| serde_json::from_str(&text)).transpose();
    let lines = rows.into_iter().map(|row| {
        Ok(LogLine {
            id: row.id,
            at: row.at.0,
            by: row.by,
            person: row.person,
            job: None,
            change: from_word(&row.act).map_err(sqlx::Error::Decode)?,
            subject: row.subject,
            before: read(row.before)?,
            after: read(row.after)?,
            no: None,
            undoes: None,
        })
    });
    lines.collect()
}

/// The subject of a job in the log.
pub(super) fn subject_of(job: JobId) -> String {
    Subject::new(SubjectKind::Job, job).to_string()
}

impl Change {
    /// Whether it is possible on a job that is not open: it is about the job as a whole and no work on it.
    fn is_about_the_whole_job(self) -> bool {
        matches!(self, Self::Closed | Self::PutAside | Self::Reopened | Self::Granted | Self::GrantEnded)
    }
}

/// The next number in the log of a job, for work on it. Every change of a plan, every record and every photo takes
/// one, so no work is stored on a job that is not open.
///
/// # Errors
///
/// [`Error::NotOpen`].
pub(super) async fn next_work_line(conn: &mut SqliteConnection, job: JobId) -> Result<i64> {
    match job_state::of(conn, job).await?.ok_or(Error::NoSuchJob)? {
        JobState::Open => next_line(conn, job).await,
        state => Err(Error::NotOpen(state)),
    }
}

/// The next number in the log of a job.
async fn next_line(conn: &mut SqliteConnection, job: JobId) -> Result<i64> {
    let line =
        sqlx::query_scalar!("UPDATE job SET line_no = line_no + 1 WHERE id = ? RETURNING line_no", job);
    line.fetch_optional(conn).await?.ok_or(Error::NoSuchJob)
}

/// Writes a line.
pub(super) async fn line<B: Serialize, A: Serialize>(
    write: &mut Write,
    job: Option<JobId>,
    change: Change,
    subject: &str,
    before: Option<&B>,
    after: Option<&A>,
) -> Result<()> {
    let line = match job {
        Some(job) if change.is_about_the_whole_job() => Some(next_line(write, job).await?),
        Some(job) => Some(next_work_line(write, job).await?),
        None => None,
    };
    let (at, by, person) = (At(write.now()), write.actor().name.clone(), write.actor().person);
    let act = word(&change).map_err(sqlx::Error::Encode)?;
    let before = before.map(serde_json::to_string).transpose()?;
    let after = after.map(serde_json::to_string).transpose()?;
    sqlx::query!(
        r#"INSERT INTO log (at, "by", person, job, line, act, subject, before, after)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"#,
        at,
        by,
        person,
        job,
        line,
        act,
        subject,
        before,
        after
    )
    .execute(&mut **write)
    .await?;
    Ok(())
}
