//! Reading a job file.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::outcome::Error;
use crate::job::file::{JobFile, LIMIT};

/// Reads a job file, up to the maximum size of a job file.
///
/// # Errors
///
/// [`Error::Unreadable`] and [`Error::NotAJob`].
pub fn read_job(path: &Path) -> Result<JobFile, Error> {
    let unreadable = |error| Error::Unreadable { path: path.to_owned(), error };
    let mut bytes = Vec::new();
    let most = LIMIT as u64 + 1;
    File::open(path).map_err(unreadable)?.take(most).read_to_end(&mut bytes).map_err(unreadable)?;
    JobFile::read(&bytes).map_err(|error| Error::NotAJob { path: path.to_owned(), error })
}
