//! The HTTPS keys in the data folder: each is in one file with its certificate. Only the file's owner in the
//! operating system can read it.
//!
//! They are not part of a backup. Anyone with the authority's key can impersonate the shop to every tablet that
//! trusts it.

use std::fmt;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::error::{Error, Result};
use super::folder::{Folder, private_dir, private_file};

/// KeyKind key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyKind {
    /// The key of the certificate authority, which tablets trust.
    Authority,
    /// The key of the server, which the authority signs.
    Server,
}

impl KeyKind {
    /// The name of its file in [`Folder::keys`].
    pub fn file(self) -> &'static str {
        match self {
            Self::Authority => "authority.json",
            Self::Server => "server.json",
        }
    }
}

/// A key with its certificate, both as PEM.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kept {
    /// When it was made.
    pub made: Timestamp,
    /// The hosts it was made for.
    pub hosts: Vec<String>,
    /// The certificate.
    pub certificate: String,
    /// The private key.
    pub key: String,
}

/// Never prints the key.
impl fmt::Debug for Kept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Kept").field("made", &self.made).field("hosts", &self.hosts).finish_non_exhaustive()
    }
}

/// The stored key; `None` if there is none yet.
///
/// # Errors
///
/// [`Error::File`] and [`Error::Damaged`].
pub fn read(folder: &Folder, which: KeyKind) -> Result<Option<Kept>> {
    let path = folder.keys().join(which.file());
    let text = match fs::read(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(Error::file(path, error)),
    };
    let damaged = |error| Error::Damaged {
        path,
        problem: format!(
            "is not a key as this program keeps them ({error}): move it away to have a new one made"
        ),
    };
    serde_json::from_slice(&text).map(Some).map_err(damaged)
}

/// Replaces the stored key. Even after a crash the file is complete, old or new.
///
/// # Errors
///
/// [`Error::File`].
pub fn keep(folder: &Folder, which: KeyKind, kept: &Kept) -> Result<()> {
    let text = serde_json::to_vec_pretty(kept)?;
    let path = folder.keys().join(which.file());
    write(&folder.keys(), &path, &text).map_err(|error| Error::file(path, error))
}

fn write(folder: &Path, path: &Path, text: &[u8]) -> io::Result<()> {
    private_dir(folder)?;
    let part = path.with_extension("part");
    // A file left by an interrupted run may have been made with other permissions.
    match fs::remove_file(&part) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    let mut file = private_file(&part)?;
    file.write_all(text)?;
    file.sync_all()?;
    fs::rename(&part, path)?;
    File::open(folder)?.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept() -> Kept {
        let made = "2026-03-01T08:00:00Z".parse().unwrap();
        Kept { made, hosts: vec!["localhost".to_owned()], certificate: "C".to_owned(), key: "K".to_owned() }
    }

    #[test]
    fn a_key_is_kept_whole_and_a_broken_one_is_not_taken_for_none() {
        let data = tempfile::tempdir().unwrap();
        let folder = Folder::create(data.path()).unwrap();
        assert_eq!(read(&folder, KeyKind::Server).unwrap(), None);
        keep(&folder, KeyKind::Server, &Kept { key: "older".to_owned(), ..kept() }).unwrap();
        keep(&folder, KeyKind::Server, &kept()).unwrap();
        assert_eq!(read(&folder, KeyKind::Server).unwrap(), Some(kept()));
        assert_eq!(read(&folder, KeyKind::Authority).unwrap(), None);
        fs::write(folder.keys().join("authority.json"), "{").unwrap();
        let error = read(&folder, KeyKind::Authority).unwrap_err().to_string();
        assert!(error.contains("authority.json is not a key"), "{error}");
    }

    #[test]
    fn a_key_is_never_printed() {
        assert!(!format!("{:?}", Kept { key: "SECRET".to_owned(), ..kept() }).contains("SECRET"));
    }

    #[cfg(unix)]
    #[test]
    fn keys_are_readable_by_their_account_alone() {
        use std::os::unix::fs::PermissionsExt;
        let data = tempfile::tempdir().unwrap();
        let folder = Folder::create(data.path()).unwrap();
        keep(&folder, KeyKind::Authority, &kept()).unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&folder.keys()), 0o700);
        assert_eq!(mode(&folder.keys().join("authority.json")), 0o600);
    }
}
