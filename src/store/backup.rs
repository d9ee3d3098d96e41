//! Backups: a consistent copy of database and photos, taken while the shop works.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::{SignedDuration, Timestamp};
use tokio::task;

use super::doctor;
use super::error::{Error, Result};
use super::folder::{Folder, private_dir};
use super::manifest::{self, Entry, Manifest};
use super::pool::{Store, known_schema};

/// How the folder of a backup is named: by when it was begun, in UTC.
const NAMED: &str = "driploop-%Y%m%dT%H%M%SZ";
/// What is added to the name until the backup is whole.
const UNFINISHED: &str = "part";

/// A backup in a folder of backups.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Backup {
    /// Its own folder.
    pub path: PathBuf,
    /// When it was begun.
    pub made_at: Timestamp,
}

impl Backup {
    /// What the backup says it holds. Its files are not looked at: that is for [`verify`](super::restore::verify).
    ///
    /// # Errors
    ///
    /// [`Error::Damaged`] where the list is not as it was written, [`Error::File`] where it cannot be read.
    pub fn manifest(&self) -> Result<Manifest> {
        Manifest::read(&self.path)
    }
}

/// Takes a backup into a folder of its own under `into`. It appears there only once it is whole, on the disk and
/// checked; every change that was acknowledged before the call is in it.
///
/// # Errors
///
/// [`Error::File`] where the folder cannot be written, [`Error::Damaged`] where the copy is not sound: then the
/// database it was taken from should be looked at by [`doctor`].
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
            // The first error is the one to tell; what is left behind is cleared by the next rotation.
            let _ = fs::remove_dir_all(&part);
            Err(error)
        }
    }
}

/// The whole backups in a folder, newest first.
pub fn list(of: &Path) -> Result<Vec<Backup>> {
    let mut backups: Vec<Backup> = named(of)?.into_iter().filter(|backup| is_whole(&backup.path)).collect();
    backups.sort_by_key(|backup| std::cmp::Reverse(backup.made_at));
    Ok(backups)
}

/// Whether the newest backup in a folder is older than `every`, or there is none.
pub fn is_due(of: &Path, every: SignedDuration, now: Timestamp) -> Result<bool> {
    let newest = list(of)?.into_iter().next();
    // A backup from the future is of a clock that was set back: it says nothing about today.
    Ok(newest.is_none_or(|backup| {
        let age = now.duration_since(backup.made_at);
        age >= every || age < SignedDuration::ZERO
    }))
}

/// Keeps the newest `keep` backups of a folder and deletes the others, along with what broken-off ones left
/// behind a day ago or more. Nothing that is not a backup by its name is touched.
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

/// Fills the folder of a backup: database first, so that every photo it names is there to be copied after it.
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

/// Copies the photos and lists everything there is in the backup.
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

/// Folders that are backups by their names, whole or not.
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
