//! Restoring a backup. The backup is verified first, and existing data is never overwritten.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::Timestamp;
use serde_json::json;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};

use super::column::At;
use super::doctor;
use super::error::{Error, Result};
use super::folder::{Folder, private_dir, private_file};
use super::log::{self, Change};
use super::manifest::{self, Manifest};
use super::pool::{Actor, Store, known_schema};

/// What a restore did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// When the backup was taken.
    pub made_at: Timestamp,
    /// The folder with the previous data, if there was any.
    pub set_aside: Option<PathBuf>,
}

/// Verifies a backup: the list by its hash, every file by its hash, and the database by SQLite's own checks. A file
/// that the list does not name is refused too.
///
/// # Errors
///
/// [`Error::Damaged`] with the file and what is wrong with it, [`Error::NewerSchema`] if a newer program made it,
/// [`Error::File`] if something is missing or cannot be read.
pub async fn verify(backup: &Path) -> Result<Manifest> {
    let manifest = Manifest::read(backup)?;
    if manifest.schema > known_schema() {
        return Err(Error::NewerSchema { found: manifest.schema, known: known_schema() });
    }
    for entry in &manifest.files {
        let path = entry.within(backup);
        let (bytes, sha256) = manifest::measure(&path)?;
        entry.is(&path, bytes, &sha256)?;
    }
    manifest.refuse_others(backup)?;
    doctor::prove(&Folder::of_backup(backup).database()).await?;
    Ok(manifest)
}

/// Replaces the contents of a data folder with a backup. The previous data is moved into a dated folder beside it
/// first. Everybody must sign in again, because a sign-in that has ended since the backup must not become valid
/// again. The sign-ins end in the copy, before it takes the place of the data.
///
/// If it is killed, either no data was replaced, or the file of [`Folder::halfway`] says that some was. In both cases
/// nothing opens the folder until the restore is run again.
///
/// # Errors
///
/// As [`verify`], and [`Error::FolderInUse`] while a program has the folder open. No existing data is touched
/// until all new files are ready beside it.
pub async fn restore(backup: &Path, into: &Path, actor: &Actor, now: Timestamp) -> Result<Restored> {
    let manifest = verify(backup).await?;
    let folder = Folder::create(into)?;
    let alone = Arc::new(folder.lock_alone()?);
    let incoming = bring_in(backup, &manifest, &folder)?;
    end_sign_ins(&incoming, &alone, &manifest, (actor, now)).await?;
    settle(&folder.database()).await;
    mark_halfway(&folder)?;
    let set_aside = set_aside(&folder, now)?;
    put_in_place(&incoming, &folder)?;
    Ok(Restored { made_at: manifest.made_at, set_aside })
}

/// Copies a backup beside the existing data, and checks each copied file again.
fn bring_in(backup: &Path, manifest: &Manifest, folder: &Folder) -> Result<Folder> {
    let incoming = folder.incoming();
    if incoming.exists() {
        // Left by an interrupted restore; its backup is still complete.
        fs::remove_dir_all(&incoming).map_err(|error| Error::file(&incoming, error))?;
    }
    private_dir(&incoming).map_err(|error| Error::file(&incoming, error))?;
    manifest::sync_folder(folder.root())?;
    for entry in &manifest.files {
        let to = entry.within(&incoming);
        let (bytes, sha256) = manifest::copy(&entry.within(backup), &to)?;
        entry.is(&to, bytes, &sha256)?;
    }
    manifest::sync_folder(&incoming)?;
    Ok(Folder::of_backup(&incoming))
}

/// Ends every sign-in in the copy, and says in its log what it was restored from.
async fn end_sign_ins(
    incoming: &Folder,
    lock: &Arc<File>,
    manifest: &Manifest,
    (actor, now): (&Actor, Timestamp),
) -> Result<()> {
    let store = Store::connect(incoming.clone(), lock.clone()).await?;
    let mut write = store.write(actor, now).await?;
    let at = At(now);
    sqlx::query!("UPDATE sign_ins SET revoked_at = ? WHERE revoked_at IS NULL", at)
        .execute(&mut *write)
        .await?;
    let told = json!({ "backup_of": manifest.made_at });
    log::line(&mut write, None, Change::Imported, "shop/1", None::<&()>, Some(&told)).await?;
    write.commit().await?;
    store.close().await;
    // From here on the copy is one file.
    settle(&incoming.database()).await;
    manifest::sync_folder(incoming.root())
}

/// Says on the disk that the data is about to be replaced.
fn mark_halfway(folder: &Folder) -> Result<()> {
    let mark = folder.halfway();
    // After an interrupted restore it is there already.
    if !mark.exists() {
        private_file(&mark).map_err(|error| Error::file(&mark, error))?;
    }
    manifest::sync_folder(folder.root())
}

/// Writes the write-ahead log into the database, so that one file is complete. A database that is too damaged for
/// this is moved unchanged: the damage may be the reason for the restore.
async fn settle(database: &Path) {
    let options = SqliteConnectOptions::new().filename(database).create_if_missing(false);
    if let Ok(mut conn) = options.connect().await {
        let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").execute(&mut conn).await;
        let _ = conn.close().await;
    }
}

/// Moves the existing data into a dated folder. The database is moved with its write-ahead log, so it can be
/// opened there. After an interrupted restore, the rest goes to what was moved before.
fn set_aside(folder: &Folder, now: Timestamp) -> Result<Option<PathBuf>> {
    drop_empty(&folder.photos())?;
    let (part, files) = (folder.aside(), folder.database_files());
    let there: Vec<PathBuf> =
        files.into_iter().chain([folder.photos()]).filter(|path| path.exists()).collect();
    if there.is_empty() && !part.exists() {
        return Ok(None);
    }
    let aside = free_name(folder, now);
    private_dir(&part).map_err(|error| Error::file(&part, error))?;
    for path in there {
        let Some(name) = path.file_name() else { continue };
        rename(&path, &part.join(name))?;
    }
    manifest::sync_folder(&part)?;
    rename(&part, &aside)?;
    manifest::sync_folder(folder.root())?;
    Ok(Some(aside))
}

/// The name of the folder for the previous data. A second restore within a second gets a number.
fn free_name(folder: &Folder, now: Timestamp) -> PathBuf {
    let first = now.strftime("before-restore-%Y%m%dT%H%M%SZ").to_string();
    let mut name = folder.root().join(&first);
    let mut number = 1_u32;
    while name.exists() {
        number += 1;
        name = folder.root().join(format!("{first}-{number}"));
    }
    name
}

/// Moves the new database and photos to their final locations, and says on the disk that this is done.
fn put_in_place(incoming: &Folder, folder: &Folder) -> Result<()> {
    if incoming.photos().exists() {
        rename(&incoming.photos(), &folder.photos())?;
    }
    rename(&incoming.database(), &folder.database())?;
    manifest::sync_folder(folder.root())?;
    fs::remove_dir_all(incoming.root()).map_err(|error| Error::file(incoming.root(), error))?;
    manifest::sync_folder(folder.root())?;
    fs::remove_file(folder.halfway()).map_err(|error| Error::file(folder.halfway(), error))?;
    manifest::sync_folder(folder.root())
}

/// Moves a file or folder to where nothing is yet.
fn rename(from: &Path, to: &Path) -> Result<()> {
    if to.exists() {
        return Err(Error::file(to, io::ErrorKind::AlreadyExists.into()));
    }
    fs::rename(from, to).map_err(|error| Error::file(from, error))
}

/// Removes a folder if it is empty.
fn drop_empty(folder: &Path) -> Result<()> {
    match fs::remove_dir(folder) {
        Err(error)
            if ![io::ErrorKind::NotFound, io::ErrorKind::DirectoryNotEmpty].contains(&error.kind()) =>
        {
            Err(Error::file(folder, error))
        }
        _ => Ok(()),
    }
}
