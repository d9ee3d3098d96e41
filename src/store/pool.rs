//! The database file of a shop, and its two kinds of access: reading, and writing in a person's name.

use std::fs::File;
use std::ops::{Deref, DerefMut};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{Connection, Sqlite, SqliteConnection, SqlitePool, Transaction};

use super::column::PersonId;
use super::error::Error;
use super::folder::{Folder, private_file};
use super::upgrade;
use crate::job::value::Name;

static MIGRATOR: Migrator = sqlx::migrate!();

/// Maximum time that a write waits for another process, such as a backup or an import from the command line.
const BUSY: Duration = Duration::from_secs(10);
/// Maximum delay of a request for a note that the next request can also make.
const MOMENT: Duration = Duration::from_millis(100);
/// Readers never wait for the writer, so a few connections serve many tablets.
const READERS: u32 = 8;

/// The shop's database. A clone is cheap and refers to the same database.
///
/// SQLite lets one connection write at a time. There is only one here, so writers wait in a fair queue inside the
/// program and do not poll the file.
#[derive(Debug, Clone)]
pub struct Store {
    folder: Folder,
    readers: SqlitePool,
    writer: SqlitePool,
    /// A lock while the store is open, so that a restore cannot replace the file meanwhile.
    _lock: Arc<File>,
}

/// The author of a change. The log keeps the name as it is now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Actor {
    /// The person, if it is one of this shop.
    pub person: Option<PersonId>,
    /// The name that the log shows.
    pub name: Name,
}

impl Store {
    /// Opens the shop's database in a data folder. It creates both if they are missing, and updates an older
    /// schema.
    ///
    /// # Errors
    ///
    /// [`Error::NewerSchema`] if a newer program wrote the database, [`Error::FolderInUse`] during a restore,
    /// [`Error::RestoreInterrupted`] after an interrupted restore, [`Error::File`] and [`Error::Database`] if
    /// folder or file cannot be used.
    pub async fn open(folder: &Path) -> Result<Self, Error> {
        let folder = Folder::create(folder)?;
        let lock = folder.lock_shared()?;
        folder.refuse_interrupted_restore()?;
        Self::connect(folder, Arc::new(lock)).await
    }

    /// Opens the database of a folder that is locked already.
    pub(super) async fn connect(folder: Folder, lock: Arc<File>) -> Result<Self, Error> {
        folder.keep_database_private()?;
        let writer = pool(1).connect_with(options(&folder.database(), true)).await?;
        migrate(&writer).await?;
        upgrade::items(&mut *writer.acquire().await?, &folder).await?;
        let readers = pool(READERS).connect_with(options(&folder.database(), false)).await?;
        Ok(Self { folder, readers, writer, _lock: lock })
    }

    /// The data folder.
    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// A view of the present database, which does not change while it is read.
    pub async fn read(&self) -> Result<Transaction<'static, Sqlite>, Error> {
        Ok(self.readers.begin().await?)
    }

    /// A transaction that changes data in a person's name. Nothing is stored before [`Write::commit`].
    pub async fn write(&self, actor: &Actor, now: Timestamp) -> Result<Write, Error> {
        let transaction = self.housekeep().await?;
        Ok(Write { transaction, actor: actor.clone(), now })
    }

    /// A transaction for data that belongs in no log: failed sign-ins, and when a device was last seen.
    pub(super) async fn housekeep(&self) -> Result<Transaction<'static, Sqlite>, Error> {
        // IMMEDIATE takes the write lock at once, so data read in it cannot change before it writes.
        Ok(self.writer.begin_with("BEGIN IMMEDIATE").await?)
    }

    /// The same for data that can wait: `None` if another writer takes longer than `MOMENT`.
    pub(super) async fn housekeep_soon(&self) -> Result<Option<Transaction<'static, Sqlite>>, Error> {
        tokio::time::timeout(MOMENT, self.housekeep()).await.ok().transpose()
    }

    /// Copies the present database into a new file with SQLite's own command, while others read and write.
    pub(super) async fn copy_database(&self, to: &Path) -> Result<(), Error> {
        let mut conn = self.readers.acquire().await?;
        // SQLite fills an empty file, and leaves its permissions as they are.
        private_file(to).map_err(|error| Error::file(to, error))?;
        // The query macro cannot check this: VACUUM reads no table.
        sqlx::query("VACUUM INTO ?").bind(to.to_string_lossy()).execute(&mut *conn).await?;
        // SQLite does not wait until the copy is on the disk.
        File::open(to).and_then(|copy| copy.sync_all()).map_err(|error| Error::file(to, error))
    }

    /// Waits for all running work and closes the file.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }
}

/// A transaction that changes data, with its author and time; the log records both for every change.
#[derive(Debug)]
pub struct Write {
    transaction: Transaction<'static, Sqlite>,
    actor: Actor,
    now: Timestamp,
}

impl Write {
    /// Who.
    pub fn actor(&self) -> &Actor {
        &self.actor
    }

    /// When, by the clock of the caller that opened the transaction.
    pub fn now(&self) -> Timestamp {
        self.now
    }

    /// Stores everything. After this returns, a power cut does not lose it.
    pub async fn commit(self) -> Result<(), Error> {
        Ok(self.transaction.commit().await?)
    }
}

impl Deref for Write {
    type Target = SqliteConnection;

    fn deref(&self) -> &SqliteConnection {
        &self.transaction
    }
}

impl DerefMut for Write {
    fn deref_mut(&mut self) -> &mut SqliteConnection {
        &mut self.transaction
    }
}

/// The newest schema this program knows.
pub fn known_schema() -> i64 {
    MIGRATOR.iter().map(|migration| migration.version).max().unwrap_or(0)
}

/// A pool that keeps its connections: reopening a file saves nothing.
fn pool(most: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(most)
        .idle_timeout(None)
        .max_lifetime(None)
        // When the disk is full, SQLite ends the transaction by itself, but the connection still assumes that it
        // is open. Such a connection is closed; otherwise nothing could be written until the next start.
        .before_acquire(|connection, _| Box::pin(async { Ok(!connection.is_in_transaction()) }))
}

/// The settings of every connection.
fn options(database: &Path, write: bool) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(database)
        .create_if_missing(write)
        .read_only(!write)
        .foreign_keys(true)
        // INSERT OR REPLACE deletes rows; without this setting no trigger runs for that.
        .pragma("recursive_triggers", "ON")
        .busy_timeout(BUSY)
        .journal_mode(SqliteJournalMode::Wal)
        // With NORMAL a power cut may undo the last commits. A tick that the tablet shows as stored must not be
        // lost, so each commit waits for the disk.
        .synchronous(SqliteSynchronous::Full)
}

async fn migrate(pool: &SqlitePool) -> Result<(), Error> {
    let (found, known) = (schema_of(&mut *pool.acquire().await?).await?, known_schema());
    if found > known {
        return Err(Error::NewerSchema { found, known });
    }
    Ok(MIGRATOR.run(pool).await?)
}

/// The schema version of a database; 0 for an empty one.
///
/// The table belongs to sqlx and is not in an empty database, so these two queries are checked at run time only.
pub(crate) async fn schema_of(conn: &mut SqliteConnection) -> Result<i64, Error> {
    let kept: bool =
        sqlx::query_scalar("SELECT count(*) > 0 FROM sqlite_schema WHERE name = '_sqlx_migrations'")
            .fetch_one(&mut *conn)
            .await?;
    if !kept {
        return Ok(0);
    }
    Ok(sqlx::query_scalar("SELECT coalesce(max(version), 0) FROM _sqlx_migrations").fetch_one(conn).await?)
}
