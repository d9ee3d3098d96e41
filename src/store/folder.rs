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
    /// Opens the folder, and creates it and its subfolders if they are missing.
    pub fn create(root: &Path) -> Result<Self, Error> {
        let folder = Self { root: root.to_owned() };
        for path in [root.to_owned(), folder.photos(), folder.backups()] {
            private_dir(&path).map_err(|error| Error::file(path, error))?;
        }
        Ok(folder)
    }

    /// A folder with the layout of a data folder, unchanged: a backup, or a folder that is only read.
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

    /// The folder of the photos.
    pub fn photos(&self) -> PathBuf {
        self.root.join("photos")
    }

    /// The default folder of backups.
    pub fn backups(&self) -> PathBuf {
        self.root.join("backups")
    }

    /// The folder that keeps the job files and photos of deleted jobs. The first deletion makes it.
    pub fn deleted(&self) -> PathBuf {
        self.root.join("deleted")
    }

    /// The folder of the HTTPS keys, after they are made.
    pub fn keys(&self) -> PathBuf {
        self.root.join("keys")
    }

    /// The folder where a restore prepares its files. It exists only during a restore, or after an interrupted
    /// one.
    pub(crate) fn incoming(&self) -> PathBuf {
        self.root.join("restore.part")
    }

    /// Everything that a restore replaces: the database with its write-ahead log, and the photos.
    pub(crate) fn belongings(&self) -> [PathBuf; 4] {
        let beside = |ending: &str| self.root.join(format!("{DATABASE}{ending}"));
        [beside(""), beside("-wal"), beside("-shm"), self.photos()]
    }

    /// Takes a shared lock: any number of programs may use the folder.
    pub(crate) fn lock_shared(&self) -> Result<File, Error> {
        self.lock(File::try_lock_shared)
    }

    /// Takes an exclusive lock: no other program may use the folder.
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

/// Creates a folder that only its owner in the operating system can open, because it has names, hashes and photos.
#[cfg(unix)]
pub(crate) fn private_dir(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().recursive(true).mode(0o700).create(path)
}

#[cfg(not(unix))]
pub(crate) fn private_dir(path: &Path) -> std::io::Result<()> {
    fs::create_dir_all(path)
}
