//! The command line: one file for each command.
//!
//! Every command answers with one of three exit codes: 0 well, 1 done and something has to be put
//! right, 2 not done.

pub mod check;
pub mod schema;

use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use thiserror::Error;

use crate::job::file::{FileError, JobFile, LIMIT};

/// Carries a small boat's strip-out and rewire from intake to the owner's report.
#[derive(Debug, Parser)]
#[command(name = "driploop", version)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What the program can be asked to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Print the JSON Schema of the job file
    Schema,
    /// Check a job file: sizes, drops, protection, the solved network and all findings
    Check(check::Args),
}

/// How a command ended, when it could do what was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing is wrong.
    Well,
    /// Something has to be put right.
    Wrong,
}

/// Why a command could not do what was asked.
#[derive(Debug, Error)]
pub enum Error {
    /// A file that cannot be read.
    #[error("{}: cannot be read: {error}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// A file that is not a job.
    #[error("{}: {error}", path.display())]
    NotAJob {
        /// The file.
        path: PathBuf,
        /// Where in it and what.
        error: FileError,
    },
    /// Nobody takes the output.
    #[error("the output cannot be written: {0}")]
    Output(#[from] io::Error),
}

/// Runs one command and tells the system how it ended.
pub fn run(cli: Cli) -> ExitCode {
    let outcome = match cli.command {
        Command::Schema => schema::run(&mut io::stdout().lock()),
        Command::Check(args) => check::run(&args, &mut io::stdout().lock()),
    };
    match outcome {
        Ok(Outcome::Well) => ExitCode::SUCCESS,
        Ok(Outcome::Wrong) => ExitCode::from(1),
        // Whoever reads the output has seen enough.
        Err(Error::Output(error)) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            // Without anywhere to complain, the exit code still tells.
            let _ = writeln!(io::stderr(), "driploop: {error}");
            ExitCode::from(2)
        }
    }
}

/// Reads a job file, and no more of it than a job file can have.
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
