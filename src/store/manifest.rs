//! The list of the files in a backup, with the hash of every file and of the list itself.

use std::collections::HashSet;
use std::fmt::Write as _;
use std::fs::{self, File, FileType};
use std::io::{self, Read, Write};
use std::path::{Component, Path, PathBuf};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::error::{Error, Result};
use super::folder::{private_dir, private_file};

/// The file name of the list, beside the files.
const LIST: &str = "manifest.json";
/// The file name of the hash of the list, in the format that `sha256sum --check` reads.
const SEAL: &str = "manifest.sha256";
/// The format version of the list.
const FORMAT: u32 = 1;

/// The contents of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// The format version: 1.
    pub format: u32,
    /// Which shop made it: the identity in its database.
    pub shop: String,
    /// The how many-th backup of this shop in its folder. It gives the order, whatever the clock says.
    pub number: u64,
    /// When the backup began: everything acknowledged before that time is in it.
    pub made_at: Timestamp,
    /// The version of the program that made it.
    pub program: String,
    /// The schema of its database.
    pub schema: i64,
    /// The files, each by its path within the backup.
    pub files: Vec<Entry>,
}

/// One file of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its path within the backup, with `/` between folders.
    pub path: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// The SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

impl Manifest {
    /// A new list of existing files.
    pub(super) fn new(
        (shop, number): (String, u64),
        made_at: Timestamp,
        schema: i64,
        files: Vec<Entry>,
    ) -> Self {
        let program = env!("CARGO_PKG_VERSION").to_owned();
        Self { format: FORMAT, shop, number, made_at, program, schema, files }
    }

    /// Writes the list and the file with its hash into a backup's folder.
    pub(super) fn write(&self, folder: &Path) -> Result<()> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        write_through(&folder.join(LIST), text.as_bytes())?;
        write_through(&folder.join(SEAL), seal(text.as_bytes()).as_bytes())
    }

    /// Reads the list of a backup and checks it against its hash.
    pub(super) fn read(folder: &Path) -> Result<Self> {
        let list = read_small(&folder.join(LIST))?;
        if read_small(&folder.join(SEAL))? != seal(&list).as_bytes() {
            return Err(Error::Damaged {
                path: folder.join(LIST),
                problem: "does not match its seal".to_owned(),
            });
        }
        let damaged = |problem: String| Error::Damaged { path: folder.join(LIST), problem };
        let manifest: Self = serde_json::from_slice(&list).map_err(|error| damaged(error.to_string()))?;
        if manifest.format != FORMAT {
            return Err(damaged(format!("is of form {}: this program reads form {FORMAT}", manifest.format)));
        }
        if !manifest.files.iter().any(|entry| entry.path == super::folder::DATABASE) {
            return Err(damaged("names no database".to_owned()));
        }
        if let Some(entry) = manifest.files.iter().find(|entry| !stays_inside(&entry.path)) {
            return Err(damaged(format!("names a file outside the backup: '{}'", entry.path)));
        }
        if let Some(entry) = manifest.files.iter().find(|entry| !belongs(&entry.path)) {
            return Err(damaged(format!("names a file that no backup has: '{}'", entry.path)));
        }
        let mut named = HashSet::new();
        if let Some(entry) = manifest.files.iter().find(|entry| !named.insert(&entry.path)) {
            return Err(damaged(format!("names a file twice: '{}'", entry.path)));
        }
        Ok(manifest)
    }

    /// Refuses a folder that has anything besides the files of the list.
    pub(super) fn refuse_others(&self, folder: &Path) -> Result<()> {
        let mut listed: HashSet<PathBuf> =
            self.files.iter().map(|entry| PathBuf::from(&entry.path)).collect();
        listed.extend([LIST, SEAL].map(PathBuf::from));
        for (name, kind) in contents(folder)? {
            if !kind.is_file() || !listed.contains(&name) {
                let problem = "is not a file of this backup: its list does not name it".to_owned();
                return Err(Error::Damaged { path: folder.join(name), problem });
            }
        }
        Ok(())
    }
}

impl Entry {
    /// The path of the file in a folder.
    pub(super) fn within(&self, folder: &Path) -> PathBuf {
        folder.join(&self.path)
    }

    /// Checks size and hash of a file that was just read.
    pub(super) fn is(&self, path: &Path, bytes: u64, sha256: &str) -> Result<()> {
        if bytes != self.bytes {
            let problem = format!("has {bytes} bytes where the backup had {}", self.bytes);
            return Err(Error::Damaged { path: path.to_owned(), problem });
        }
        if sha256 != self.sha256 {
            let problem = "is not what was backed up: its hash differs".to_owned();
            return Err(Error::Damaged { path: path.to_owned(), problem });
        }
        Ok(())
    }
}

/// Whether a path in a list leads to a file within the folder of the list and nowhere else.
fn stays_inside(path: &str) -> bool {
    !path.contains('\\') && Path::new(path).components().all(|part| matches!(part, Component::Normal(_)))
}

/// Whether a path in a list is one of the files that a backup has.
fn belongs(path: &str) -> bool {
    path == super::folder::DATABASE || path.starts_with("photos/")
}

fn seal(list: &[u8]) -> String {
    format!("{}  {LIST}\n", hex(&Sha256::digest(list)))
}

/// Reads a file that should be small.
fn read_small(path: &Path) -> Result<Vec<u8>> {
    const MOST: u64 = 64 * 1024 * 1024;
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|error| Error::file(path, error))?;
    file.take(MOST).read_to_end(&mut bytes).map_err(|error| Error::file(path, error))?;
    Ok(bytes)
}

pub(super) fn write_through(path: &Path, bytes: &[u8]) -> Result<()> {
    let write = || {
        let mut file = private_file(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|error| Error::file(path, error))
}

/// Reads a whole file and passes each piece to `each`. Returns its size and SHA-256.
fn digest(path: &Path, mut each: impl FnMut(&[u8]) -> io::Result<()>) -> io::Result<(u64, String)> {
    let mut file = File::open(path)?;
    let (mut hasher, mut size, mut piece) = (Sha256::new(), 0, vec![0; 128 * 1024]);
    loop {
        let read = file.read(&mut piece)?;
        let Some(piece) = piece.get(..read).filter(|piece| !piece.is_empty()) else { break };
        hasher.update(piece);
        size += piece.len() as u64;
        each(piece)?;
    }
    Ok((size, hex(&hasher.finalize())))
}

/// Size and SHA-256 of a file.
pub(super) fn measure(path: &Path) -> Result<(u64, String)> {
    digest(path, |_| Ok(())).map_err(|error| Error::file(path, error))
}

/// Copies a file and waits until it is on the disk. Returns size and SHA-256 of the copy.
pub(super) fn copy(from: &Path, to: &Path) -> Result<(u64, String)> {
    if let Some(parent) = to.parent() {
        private_dir(parent).map_err(|error| Error::file(parent, error))?;
    }
    let mut copy = private_file(to).map_err(|error| Error::file(to, error))?;
    let measured = digest(from, |piece| copy.write_all(piece)).map_err(|error| Error::file(from, error))?;
    copy.sync_all().map_err(|error| Error::file(to, error))?;
    Ok(measured)
}

/// Every file under a folder, by its path within it, sorted. Links are not followed and not listed.
pub(super) fn files_under(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut found: Vec<PathBuf> =
        contents(folder)?.into_iter().filter(|(_, kind)| kind.is_file()).map(|(name, _)| name).collect();
    found.sort();
    Ok(found)
}

/// Everything under a folder but folders, by its path within it. Links are not followed.
fn contents(folder: &Path) -> Result<Vec<(PathBuf, FileType)>> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(&next).map_err(|error| Error::file(&next, error))? {
            let entry = entry.map_err(|error| Error::file(&next, error))?;
            let kind = entry.file_type().map_err(|error| Error::file(entry.path(), error))?;
            if kind.is_dir() {
                folders.push(entry.path());
            } else {
                found.extend(entry.path().strip_prefix(folder).map(|name| (name.to_owned(), kind)));
            }
        }
    }
    Ok(found)
}

/// Writes the file names of a folder to the disk, so that a power cut does not lose them.
pub(super) fn sync_folder(folder: &Path) -> Result<()> {
    File::open(folder).and_then(|folder| folder.sync_all()).map_err(|error| Error::file(folder, error))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_leads_nowhere_outside() {
        assert!(stays_inside("driploop.db") && stays_inside("photos/ab/c.jpg"));
        for bad in ["/etc/passwd", "../driploop.db", "photos/../../x", "./x", "photos\\..\\x"] {
            assert!(!stays_inside(bad), "{bad}");
        }
        assert!(belongs("driploop.db") && belongs("photos/ab/c.jpg"));
        assert!(!belongs("driploop.db-wal") && !belongs("keys/authority.json") && !belongs("photos"));
    }
}
