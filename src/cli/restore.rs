//! `driploop restore`: replaces the data with a backup.

use std::io::Write;
use std::path::PathBuf;

use jiff::Timestamp;

use super::data::Data;
use super::open::actor;
use super::outcome::{Error, Outcome};
use crate::store::restore;

/// The arguments of `driploop restore`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The backup: a folder that `driploop backup` or the server made
    pub backup: PathBuf,
    /// Only verify the backup and change nothing
    #[arg(long)]
    pub verify_only: bool,
    #[command(flatten)]
    data: Data,
}

/// Verifies the backup and replaces the data with it. The server must be stopped first. Prints the folder with the
/// previous data.
///
/// # Errors
///
/// [`Error`] if the backup is damaged, or the data is in use or cannot be written.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let runtime = tokio::runtime::Runtime::new()?;
    if args.verify_only {
        let manifest = runtime.block_on(restore::verify(&args.backup))?;
        writeln!(out, "sound: taken {}, {} files", manifest.made_at, manifest.files.len())?;
        return Ok(Outcome::Well);
    }
    let folder = args.data.folder().ok_or(Error::NoDataFolder)?;
    let restored = runtime.block_on(restore::restore(&args.backup, &folder, &actor()?, Timestamp::now()))?;
    writeln!(out, "restored: the shop as it was {}; everybody has to sign in again", restored.made_at)?;
    if let Some(aside) = restored.set_aside {
        writeln!(out, "what was there before is in {}", aside.display())?;
    }
    Ok(Outcome::Well)
}
