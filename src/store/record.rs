//! Records of the work on a job: ticks, readings, releases and other data that is added once and never changed.
//! All kinds are documents in one table. [`Record`] defines what makes a record of each kind complete.

use std::collections::HashMap;

use jiff::Timestamp;
use serde_json::Value;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::column::{At, ClientId, JobId, PersonId};
use super::document::{OWN_COLUMNS, Stored};
use super::error::{Error, Result};
use super::log;
use super::pool::Write;
use super::row;
use crate::job::event::History;
use crate::job::record::{self, Record, RecordVisitor};
use crate::job::upgrade::FORMAT;
use crate::shop::access::Scope;

/// Stores a record and returns whether it is new. A record that is sent twice is stored once. Two records are the
/// same if sender, kind, subject and content are equal, regardless of the times.
///
/// # Errors
///
/// [`Error::RecordDiffers`] if another record has the id. [`Error::Faults`] for missing data in the record, and
/// for an item it names that the plan does not have.
pub async fn add<R: Record>(write: &mut Write, job: JobId, record: &R) -> Result<bool> {
    if is_known(write, job, record).await? {
        return Ok(false);
    }
    let (new, person) = (New::of(job, record)?, write.actor().person);
    if let Some(fault) = record.fault() {
        return Err(Error::Faults(vec![fault]));
    }
    for (field, subject) in record.names() {
        if row::one(write, job, subject.kind.word(), &subject.id).await?.is_none() {
            return Err(Error::dangling(field, &subject));
        }
    }
    let line = log::next_work_line(write, job).await?;
    let from = From { line: Some(line), person, received_at: write.now() };
    insert(write, job, &new, from).await?;
    Ok(true)
}

/// Whether the same record is stored already.
///
/// # Errors
///
/// [`Error::RecordDiffers`] if another record has the id.
pub(super) async fn is_known<R: Record>(write: &mut Write, job: JobId, record: &R) -> Result<bool> {
    let new = New::of(job, record)?;
    let person = write.actor().person;
    match known(write, job, new.id).await? {
        None => Ok(false),
        Some(known) if known.is(&new, person)? => Ok(true),
        Some(_) => Err(Error::RecordDiffers(new.id)),
    }
}

/// All records of one kind of a job, in the order they arrived.
pub async fn all<R: Record>(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<R>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: ClientId", "by", at AS "at: At", body, format AS "format: u32"
           FROM record WHERE job = ? AND kind = ? ORDER BY no"#,
        job,
        R::KIND
    )
    .map(|row| Stored {
        kind: R::KIND.to_owned(),
        id: row.id.0,
        by: row.by,
        at: row.at.0,
        body: row.body,
        format: row.format,
    });
    rows.fetch_all(conn).await?.iter().map(read).collect()
}

/// The open jobs of a scope that a person recorded work on, the latest first.
pub async fn jobs_of(
    conn: &mut SqliteConnection,
    person: PersonId,
    scope: &Scope<JobId>,
    most: u32,
) -> Result<Vec<JobId>> {
    let only = match scope {
        Scope::All => None,
        Scope::Only(jobs) => Some(serde_json::to_string(jobs)?),
    };
    let jobs = sqlx::query_scalar!(
        r#"SELECT record.job AS "job!: JobId" FROM record JOIN job ON job.id = record.job
           WHERE record.person = ?1 AND job.state = 'open'
             AND (?2 IS NULL OR job.id IN (SELECT value FROM json_each(?2)))
           GROUP BY record.job ORDER BY max(record.received_at) DESC LIMIT ?3"#,
        person,
        only,
        most
    );
    Ok(jobs.fetch_all(conn).await?)
}

/// Everything that happened on one job, each kind in the order it arrived.
pub async fn history(conn: &mut SqliteConnection, job: JobId) -> Result<History> {
    let rows = sqlx::query!(
        r#"SELECT kind, id AS "id: ClientId", "by", at AS "at: At", body, format AS "format: u32",
                  origin = 'imported' AS "imported: bool"
           FROM record WHERE job = ? ORDER BY no"#,
        job
    )
    .map(|row| {
        let stored = Stored {
            kind: row.kind,
            id: row.id.0,
            by: row.by,
            at: row.at.0,
            body: row.body,
            format: row.format,
        };
        (stored, row.imported)
    });
    let rows = rows.fetch_all(conn).await?;
    let imported = rows.iter().filter(|(_, imported)| *imported).map(|(row, _)| row.id).collect();
    let rows: Vec<Stored> = rows.into_iter().map(|(row, _)| row).collect();
    let history = History { imported, ..History::default() };
    let mut fill = Fill { rows: &rows, history, problem: None };
    record::visit(&mut fill);
    match fill.problem {
        Some(problem) => Err(problem),
        None => Ok(fill.history),
    }
}

/// Stores the records of an imported job, with their original authors and without lines in the log.
///
/// The plan may no longer have their subjects. The records are stored anyway, because the work was done.
pub(super) async fn import(write: &mut Write, job: JobId, history: &History) -> Result<()> {
    for new in all_of(job, history)? {
        let from = From { line: None, person: None, received_at: write.now() };
        import_one(write, job, &new, from).await?;
    }
    Ok(())
}

/// Stores records that people of this shop made, in the order in which they were made. Records of anybody else are
/// imported.
pub(super) async fn import_own(
    write: &mut Write,
    job: JobId,
    history: &History,
    people: &HashMap<String, PersonId>,
) -> Result<()> {
    let mut records = all_of(job, history)?;
    records.sort_by_key(|new| new.at);
    for new in records {
        let from = match people.get(&new.by) {
            Some(person) => From {
                line: Some(log::next_work_line(write, job).await?),
                person: Some(*person),
                received_at: new.at,
            },
            None => From { line: None, person: None, received_at: write.now() },
        };
        import_one(write, job, &new, from).await?;
    }
    Ok(())
}

fn all_of(job: JobId, history: &History) -> Result<Vec<New>> {
    let mut list = List { job, history, records: Vec::new() };
    record::visit(&mut list);
    list.records.into_iter().collect()
}

async fn import_one(write: &mut Write, job: JobId, new: &New, from: From) -> Result<()> {
    if known(write, job, new.id).await?.is_some() {
        return Err(Error::RecordDiffers(new.id));
    }
    insert(write, job, new, from).await
}

/// A record that will be stored.
struct New {
    kind: &'static str,
    id: Uuid,
    by: String,
    at: Timestamp,
    subject: String,
    step: Option<String>,
    body: Value,
}

impl New {
    fn of<R: Record>(job: JobId, record: &R) -> Result<Self> {
        let mut body = serde_json::to_value(record)?;
        if let Some(fields) = body.as_object_mut() {
            fields.retain(|field, _| !OWN_COLUMNS.contains(&field.as_str()));
        }
        Ok(Self {
            kind: R::KIND,
            id: record.id(),
            by: record.by().to_string(),
            at: record.at(),
            subject: record.subject().map_or_else(|| log::subject_of(job), |subject| subject.to_string()),
            step: record.step().map(ToString::to_string),
            body,
        })
    }
}

/// A record that is already stored.
struct Known {
    stored: Stored,
    subject: String,
    person: Option<PersonId>,
}

impl Known {
    /// Whether it is the same as one that is sent now. Names can change, so a person of this shop is compared by
    /// key.
    fn is(&self, new: &New, person: Option<PersonId>) -> Result<bool> {
        let same_sender = self.person == person && (person.is_some() || self.stored.by == new.by);
        let same_subject = (self.stored.kind.as_str(), &self.subject) == (new.kind, &new.subject);
        Ok(same_sender && same_subject && self.stored.rest()? == new.body)
    }
}

async fn known(conn: &mut SqliteConnection, job: JobId, id: Uuid) -> Result<Option<Known>> {
    let client = ClientId(id);
    let row = sqlx::query!(
        r#"SELECT kind, subject, person AS "person: PersonId", "by", at AS "at: At", body, format AS "format: u32"
           FROM record WHERE job = ? AND id = ?"#,
        job,
        client
    )
    .map(|row| Known {
        subject: row.subject,
        person: row.person,
        stored: Stored { kind: row.kind, id, by: row.by, at: row.at.0, body: row.body, format: row.format },
    });
    Ok(row.fetch_optional(conn).await?)
}

/// The origin of a record: this shop, with a line in the log and a person, or a job file.
struct From {
    line: Option<i64>,
    person: Option<PersonId>,
    received_at: Timestamp,
}

async fn insert(conn: &mut SqliteConnection, job: JobId, new: &New, from: From) -> Result<()> {
    let no =
        sqlx::query_scalar!("UPDATE job SET record_no = record_no + 1 WHERE id = ? RETURNING record_no", job);
    let no = no.fetch_optional(&mut *conn).await?.ok_or(Error::NoSuchJob)?;
    let (id, at, received_at) = (ClientId(new.id), At(new.at), At(from.received_at));
    let origin = if from.line.is_some() { "here" } else { "imported" };
    let body = serde_json::to_string(&new.body)?;
    sqlx::query!(
        r#"INSERT INTO record (job, no, line, id, kind, subject, step, at, received_at, "by", person, origin,
                               body, format)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"#,
        job,
        no,
        from.line,
        id,
        new.kind,
        new.subject,
        new.step,
        at,
        received_at,
        new.by,
        from.person,
        origin,
        body,
        FORMAT
    )
    .execute(conn)
    .await?;
    Ok(())
}

fn read<R: Record>(stored: &Stored) -> Result<R> {
    serde_json::from_value(stored.whole()?).map_err(|problem| Error::Unreadable {
        what: format!("the {} {}", stored.kind, stored.id),
        problem: problem.to_string(),
    })
}

/// Reads the records of each kind from the rows of all kinds.
struct Fill<'a> {
    rows: &'a [Stored],
    history: History,
    problem: Option<Error>,
}

impl RecordVisitor for Fill<'_> {
    fn visit<R: Record>(&mut self) {
        match self.rows.iter().filter(|row| row.kind == R::KIND).map(read).collect() {
            Ok(records) => *R::list_mut(&mut self.history) = records,
            Err(problem) => self.problem = self.problem.take().or(Some(problem)),
        }
    }
}

/// Lists the records of a history in the form to be stored.
struct List<'a> {
    job: JobId,
    history: &'a History,
    records: Vec<Result<New>>,
}

impl RecordVisitor for List<'_> {
    fn visit<R: Record>(&mut self) {
        self.records.extend(R::list(self.history).iter().map(|record| New::of(self.job, record)));
    }
}
