//! Backups: consistent copies of database and photos, taken while the program is in use.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::{SignedDuration, Timestamp};
use tokio::task;

use super::doctor;
use super::error::{Error, Result};
use super::folder::{Folder, private_dir};
use super::manifest::{self, Entry, Manifest};
use super::pool::{Store, known_schema};

/// The name of a backup's folder: the time when the backup began, in UTC.
const NAMED: &str = "driploop-%Y%m%dT%H%M%SZ";
/// The extension of the name until the backup is complete.
const UNFINISHED: &str = "part";

/// A backup in a folder of backups.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Backup {
    /// Its own folder.
    pub path: PathBuf,
    /// When it began.
    pub made_at: Timestamp,
}

impl Backup {
    /// The list of what the backup contains. Its files are not checked here; [`verify`](super::restore::verify)
    /// does that.
    ///
    /// # Errors
    ///
    /// [`Error::Damaged`] if the list was changed after it was written, [`Error::File`] if it cannot be read.
    pub fn manifest(&self) -> Result<Manifest> {
        Manifest::read(&self.path)
    }
}

/// Makes a backup in a folder of its own under `into`. The folder gets its final name only after the backup is
/// complete, on the disk and checked. The backup contains every change that was acknowledged before the call.
///
/// # Errors
///
/// [`Error::File`] if the folder cannot be written. [`Error::Damaged`] if the copy is damaged; then examine the
/// original database with [`doctor`].
pub async fn take(store: &Store, into: &Path, now: Timestamp) -> Result<Backup> {
    let path = into.join(now.strftime(NAMED).to_string());
    let part = path.with_extension(UNFINISHED);
    private_dir(into).map_err(|error| Error::file(into, error))?;
    fs::create_dir(&part).map_err(|error| Error::file(&part, error))?;
    match fill(store, &part, now).await {
        Ok(()) => {
            fs::rename(&part, &path).map_err(|error| Error::file(&path, error))?;
            manifest::sync_folder(into)?;
            Ok(Backup { path, made_at: now })
        }
        Err(error) => {
            // Report the first error. The next rotation removes what is left behind.
            let _ = fs::remove_dir_all(&part);
            Err(error)
        }
    }
}

/// The complete backups in a folder, newest first.
pub fn list(of: &Path) -> Result<Vec<Backup>> {
    let mut backups: Vec<Backup> = named(of)?.into_iter().filter(|backup| is_whole(&backup.path)).collect();
    backups.sort_by_key(|backup| std::cmp::Reverse(backup.made_at));
    Ok(backups)
}

/// Whether the newest backup in a folder is older than `every`, or there is none.
pub fn is_due(of: &Path, every: SignedDuration, now: Timestamp) -> Result<bool> {
    let newest = list(of)?.into_iter().next();
    // A backup with a date in the future was made before the clock was set back. It says nothing about today.
    Ok(newest.is_none_or(|backup| {
        let age = now.duration_since(backup.made_at);
        age >= every || age < SignedDuration::ZERO
    }))
}

/// Keeps the newest `keep` backups of a folder and deletes the others. It also deletes parts of interrupted
/// backups that are a day old or more. Anything without the name of a backup is left alone.
pub fn rotate(of: &Path, keep: usize, now: Timestamp) -> Result<Vec<Backup>> {
    let mut gone: Vec<Backup> = list(of)?.into_iter().skip(keep.max(1)).collect();
    let a_day = SignedDuration::from_hours(24);
    let left = named(of)?.into_iter().filter(|backup| !is_whole(&backup.path));
    gone.extend(left.filter(|backup| now.duration_since(backup.made_at) >= a_day));
    for backup in &gone {
        fs::remove_dir_all(&backup.path).map_err(|error| Error::file(&backup.path, error))?;
    }
    Ok(gone)
}

/// Fills the folder of a backup. The database is copied first, so that every photo it names still exists when the
/// photos are copied.
async fn fill(store: &Store, part: &Path, now: Timestamp) -> Result<()> {
    let folder = Folder::of_backup(part);
    store.copy_database(&folder.database()).await?;
    let photos = store.folder().photos();
    let root = part.to_owned();
    let files =
        task::spawn_blocking(move || copy_photos(&root, &photos)).await.map_err(std::io::Error::other);
    let files = files.map_err(|error| Error::file(part, error))??;
    Manifest::new(now, known_schema(), files).write(part)?;
    manifest::sync_folder(part)?;
    doctor::prove(&folder.database()).await
}

/// Copies the photos and lists all files of the backup.
fn copy_photos(part: &Path, photos: &Path) -> Result<Vec<Entry>> {
    let mut files = Vec::new();
    for name in manifest::files_under(photos)? {
        manifest::copy(&photos.join(&name), &Folder::of_backup(part).photos().join(name))?;
    }
    for name in manifest::files_under(part)? {
        let (bytes, sha256) = manifest::measure(&part.join(&name))?;
        let path =
            name.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        files.push(Entry { path, bytes, sha256 });
    }
    Ok(files)
}

/// Folders with the name of a backup, complete or not.
fn named(of: &Path) -> Result<Vec<Backup>> {
    let entries = match fs::read_dir(of) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(Error::file(of, error)),
    };
    let mut found = Vec::new();
    for entry in entries {
        let path = entry.map_err(|error| Error::file(of, error))?.path();
        let Some(name) = path.file_stem().and_then(|name| name.to_str()) else { continue };
        let Ok(made_at) = Timestamp::strptime("driploop-%Y%m%dT%H%M%S%z", name.replace('Z', "+0000")) else {
            continue;
        };
        found.push(Backup { path, made_at });
    }
    Ok(found)
}

fn is_whole(path: &Path) -> bool {
    path.extension().is_none()
}
