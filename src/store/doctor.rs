//! Examines a data folder for damage and changes nothing in it.

use std::path::{Path, PathBuf};

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection, Row, SqliteConnection};
use uuid::Uuid;

use super::column::JobId;
use super::error::{Error, Result};
use super::folder::{Folder, private_dir};
use super::pool::known_schema;
use super::pool::schema_of;
use super::{file, manifest, photos};

/// The result of an examination of a data folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoctorReport {
    /// The schema of the database.
    pub schema: i64,
    /// The newest schema this program knows.
    pub known: i64,
    /// Damage that SQLite's own check of the file reports.
    pub broken: Vec<String>,
    /// Rows that refer to rows that do not exist.
    pub dangling: Vec<String>,
    /// Jobs that cannot be written as a valid job file, with everything that is wrong.
    pub unreadable: Vec<(JobId, String)>,
    /// Photo files that no row names.
    pub orphaned_photos: Vec<PathBuf>,
    /// Missing photo files that a row names.
    pub missing_photos: Vec<PathBuf>,
    /// Whether a restore was interrupted.
    pub interrupted_restore: bool,
}

impl DoctorReport {
    /// Whether nothing needs repair. Orphaned photos only cost space.
    pub fn is_well(&self) -> bool {
        self.schema == self.known
            && self.broken.is_empty()
            && self.dangling.is_empty()
            && self.unreadable.is_empty()
            && self.missing_photos.is_empty()
            && !self.interrupted_restore
    }
}

/// Examines a data folder. It may be in use, or on a medium that cannot be written.
pub async fn examine(folder: &Path) -> Result<DoctorReport> {
    let folder = Folder::of_backup(folder);
    if !folder.database().exists() {
        // A restore that stopped between the previous database and the new one is the reason to tell.
        folder.refuse_interrupted_restore()?;
    }
    let Examined { mut conn, _copy } = Examined::open(&folder).await?;
    let schema = schema_of(&mut conn).await?;
    // In another schema, jobs and photos are not in the tables that this program reads.
    let current = schema == known_schema();
    let named = if current { photos::named(&mut conn).await? } else { Vec::new() };
    let kept = match folder.photos() {
        photos if photos.exists() => manifest::files_under(&photos)?,
        _ => Vec::new(),
    };
    let report = DoctorReport {
        schema,
        known: known_schema(),
        broken: broken(&mut conn).await?,
        dangling: dangling(&mut conn).await?,
        unreadable: if current { unreadable(&mut conn).await? } else { Vec::new() },
        orphaned_photos: kept.iter().filter(|file| current && !named.contains(file)).cloned().collect(),
        missing_photos: named.iter().filter(|file| !kept.contains(file)).cloned().collect(),
        interrupted_restore: folder.refuse_interrupted_restore().is_err(),
    };
    conn.close().await?;
    Ok(report)
}

/// Refuses a damaged database file that nobody writes to, such as that of a backup.
pub(super) async fn prove(database: &Path) -> Result<()> {
    let damaged = |problem: String| Error::Damaged { path: database.to_owned(), problem };
    let mut conn = read_only(database, true).await.map_err(|error| damaged(error.to_string()))?;
    let (found, known) =
        (schema_of(&mut conn).await.map_err(|error| damaged(error.to_string()))?, known_schema());
    if found > known {
        return Err(Error::NewerSchema { found, known });
    }
    let mut problems = broken(&mut conn).await.map_err(|error| damaged(error.to_string()))?;
    problems.extend(dangling(&mut conn).await.map_err(|error| damaged(error.to_string()))?);
    conn.close().await?;
    if problems.is_empty() { Ok(()) } else { Err(damaged(problems.join("; "))) }
}

/// Opens a database for reading only. `still` promises that nobody writes to it. Then SQLite does not even create
/// its helper files beside it.
async fn read_only(database: &Path, still: bool) -> Result<SqliteConnection> {
    if !database.exists() {
        return Err(Error::file(database, std::io::ErrorKind::NotFound.into()));
    }
    let options = SqliteConnectOptions::new().filename(database).read_only(true).immutable(still);
    Ok(options.connect().await?)
}

/// The database that is examined.
struct Examined {
    conn: SqliteConnection,
    _copy: Option<Copy>,
}

impl Examined {
    /// Opens the database. SQLite reads one with a write-ahead log only where it can make its helper files. In a folder
    /// that cannot be written a copy is examined instead.
    async fn open(folder: &Folder) -> Result<Self> {
        let mut conn = read_only(&folder.database(), false).await?;
        match schema_of(&mut conn).await {
            Err(Error::Database(error)) if cannot_open(&error) => {}
            other => return other.map(|_| Self { conn, _copy: None }),
        }
        let copy = Copy::of(folder)?;
        Ok(Self { conn: read_only(&copy.0.database(), false).await?, _copy: Some(copy) })
    }
}

/// Whether SQLite could not open a file: its code 14, SQLITE_CANTOPEN.
fn cannot_open(error: &sqlx::Error) -> bool {
    error.as_database_error().and_then(|error| error.code()).is_some_and(|code| code == "14")
}

/// A copy of a database among the temporary files of the system. It is removed when it is dropped.
struct Copy(Folder);

impl Copy {
    fn of(folder: &Folder) -> Result<Self> {
        let root = std::env::temp_dir().join(format!("driploop-doctor-{}", Uuid::new_v4()));
        private_dir(&root).map_err(|error| Error::file(&root, error))?;
        let copy = Self(Folder::of_backup(&root));
        for (from, to) in folder.database_files().iter().zip(copy.0.database_files()) {
            // The index of the write-ahead log is made again by whoever opens it.
            if from.exists() && !to.to_string_lossy().ends_with("-shm") {
                manifest::copy(from, &to)?;
            }
        }
        Ok(copy)
    }
}

impl Drop for Copy {
    fn drop(&mut self) {
        // If it cannot be removed, the system removes it with its other temporary files.
        let _ = std::fs::remove_dir_all(self.0.root());
    }
}

/// Damage in the file. An undamaged file gives a single row that says so.
async fn broken(conn: &mut SqliteConnection) -> Result<Vec<String>> {
    let lines: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check(20)").fetch_all(conn).await?;
    Ok(lines.into_iter().filter(|line| line != "ok").collect())
}

/// Rows that refer to rows that do not exist.
async fn dangling(conn: &mut SqliteConnection) -> Result<Vec<String>> {
    let rows = sqlx::query("PRAGMA foreign_key_check").fetch_all(conn).await?;
    let told = rows.iter().map(|row| {
        let (table, parent): (String, String) = (row.try_get("table")?, row.try_get("parent")?);
        Ok(format!("a row of {table} refers to a row of {parent} that is not there"))
    });
    told.collect()
}

/// Jobs whose rows no longer make a valid job.
async fn unreadable(conn: &mut SqliteConnection) -> Result<Vec<(JobId, String)>> {
    let jobs = sqlx::query_scalar!(r#"SELECT id AS "id: JobId" FROM job ORDER BY id"#);
    let mut found = Vec::new();
    for job in jobs.fetch_all(&mut *conn).await? {
        match file::export(conn, job).await {
            Ok(file) => found.extend(file.faults().iter().map(|fault| (job, fault.to_string()))),
            Err(error) => found.push((job, error.to_string())),
        }
    }
    Ok(found)
}
