//! The data folder: the database, the photos, the backups and the keys of HTTPS.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
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
        for path in [folder.photos(), folder.backups()] {
            restrict(&path, 0o700).map_err(|error| Error::file(path, error))?;
        }
        Ok(folder)
    }

    /// Makes sure that only the owner can read the database, before SQLite opens it. SQLite gives its helper files
    /// the permissions of the database.
    pub(crate) fn keep_database_private(&self) -> Result<(), Error> {
        for path in self.database_files() {
            restrict(&path, 0o600).map_err(|error| Error::file(path, error))?;
        }
        match private_file(&self.database()) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
                Err(Error::file(self.database(), error))
            }
            _ => Ok(()),
        }
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

    /// The file that exists while a restore replaces the data: from before the first change until after the last.
    pub(crate) fn halfway(&self) -> PathBuf {
        self.root.join("restore.halfway")
    }

    /// The folder into which a restore moves the previous data, until all of it is there.
    pub(crate) fn aside(&self) -> PathBuf {
        self.root.join("before-restore.part")
    }

    /// Refuses a folder in which a restore was interrupted.
    pub(crate) fn refuse_interrupted_restore(&self) -> Result<(), Error> {
        let halfway = self.halfway().exists();
        if halfway || self.incoming().exists() {
            return Err(Error::RestoreInterrupted { folder: self.root.clone(), halfway });
        }
        Ok(())
    }

    /// The database with its write-ahead log.
    pub(crate) fn database_files(&self) -> [PathBuf; 3] {
        ["", "-wal", "-shm"].map(|ending| self.root.join(format!("{DATABASE}{ending}")))
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
pub(crate) fn private_dir(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().recursive(true).mode(0o700).create(path)
}

#[cfg(not(unix))]
pub(crate) fn private_dir(path: &Path) -> io::Result<()> {
    fs::create_dir_all(path)
}

/// Creates a file that only its owner in the operating system can read. It must not exist yet.
#[cfg(unix)]
pub(crate) fn private_file(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    OpenOptions::new().write(true).create_new(true).mode(0o600).open(path)
}

#[cfg(not(unix))]
pub(crate) fn private_file(path: &Path) -> io::Result<File> {
    OpenOptions::new().write(true).create_new(true).open(path)
}

/// Takes the permissions of everybody but the owner away from a file or folder, if it exists and has any.
#[cfg(unix)]
fn restrict(path: &Path, mode: u32) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    match fs::metadata(path) {
        Ok(there) if there.permissions().mode() & 0o077 != 0 => {
            fs::set_permissions(path, fs::Permissions::from_mode(mode))
        }
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

#[cfg(not(unix))]
fn restrict(_: &Path, _: u32) -> io::Result<()> {
    Ok(())
}
