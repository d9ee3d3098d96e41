//! How a command ends, well or not.

use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;

use thiserror::Error;

use super::demo;
use crate::job::file::FileError;
use crate::job::value::BadValue;
use crate::shop::secret::Unfit;
use crate::store;

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
