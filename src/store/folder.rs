//! The data folder: the database, the photos, the backups and the keys of HTTPS.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use super::error::Error;

/// The name of the database in a data folder and in a backup.
pub(crate) const DATABASE: &str = "driploop.db";

/// A shop's data folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Folder {
    root: PathBuf,
}

impl Folder {
    /// The folder, created where it is missing, with what belongs in it.
    pub fn create(root: &Path) -> Result<Self, Error> {
        let folder = Self { root: root.to_owned() };
        for path in [root.to_owned(), folder.photos(), folder.backups()] {
            private_dir(&path).map_err(|error| Error::file(path, error))?;
        }
        Ok(folder)
    }

    /// A folder laid out like a data folder, as it is: a backup, or one only to be looked at.
    pub(crate) fn of_backup(root: &Path) -> Self {
        Self { root: root.to_owned() }
    }

    /// The folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The database file.
    pub fn database(&self) -> PathBuf {
        self.root.join(DATABASE)
    }

    /// Where photos lie.
    pub fn photos(&self) -> PathBuf {
        self.root.join("photos")
    }

    /// Where backups go unless told otherwise.
    pub fn backups(&self) -> PathBuf {
        self.root.join("backups")
    }

    /// Where the keys of HTTPS lie, once there are any.
    pub fn keys(&self) -> PathBuf {
        self.root.join("keys")
    }

    /// Where a restore makes ready what it brings in. It is there only while one runs, or after one broke off.
    pub(crate) fn incoming(&self) -> PathBuf {
        self.root.join("restore.part")
    }

    /// Everything that a restore replaces: the database with its log of writes, and the photos.
    pub(crate) fn belongings(&self) -> [PathBuf; 4] {
        let beside = |ending: &str| self.root.join(format!("{DATABASE}{ending}"));
        [beside(""), beside("-wal"), beside("-shm"), self.photos()]
    }

    /// Says that a program uses the folder; any number may.
    pub(crate) fn lock_shared(&self) -> Result<File, Error> {
        self.lock(File::try_lock_shared)
    }

    /// Says that nobody else may use the folder.
    pub(crate) fn lock_alone(&self) -> Result<File, Error> {
        self.lock(File::try_lock)
    }

    fn lock(&self, lock: fn(&File) -> Result<(), TryLockError>) -> Result<File, Error> {
        let path = self.root.join("driploop.lock");
        let file = File::create(&path).map_err(|error| Error::file(&path, error))?;
        match lock(&file) {
            Ok(()) => Ok(file),
            Err(TryLockError::WouldBlock) => Err(Error::FolderInUse(self.root.clone())),
            Err(TryLockError::Error(error)) => Err(Error::file(path, error)),
        }
    }
}

/// The folder holds names, hashes and photos: only its customer may look in.
#[cfg(unix)]
pub(crate) fn private_dir(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().recursive(true).mode(0o700).create(path)
}

#[cfg(not(unix))]
pub(crate) fn private_dir(path: &Path) -> std::io::Result<()> {
    fs::create_dir_all(path)
}
