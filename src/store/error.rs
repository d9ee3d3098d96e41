//! What can go wrong in the store, in words that a page or the command line may show.

use std::path::PathBuf;

use serde_json::Value;
use thiserror::Error;
use uuid::Uuid;

use super::column::Version;
use crate::job::fault::PlanFault;
use crate::job::subject::Subject;

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
    /// An event that was stored before with the same id and other content.
    #[error("the event {0} is stored already and says something else")]
    EventDiffers(Uuid),
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
    #[error("this is the shop's last manager: make somebody else an manager first")]
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
    /// A value could not be written as JSON for the log.
    #[error("the log line could not be written: {0}")]
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
    ("jobs_manager_named", "manager.name", "missing: a contact belongs to somebody"),
    ("places.job, places.id", "id", "taken by another place of this job"),
    ("raceways.job, raceways.id", "id", "taken by another raceway of this job"),
    ("raceways_join_two_places", "between", "expected two different places"),
    ("points.job, points.id", "id", "taken by another point of this job"),
    (
        "points_source_has_voltage",
        "open_circuit_v",
        "goes with a battery or charger, and with no other point",
    ),
    ("points_only_sources_resist", "internal_mohm", "goes with a battery or charger only"),
    ("points_only_batteries_store", "capacity_ah", "goes with a battery only"),
    ("points_only_engines_crank", "starter_a", "goes with a charger only"),
    ("points_only_batteries_weigh", "peukert", "goes with a battery only"),
    ("points_only_batteries_have_a_floor", "floor_pct", "goes with a battery only"),
    ("points_only_batteries_run_low", "low_v", "goes with a battery only"),
    ("points_only_alternators_have_a_curve", "curve", "goes with a charger only"),
    ("points_battery_has_no_rating", "rating_a", "does not go with a battery"),
    ("points_counted_positions", "positions", "does not go with this kind of point"),
    ("panel_positions_from_1", "positions", "expected positions counted from 1"),
    ("feeders.job, feeders.id", "id", "taken by another feeder of this job"),
    ("feeders_protection_whole", "protection.kind", "missing: the protection's figures need its kind"),
    ("devices.job, devices.id", "id", "taken by another device of this job"),
    ("devices_load_whole", "load", "expected a kind with its figure"),
    ("devices_inrush_whole", "inrush", "expected a current and a time"),
    ("circuits.job, circuits.id", "id", "taken by another circuit of this job"),
    ("circuits_switch_whole", "switch", "expected a panel and a position"),
    ("circuits_protection_whole", "protection.kind", "missing: the protection's figures need its kind"),
    (
        "circuit_devices.job, circuit_devices.circuit, circuit_devices.device",
        "devices",
        "expected each device once on a circuit",
    ),
    ("modes.job, modes.id", "id", "taken by another mode of this job"),
    (
        "mode_circuits.job, mode_circuits.mode, mode_circuits.circuit",
        "on",
        "expected each circuit once in a mode",
    ),
    ("ticks_not_needed_has_reason", "reason", "missing: a step not needed has a reason"),
    ("step_readings_say_something", "ohm", "missing, and so are the volts: expected a figure or a note"),
    ("repairs_say_what", "found", "missing: expected what was found and what was done"),
    ("readings_say_something", "source_v", "missing, and so are the others: expected a figure or a note"),
    ("releases_have_reason", "reason", "missing: say why the gate may be passed"),
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
        let field = broken_rule("UNIQUE constraint failed: places.job, places.id").unwrap();
        assert_eq!(field.to_string(), "id: taken by another place of this job");
        let field = broken_rule("CHECK constraint failed: releases_have_reason").unwrap();
        assert_eq!(field.path, "reason");
        assert_eq!(broken_rule("FOREIGN KEY constraint failed"), None);
    }
}
