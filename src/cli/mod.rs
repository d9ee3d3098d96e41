//! The command line: one file for each command.
//!
//! Every command answers with one of three exit codes: 0 well, 1 done and something has to be put
//! right, 2 not done.

pub mod backup;
pub mod check;
pub mod data;
pub mod demo;
pub mod doctor;
pub mod export;
pub mod import;
mod open;
pub mod restore;
pub mod schema;
pub mod serve;
pub mod tls;
pub mod user;

use std::fs::File;
use std::io::{self, Read, Write};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use thiserror::Error;

use crate::job::file::{FileError, JobFile, LIMIT};
use crate::job::value::BadValue;
use crate::shop::secret::Unfit;
use crate::store;

/// Carries a small boat's strip-out and rewire from intake to the manager's report.
#[derive(Debug, Parser)]
#[command(name = "driploop", version, args_conflicts_with_subcommands = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// What `serve` takes: without a command the program serves.
    #[command(flatten)]
    pub serve: serve::Args,
}

/// What the program can be asked to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the shop's pages (the default)
    Serve(serve::Args),
    /// Print the JSON Schema of the job file
    Schema,
    /// Check a job file: sizes, drops, protection, the solved network and all findings
    Check(check::Args),
    /// Take in job files as new jobs
    Import(import::Args),
    /// Write a job as its job file
    Export(export::Args),
    /// Add, list and disable people, and give them passphrases
    User(user::Args),
    /// Back the shop's data up, while the server runs or not
    Backup(backup::Args),
    /// Put a backup in the place of the shop's data, after it is proven
    Restore(restore::Args),
    /// Look the shop's data over for damage
    Doctor(doctor::Args),
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
    /// No folder is named and nobody has a home.
    #[error("there is no home directory to keep the data in: name a folder with --data or DRIPLOOP_DATA")]
    NoDataFolder,
    /// The store.
    #[error(transparent)]
    Store(#[from] store::Error),
    /// A value that is not what it should be.
    #[error(transparent)]
    Value(#[from] BadValue),
    /// A passphrase that will not do.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// The passphrase and its repetition.
    #[error("the two passphrases are not the same")]
    PassphrasesDiffer,
    /// Nobody gives a passphrase.
    #[error("no passphrase could be read: {0}")]
    NoPassphrase(io::Error),
    /// A log filter that cannot be read.
    #[error("'{0}' is not a log filter ({1}): expected a level such as info, or modules with levels")]
    LogFilter(String, tracing_subscriber::filter::ParseError),
    /// The address is taken, or not this machine's.
    #[error("{address} cannot be listened on: {error} (another address: --listen or DRIPLOOP_LISTEN)")]
    NotListening {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        error: io::Error,
    },
    /// There can be no HTTPS.
    #[error(transparent)]
    Tls(#[from] crate::web::tls::Error),
    /// The demo shop.
    #[error(transparent)]
    Demo(#[from] demo::DemoError),
    /// Nobody takes the output.
    #[error("the output cannot be written: {0}")]
    Output(#[from] io::Error),
}

/// Runs one command and tells the system how it ended.
pub fn run(cli: Cli) -> ExitCode {
    let outcome = match cli.command.unwrap_or(Command::Serve(cli.serve)) {
        Command::Serve(args) => serve::run(args),
        Command::Schema => schema::run(&mut io::stdout().lock()),
        Command::Check(args) => check::run(&args, &mut io::stdout().lock()),
        Command::Import(args) => import::run(&args, &mut io::stdout().lock()),
        Command::Export(args) => export::run(&args, &mut io::stdout().lock()),
        Command::User(args) => user::run(&args, &mut io::stdout().lock()),
        Command::Backup(args) => backup::run(&args, &mut io::stdout().lock()),
        Command::Restore(args) => restore::run(&args, &mut io::stdout().lock()),
        Command::Doctor(args) => doctor::run(&args, &mut io::stdout().lock()),
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
