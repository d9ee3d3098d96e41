//! `driploop schema`: the JSON Schema of the job file.

use std::io::Write;

use super::outcome::{Error, Outcome};
use crate::job::file::JobFile;

/// Prints the schema.
///
/// # Errors
///
/// [`Error::Output`] if the output cannot be written.
pub fn run(out: &mut impl Write) -> Result<Outcome, Error> {
    writeln!(out, "{:#}", JobFile::schema())?;
    Ok(Outcome::Well)
}
