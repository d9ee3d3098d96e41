//! The keys of HTTPS in the data folder: each with its certificate in one file that its customer alone reads.
//!
//! They are no part of a backup: whoever has the authority's key can pass for the shop before every tablet that
//! trusts it.

use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::Path;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::error::{Error, Result};
use super::folder::{Folder, private_dir};

/// Which key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// The authority's, that tablets trust.
    Authority,
    /// The server's, that the authority vouches for.
    Server,
}

impl Which {
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

/// What is kept; `None` where nothing is yet.
///
/// # Errors
///
/// [`Error::File`] and [`Error::Damaged`].
pub fn read(folder: &Folder, which: Which) -> Result<Option<Kept>> {
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

/// Keeps a key in the place of the one before it; whatever happens, a whole one is there.
///
/// # Errors
///
/// [`Error::File`].
pub fn keep(folder: &Folder, which: Which, kept: &Kept) -> Result<()> {
    let text = serde_json::to_vec_pretty(kept)?;
    let path = folder.keys().join(which.file());
    write(&folder.keys(), &path, &text).map_err(|error| Error::file(path, error))
}

fn write(folder: &Path, path: &Path, text: &[u8]) -> io::Result<()> {
    private_dir(folder)?;
    let part = path.with_extension("part");
    // One that is left of a run that broke off may have been made by other rules.
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

#[cfg(unix)]
fn private_file(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    OpenOptions::new().write(true).create_new(true).mode(0o600).open(path)
}

#[cfg(not(unix))]
fn private_file(path: &Path) -> io::Result<File> {
    OpenOptions::new().write(true).create_new(true).open(path)
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
        assert_eq!(read(&folder, Which::Server).unwrap(), None);
        keep(&folder, Which::Server, &Kept { key: "older".to_owned(), ..kept() }).unwrap();
        keep(&folder, Which::Server, &kept()).unwrap();
        assert_eq!(read(&folder, Which::Server).unwrap(), Some(kept()));
        assert_eq!(read(&folder, Which::Authority).unwrap(), None);
        fs::write(folder.keys().join("authority.json"), "{").unwrap();
        let error = read(&folder, Which::Authority).unwrap_err().to_string();
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
        keep(&folder, Which::Authority, &kept()).unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&folder.keys()), 0o700);
        assert_eq!(mode(&folder.keys().join("authority.json")), 0o600);
    }
}
