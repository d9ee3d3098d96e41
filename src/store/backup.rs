//! Backups: consistent copies of database and photos, taken while the program is in use.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::{SignedDuration, Timestamp};
use tokio::task;

use super::error::{Error, Result};
use super::folder::{Folder, private_dir};
use super::manifest::{self, Entry, Manifest};
use super::pool::{Store, known_schema};
use super::{doctor, shop};

/// The name of a backup's folder: the time when the backup began, in UTC.
const NAMED: &str = "driploop-%Y%m%dT%H%M%SZ";
/// The same with its offset in digits, as it is read.
const READ: &str = "driploop-%Y%m%dT%H%M%S%z";
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

    /// Whether its date is in the future: the clock ran ahead when it was made, or is behind now.
    pub fn is_ahead(&self, now: Timestamp) -> bool {
        self.made_at > now
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
    private_dir(into).map_err(|error| Error::file(into, error))?;
    let (shop, own) = own(store, into).await?;
    let number = own.first().map_or(1, |(_, manifest)| manifest.number.saturating_add(1));
    let part = into.join(format!("{}-{shop}.{UNFINISHED}", now.strftime(NAMED)));
    if path.exists() || part.exists() {
        return Err(Error::file(&path, std::io::ErrorKind::AlreadyExists.into()));
    }
    private_dir(&part).map_err(|error| Error::file(&part, error))?;
    match fill(store, &part, (shop, number), now).await {
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

/// Everything in a folder that has the name of a complete backup, whoever made it, newest first by its name.
pub fn list(of: &Path) -> Result<Vec<Backup>> {
    let mut backups = named(of, when)?;
    backups.sort_by_key(|backup| std::cmp::Reverse(backup.made_at));
    Ok(backups)
}

/// Whether the backup that this shop made last in a folder is older than `every`, or there is none.
pub async fn is_due(store: &Store, of: &Path, every: SignedDuration, now: Timestamp) -> Result<bool> {
    let last = own(store, of).await?.1.into_iter().next();
    // If the last one has a date in the future, the clock was set back since. Its age is not known.
    Ok(last.is_none_or(|(backup, _)| {
        let age = now.duration_since(backup.made_at);
        age >= every || age < SignedDuration::ZERO
    }))
}

/// Keeps the backup that was just made and the `keep - 1` that this shop made before it, and deletes its others. It
/// also deletes the parts of its interrupted backups that are a day old or more.
///
/// What another shop made, what has another name, and what holds a file that the backup did not have is neither
/// counted nor deleted.
pub async fn rotate(store: &Store, just_made: &Backup, keep: usize, now: Timestamp) -> Result<Vec<Backup>> {
    let of = just_made.path.parent().unwrap_or(&just_made.path);
    let (shop, own) = own(store, of).await?;
    let earlier = own.into_iter().map(|(backup, _)| backup);
    let earlier = earlier.filter(|backup| backup.path != just_made.path);
    let mut gone: Vec<Backup> = earlier.skip(keep.saturating_sub(1)).collect();
    let a_day = SignedDuration::from_hours(24);
    gone.extend(parts(&shop, of)?.into_iter().filter(|part| now.duration_since(part.made_at) >= a_day));
    for backup in &gone {
        fs::remove_dir_all(&backup.path).map_err(|error| Error::file(&backup.path, error))?;
    }
    Ok(gone)
}

/// The backups in a folder with a date in the future: the clock ran ahead when they were made, or is behind now.
pub fn ahead(of: &Path, now: Timestamp) -> Result<Vec<Backup>> {
    Ok(list(of)?.into_iter().filter(|backup| backup.is_ahead(now)).collect())
}

/// The identity of the shop, and its backups in a folder.
async fn own(store: &Store, of: &Path) -> Result<(String, Vec<(Backup, Manifest)>)> {
    let shop = shop::identity(&mut *store.read().await?).await?;
    let folder = of.to_owned();
    let read = move || made_by(&shop, &folder).map(|own| (shop, own));
    task::spawn_blocking(read).await.map_err(|error| Error::file(of, std::io::Error::other(error)))?
}

/// The complete backups that a shop made in a folder, by their lists. The one made last is first, whatever the clock
/// said.
fn made_by(shop: &str, of: &Path) -> Result<Vec<(Backup, Manifest)>> {
    let read = |backup: Backup| {
        let manifest = backup.manifest().ok()?;
        let own = manifest.shop == shop && manifest.made_at.as_second() == backup.made_at.as_second();
        (own && manifest.refuse_others(&backup.path).is_ok()).then_some((backup, manifest))
    };
    let mut own: Vec<_> = list(of)?.into_iter().filter_map(read).collect();
    own.sort_by_key(|(backup, manifest)| std::cmp::Reverse((manifest.number, backup.made_at)));
    Ok(own)
}

/// What is left of a shop's interrupted backups.
fn parts(shop: &str, of: &Path) -> Result<Vec<Backup>> {
    let ending = format!("-{shop}.{UNFINISHED}");
    let began = |name: &str| when(name.strip_suffix(&ending)?);
    named(of, began)
}

/// Fills the folder of a backup. The database is copied first, so that every photo it names still exists when the
/// photos are copied.
async fn fill(store: &Store, part: &Path, by: (String, u64), now: Timestamp) -> Result<()> {
    let folder = Folder::of_backup(part);
    store.copy_database(&folder.database()).await?;
    let photos = store.folder().photos();
    let root = part.to_owned();
    let files =
        task::spawn_blocking(move || copy_photos(&root, &photos)).await.map_err(std::io::Error::other);
    let files = files.map_err(|error| Error::file(part, error))??;
    Manifest::new(by, now, known_schema(), files).write(part)?;
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

/// The folders in a folder whose name gives the time of a backup. Links are left out.
fn named(of: &Path, when: impl Fn(&str) -> Option<Timestamp>) -> Result<Vec<Backup>> {
    let trouble = |error| Error::file(of, error);
    let entries = match fs::read_dir(of) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(trouble(error)),
    };
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry.map_err(trouble)?;
        let made_at = entry.file_name().to_str().and_then(&when);
        if let Some(made_at) = made_at.filter(|_| entry.file_type().is_ok_and(|kind| kind.is_dir())) {
            found.push(Backup { path: entry.path(), made_at });
        }
    }
    Ok(found)
}

/// The time in the name of a backup; `None` for any other name.
fn when(name: &str) -> Option<Timestamp> {
    let made_at = Timestamp::strptime(READ, name.strip_suffix('Z')?.to_owned() + "+0000").ok()?;
    (made_at.strftime(NAMED).to_string() == name).then_some(made_at)
}
