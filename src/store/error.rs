//! What can go wrong in the store, in words that a page or the command line may show.

use std::path::PathBuf;

use serde_json::Value;
use thiserror::Error;
use uuid::Uuid;

use super::column::Version;
use crate::job::fault::PlanFault;
use crate::job::subject::Subject;

/// What a function of the store gives back.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// What the store answers where it cannot do what it was asked.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Error {
    /// Nothing of that id.
    #[error("there is no {0}")]
    NotFound(String),
    /// Somebody else changed it since the form was opened.
    #[error("{} was changed by somebody else in the meantime", .0.subject)]
    Stale(Box<Stale>),
    /// Somebody else removed it since the form was opened.
    #[error("{} '{}' was removed by somebody else in the meantime", .0.kind.word(), .0.id)]
    Gone(Subject),
    /// Fields that hold what does not go, each with its path in a form or a job file.
    #[error("{}", faulty(.0))]
    Faults(Vec<PlanFault>),
    /// It cannot go while others name it.
    #[error("{subject} is still used by {}", listed(.by))]
    InUse {
        /// What was to be removed.
        subject: Subject,
        /// What still refers to it.
        by: Vec<Subject>,
    },
    /// The job itself is not there: everything else that is referred to is looked up first, by name.
    #[error("there is no such job")]
    NoSuchJob,
    /// A record that was stored before with the same id, by somebody else or with other content.
    #[error("the record {0} is stored already and says something else")]
    RecordDiffers(Uuid),
    /// A document of the database that this program cannot read.
    #[error("{what} cannot be read: {problem}")]
    Unreadable {
        /// Which one.
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
    /// Another program holds the data folder.
    #[error("{0} is in use by another driploop: stop it first")]
    FolderInUse(PathBuf),
    /// Somebody set the shop up already.
    #[error("this shop is set up already: sign in")]
    SetUpAlready,
    /// No manager would be left.
    #[error("this is the shop's last manager: make somebody else a manager first")]
    LastManager,
    /// A hash or a token could not be made.
    #[error("no hash could be made: {0}")]
    Hash(Box<dyn std::error::Error + Send + Sync>),
    /// A restore broke off half way, so that what is in the folder is neither the old nor the new.
    #[error(
        "a restore into {0} broke off: run it again, or move what is in its newest 'before-restore' folder back \
         and delete 'restore.part'"
    )]
    RestoreInterrupted(PathBuf),
    /// A backup, or what a backup was made of, is not sound.
    #[error("{path} {problem}")]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong, as the end of a sentence that begins with the file.
        problem: String,
    },
    /// A file or folder could not be used.
    #[error("{path}: {source}")]
    File {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A value could not be written as JSON.
    #[error("a document could not be written: {0}")]
    Json(#[from] serde_json::Error),
    /// The schema could not be brought up to date.
    #[error("the schema could not be brought up to date: {0}")]
    Migrate(#[from] sqlx::migrate::MigrateError),
    /// SQLite said no; not for showing to people.
    #[error("the database failed: {0}")]
    Database(#[source] sqlx::Error),
}

/// What is there now, in answer to a save that started from an older version.
#[derive(Debug, Clone, PartialEq)]
pub struct Stale {
    /// What was to be saved, by kind and id: `circuit/C01`.
    pub subject: String,
    /// The version that is there now.
    pub version: Version,
    /// Its content, by the field names of the job file.
    pub theirs: Value,
}

impl Error {
    /// One field that holds what does not go.
    pub fn field(path: &str, text: impl Into<String>) -> Self {
        Self::Faults(vec![PlanFault::new(path, text)])
    }

    /// A field that names something this job does not have.
    pub(super) fn dangling(field: &str, subject: &Subject) -> Self {
        let expected = format!("the id of a {} of this job", subject.kind.word());
        Self::Faults(vec![PlanFault::expected(field, &subject.id, expected)])
    }

    /// Nothing by that subject.
    pub fn not_found(subject: &Subject) -> Self {
        Self::NotFound(format!("{} '{}' in this job", subject.kind.word(), subject.id))
    }

    /// A file or folder that could not be used.
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

/// What follows 'constraint failed: ' when SQLite refuses a row: the name of a check, or the columns of a
/// key that is taken, with the field it shows at and what was expected.
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
