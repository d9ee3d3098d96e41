//! Restoring a backup: proven first, and never over what is there.

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
    /// Where what was there before lies now, if there was anything.
    pub set_aside: Option<PathBuf>,
}

/// Proves a backup: its list against its seal, every file against its hash, and the database by SQLite's own
/// checks.
///
/// # Errors
///
/// [`Error::Damaged`] with the file and what is wrong with it, [`Error::NewerSchema`] where a newer program made
/// it, [`Error::File`] where something cannot be read or is missing.
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

/// Puts a backup in the place of what is in a data folder. What was there is moved aside first, into a dated folder
/// beside it. Everybody has to sign in again: a sign-in that was ended since must not come back to life.
///
/// # Errors
///
/// As [`verify`], and [`Error::FolderInUse`] while a program has the folder open. Up to the moment when
/// everything is ready beside it, nothing that is there is touched.
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

/// Copies a backup beside what is there, checking again each file as it was copied.
fn bring_in(backup: &Path, manifest: &Manifest, folder: &Folder) -> Result<PathBuf> {
    let incoming = folder.incoming();
    if incoming.exists() {
        // Left by a restore that broke off; the backup it came from is complete where it is.
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

/// Writes into the database what is still in its log of writes, so that it is whole in one file. One that is too
/// damaged for it is moved as it is: that may be why a backup is wanted.
async fn settle(database: &Path) {
    let options = SqliteConnectOptions::new().filename(database).create_if_missing(false);
    if let Ok(mut conn) = options.connect().await {
        let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").execute(&mut conn).await;
        let _ = conn.close().await;
    }
}

/// Moves what is there into a dated folder. The database goes with its log of writes, so it opens from there.
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

/// Moves the new database and photos to where they belong; the database last, for it is what the program opens.
fn put_in_place(incoming: &Path, folder: &Folder) -> Result<()> {
    let new = Folder::of_backup(incoming);
    let rename = |from: &Path, to: &Path| fs::rename(from, to).map_err(|error| Error::file(from, error));
    if new.photos().exists() {
        if folder.photos().exists() {
            // Empty, or it would have been set aside.
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
