//! What is wrong with a data folder, without changing anything in it.

use std::path::{Path, PathBuf};

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection, Row, SqliteConnection};

use super::column::JobId;
use super::error::{Error, Result};
use super::folder::Folder;
use super::pool::known_schema;
use super::pool::schema_of;
use super::{file, manifest, photos};

/// What a look at a data folder found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The schema of the database.
    pub schema: i64,
    /// The newest schema this program knows.
    pub known: i64,
    /// What SQLite's own check of the file says is broken.
    pub broken: Vec<String>,
    /// Rows that refer to rows that are not there.
    pub dangling: Vec<String>,
    /// Jobs that cannot be written as a job file that can be read again, with everything that is wrong.
    pub unreadable: Vec<(JobId, String)>,
    /// Photo files that no row names.
    pub orphaned_photos: Vec<PathBuf>,
    /// Photo files that a row names and that are not there.
    pub missing_photos: Vec<PathBuf>,
    /// A restore that broke off half way.
    pub interrupted_restore: bool,
}

impl Report {
    /// Whether nothing needs to be put right. Orphaned photos cost room and no more.
    pub fn is_well(&self) -> bool {
        self.schema == self.known
            && self.broken.is_empty()
            && self.dangling.is_empty()
            && self.unreadable.is_empty()
            && self.missing_photos.is_empty()
            && !self.interrupted_restore
    }
}

/// Looks a data folder over. It may be in use.
pub async fn examine(folder: &Path) -> Result<Report> {
    let folder = Folder::of_backup(folder);
    let mut conn = read_only(&folder.database(), false).await?;
    let schema = schema_of(&mut conn).await?;
    // Jobs and photos of another schema are not in the tables this program reads.
    let current = schema == known_schema();
    let named = if current { photos::named(&mut conn).await? } else { Vec::new() };
    let kept = match folder.photos() {
        photos if photos.exists() => manifest::files_under(&photos)?,
        _ => Vec::new(),
    };
    let report = Report {
        schema,
        known: known_schema(),
        broken: broken(&mut conn).await?,
        dangling: dangling(&mut conn).await?,
        unreadable: if current { unreadable(&mut conn).await? } else { Vec::new() },
        orphaned_photos: kept.iter().filter(|file| current && !named.contains(file)).cloned().collect(),
        missing_photos: named.iter().filter(|file| !kept.contains(file)).cloned().collect(),
        interrupted_restore: folder.incoming().exists(),
    };
    conn.close().await?;
    Ok(report)
}

/// Refuses a database file that lies still, such as a backup's, unless it is sound.
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

/// Opens a database to look and no more. `still` promises that nobody writes to it, and then not even the
/// helper files of SQLite appear beside it.
async fn read_only(database: &Path, still: bool) -> Result<SqliteConnection> {
    if !database.exists() {
        return Err(Error::file(database, std::io::ErrorKind::NotFound.into()));
    }
    let options = SqliteConnectOptions::new().filename(database).read_only(true).immutable(still);
    Ok(options.connect().await?)
}

/// What is broken in the file. Sound is a single row that says so.
async fn broken(conn: &mut SqliteConnection) -> Result<Vec<String>> {
    let lines: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check(20)").fetch_all(conn).await?;
    Ok(lines.into_iter().filter(|line| line != "ok").collect())
}

/// Rows that refer to rows that are not there.
async fn dangling(conn: &mut SqliteConnection) -> Result<Vec<String>> {
    let rows = sqlx::query("PRAGMA foreign_key_check").fetch_all(conn).await?;
    let told = rows.iter().map(|row| {
        let (table, parent): (String, String) = (row.try_get("table")?, row.try_get("parent")?);
        Ok(format!("a row of {table} refers to a row of {parent} that is not there"))
    });
    told.collect()
}

/// Jobs whose rows do not make a job any more.
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
