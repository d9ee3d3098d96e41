//! The errors of the store, with texts that a page or the command line may show.

use std::path::{Path, PathBuf};

use serde_json::Value;
use thiserror::Error;
use uuid::Uuid;

use super::column::Version;
use super::turns::Crowded;
use crate::job::fault::PlanFault;
use crate::job::subject::Subject;
use crate::shop::job_state::JobState;

/// The result of a function of the store.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Why the store cannot do a task.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Error {
    /// Nothing has that id.
    #[error("there is no {0}")]
    NotFound(String),
    /// Somebody else changed the item since the form was opened.
    #[error("{} was changed by somebody else in the meantime", .0.subject)]
    Stale(Box<Stale>),
    /// Somebody else removed the item since the form was opened.
    #[error("{} '{}' was removed by somebody else in the meantime", .0.kind.word(), .0.id)]
    Gone(Subject),
    /// Fields with invalid values, each with its path in a form or a job file.
    #[error("{}", faulty(.0))]
    Faults(Vec<PlanFault>),
    /// The item cannot be removed while others refer to it.
    #[error("{subject} is still used by {}", listed(.by))]
    InUse {
        /// The item to remove.
        subject: Subject,
        /// What still refers to it.
        by: Vec<Subject>,
    },
    /// The job does not exist. All other references are checked before, by name.
    #[error("there is no such job")]
    NoSuchJob,
    /// The job is closed or put aside, so no work on it is stored.
    #[error("this job is {}: reopen it first", .0.text())]
    NotOpen(JobState),
    /// A record with the same id is already stored, from somebody else or with other content.
    #[error("the record {0} is stored already and says something else")]
    RecordDiffers(Uuid),
    /// This program cannot read a document of the database.
    #[error("{what} cannot be read: {problem}")]
    Unreadable {
        /// The document.
        what: String,
        /// What is wrong with it.
        problem: String,
    },
    /// The database was written by a newer program.
    #[error(
        "this database has schema {found} and this program knows schemas up to {known}: \
         use the newer program, or restore a backup made by this one"
    )]
    NewerSchema {
        /// The schema found in the database.
        found: i64,
        /// The newest schema this program knows.
        known: i64,
    },
    /// Another program uses the data folder.
    #[error("{0} is in use by another driploop: stop it first")]
    FolderInUse(PathBuf),
    /// The shop is already set up.
    #[error("this shop is set up already: sign in")]
    SetUpAlready,
    /// The last manager would be lost.
    #[error("this is the shop's last manager: make somebody else a manager first")]
    LastManager,
    /// Too many wait for the same work.
    #[error(transparent)]
    Crowded(#[from] Crowded),
    /// Making a hash or a token failed.
    #[error("no hash could be made: {0}")]
    Hash(Box<dyn std::error::Error + Send + Sync>),
    /// A restore was interrupted.
    #[error("{}", interrupted(folder, *halfway))]
    RestoreInterrupted {
        /// The data folder.
        folder: PathBuf,
        /// Whether it had begun to replace the data, so that the folder has a mixture of old and new data.
        halfway: bool,
    },
    /// A backup, or the data that it was made from, is damaged.
    #[error("{path} {problem}")]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong, as the end of a sentence that begins with the file name.
        problem: String,
    },
    /// A file or folder could not be used.
    #[error("{path}: {source}")]
    File {
        /// The file or folder.
        path: PathBuf,
        /// The error of the system.
        source: std::io::Error,
    },
    /// Writing a value as JSON failed.
    #[error("a document could not be written: {0}")]
    Json(#[from] serde_json::Error),
    /// Updating the schema failed.
    #[error("the schema could not be brought up to date: {0}")]
    Migrate(#[from] sqlx::migrate::MigrateError),
    /// SQLite returned an error. Do not show it to users.
    #[error("the database failed: {0}")]
    Database(#[source] sqlx::Error),
}

/// The present state, returned for a save that started from an older version.
#[derive(Debug, Clone, PartialEq)]
pub struct Stale {
    /// The item to save, by kind and id: `circuit/C01`.
    pub subject: String,
    /// The present version.
    pub version: Version,
    /// Its present content, by the field names of the job file.
    pub theirs: Value,
}

/// What an interrupted restore left behind, and what to do.
fn interrupted(folder: &Path, halfway: bool) -> String {
    let folder = folder.display();
    if halfway {
        return format!(
            "a restore into {folder} stopped halfway: run it again. \
             The previous data is in its newest 'before-restore' folder"
        );
    }
    format!(
        "a restore into {folder} stopped before it replaced anything: run it again, \
         or delete 'restore.part' there to keep the present data"
    )
}

impl Error {
    /// An error for one field with an invalid value.
    pub fn field(path: &str, text: impl Into<String>) -> Self {
        Self::Faults(vec![PlanFault::new(path, text)])
    }

    /// An error for a field that refers to something the job does not have.
    pub(super) fn dangling(field: &str, subject: &Subject) -> Self {
        let expected = format!("the id of a {} of this job", subject.kind.word());
        Self::Faults(vec![PlanFault::expected(field, &subject.id, expected)])
    }

    /// An error for a subject that does not exist.
    pub fn not_found(subject: &Subject) -> Self {
        Self::NotFound(format!("{} '{}' in this job", subject.kind.word(), subject.id))
    }

    /// An error for a file or folder that could not be used.
    pub fn file(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        Self::File { path: path.into(), source }
    }
}

impl From<sqlx::Error> for Error {
    fn from(error: sqlx::Error) -> Self {
        let Some(database) = error.as_database_error() else { return Self::Database(error) };
        if database.is_foreign_key_violation() {
            return Self::NoSuchJob;
        }
        match broken_rule(database.message()) {
            Some(fault) => Self::Faults(vec![fault]),
            None => Self::Database(error),
        }
    }
}

/// The text after 'constraint failed: ' if SQLite refuses a row: the name of a check, or the columns of a key that
/// is already used. Each has the field that shows the error, and what was expected.
const RULES: &[(&str, &str, &str)] = &[
    ("shop_is_one", "name", "the shop exists already"),
    ("shop_units", "units", "expected 'us' or 'metric'"),
    ("shop_currency", "currency", "expected three capital letters such as USD"),
    ("people.name", "name", "taken by another person"),
    ("people_role", "role", "expected manager, technician, apprentice or viewer"),
    ("record_here_has_person", "by", "missing: expected a person of this shop"),
    ("record_body", "note", "too long: expected at most 64 KiB in all"),
    ("item_change_after", "id", "too large: expected at most 1 MiB in all"),
];

fn broken_rule(message: &str) -> Option<PlanFault> {
    let (_, rule) = message.split_once("constraint failed: ")?;
    let (_, field, problem) = RULES.iter().find(|(name, ..)| *name == rule)?;
    Some(PlanFault::new(*field, *problem))
}

fn faulty(faults: &[PlanFault]) -> String {
    faults.iter().map(PlanFault::to_string).collect::<Vec<_>>().join("; ")
}

fn listed(subjects: &[Subject]) -> String {
    subjects
        .iter()
        .map(|subject| format!("{} '{}'", subject.kind.word(), subject.id))
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_rule_names_its_field() {
        let field = broken_rule("UNIQUE constraint failed: people.name").unwrap();
        assert_eq!(field.to_string(), "name: taken by another person");
        let field = broken_rule("CHECK constraint failed: record_here_has_person").unwrap();
        assert_eq!(field.path, "by");
        assert_eq!(broken_rule("FOREIGN KEY constraint failed"), None);
    }
}
