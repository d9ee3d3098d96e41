//! The results and errors of commands.

use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;

use thiserror::Error;

use super::demo;
use crate::job::file::FileError;
use crate::job::value::BadValue;
use crate::shop::secret::Unfit;
use crate::store;

/// The result of a command that did its task.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing is wrong.
    Well,
    /// Something needs correction.
    Wrong,
}

/// Why a command could not do its task.
#[derive(Debug, Error)]
pub enum Error {
    /// A file that cannot be read.
    #[error("{}: cannot be read: {error}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// The error of the system.
        error: io::Error,
    },
    /// A file that is not a job.
    #[error("{}: {error}", path.display())]
    NotAJob {
        /// The file.
        path: PathBuf,
        /// The problem and its position in the file.
        error: FileError,
    },
    /// A file that is no request for a proposal.
    #[error("{}: {error}", path.display())]
    NotARequest {
        /// The file.
        path: PathBuf,
        /// The problem and its position in the file.
        error: serde_json::Error,
    },
    /// No plan could be proposed.
    #[error(transparent)]
    NotProposed(#[from] crate::job::propose::ProposeError),
    /// A file that cannot be written.
    #[error("{}: cannot be written: {error}", path.display())]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// The error of the system.
        error: io::Error,
    },
    /// No folder is given, and the user has no home folder.
    #[error("there is no home directory to keep the data in: name a folder with --data or DRIPLOOP_DATA")]
    NoDataFolder,
    /// The store failed.
    #[error(transparent)]
    Store(#[from] store::Error),
    /// A value is not valid.
    #[error(transparent)]
    Value(#[from] BadValue),
    /// A passphrase is not accepted.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// The passphrase and its repetition differ.
    #[error("the two passphrases are not the same")]
    PassphrasesDiffer,
    /// No passphrase could be read.
    #[error("no passphrase could be read: {0}")]
    NoPassphrase(io::Error),
    /// A log filter that cannot be read.
    #[error("'{0}' is not a log filter ({1}): expected a level such as info, or modules with levels")]
    LogFilter(String, tracing_subscriber::filter::ParseError),
    /// The address is in use, or does not belong to this computer.
    #[error("{address} cannot be listened on: {error} (another address: --listen or DRIPLOOP_LISTEN)")]
    NotListening {
        /// The address.
        address: SocketAddr,
        /// The error of the system.
        error: io::Error,
    },
    /// HTTPS could not be set up.
    #[error(transparent)]
    Tls(#[from] crate::web::tls::TlsError),
    /// The demo shop could not be loaded.
    #[error(transparent)]
    Demo(#[from] demo::DemoError),
    /// The output could not be written.
    #[error("the output cannot be written: {0}")]
    Output(#[from] io::Error),
}
