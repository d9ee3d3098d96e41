//! Restoring a backup. The backup is verified first, and existing data is never overwritten.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use serde_json::json;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};

use super::column::At;
use super::doctor;
use super::error::{Error, Result};
use super::folder::Folder;
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

/// Verifies a backup: the list by its hash, every file by its hash, and the database by SQLite's own checks.
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
    doctor::prove(&Folder::of_backup(backup).database()).await?;
    Ok(manifest)
}

/// Replaces the contents of a data folder with a backup. The previous data is moved into a dated folder beside it
/// first. Everybody must sign in again, because a sign-in that has ended since the backup must not become valid
/// again.
///
/// # Errors
///
/// As [`verify`], and [`Error::FolderInUse`] while a program has the folder open. No existing data is touched
/// until all new files are ready beside it.
pub async fn restore(backup: &Path, into: &Path, actor: &Actor, now: Timestamp) -> Result<Restored> {
    let manifest = verify(backup).await?;
    let folder = Folder::create(into)?;
    let alone = folder.lock_alone()?;
    let incoming = bring_in(backup, &manifest, &folder)?;
    settle(&folder.database()).await;
    let set_aside = set_aside(&folder, now)?;
    put_in_place(&incoming, &folder)?;
    drop(alone);
    end_sign_ins(into, &manifest, actor, now).await?;
    Ok(Restored { made_at: manifest.made_at, set_aside })
}

/// Copies a backup beside the existing data, and checks each copied file again.
fn bring_in(backup: &Path, manifest: &Manifest, folder: &Folder) -> Result<PathBuf> {
    let incoming = folder.incoming();
    if incoming.exists() {
        // Left by an interrupted restore; its backup is still complete.
        fs::remove_dir_all(&incoming).map_err(|error| Error::file(&incoming, error))?;
    }
    for entry in &manifest.files {
        let to = entry.within(&incoming);
        let (bytes, sha256) = manifest::copy(&entry.within(backup), &to)?;
        entry.is(&to, bytes, &sha256)?;
    }
    manifest::sync_folder(&incoming)?;
    Ok(incoming)
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
/// opened there.
fn set_aside(folder: &Folder, now: Timestamp) -> Result<Option<PathBuf>> {
    let there: Vec<PathBuf> = folder.belongings().into_iter().filter(|path| path.exists()).collect();
    if !folder.database().exists() && manifest::files_under(&folder.photos())?.is_empty() {
        return Ok(None);
    }
    let aside = folder.root().join(now.strftime("before-restore-%Y%m%dT%H%M%SZ").to_string());
    fs::create_dir(&aside).map_err(|error| Error::file(&aside, error))?;
    for path in there {
        let Some(name) = path.file_name() else { continue };
        fs::rename(&path, aside.join(name)).map_err(|error| Error::file(&path, error))?;
    }
    manifest::sync_folder(&aside)?;
    Ok(Some(aside))
}

/// Moves the new database and photos to their final locations. The database is last, because the program opens it
/// first.
fn put_in_place(incoming: &Path, folder: &Folder) -> Result<()> {
    let new = Folder::of_backup(incoming);
    let rename = |from: &Path, to: &Path| fs::rename(from, to).map_err(|error| Error::file(from, error));
    if new.photos().exists() {
        if folder.photos().exists() {
            // The folder is empty; otherwise it would have been set aside.
            fs::remove_dir(folder.photos()).map_err(|error| Error::file(folder.photos(), error))?;
        }
        rename(&new.photos(), &folder.photos())?;
    }
    rename(&new.database(), &folder.database())?;
    fs::remove_dir(incoming).map_err(|error| Error::file(incoming, error))?;
    manifest::sync_folder(folder.root())
}

async fn end_sign_ins(folder: &Path, manifest: &Manifest, actor: &Actor, now: Timestamp) -> Result<()> {
    let store = Store::open(folder).await?;
    let mut write = store.write(actor, now).await?;
    let at = At(now);
    sqlx::query!("UPDATE sign_ins SET revoked_at = ? WHERE revoked_at IS NULL", at)
        .execute(&mut *write)
        .await?;
    let told = json!({ "backup_of": manifest.made_at });
    log::line(&mut write, None, Change::Imported, "shop/1", None::<&()>, Some(&told)).await?;
    write.commit().await?;
    store.close().await;
    Ok(())
}
