//! `driploop restore`: a backup put in the place of what is there.

use std::io::Write;
use std::path::PathBuf;

use jiff::Timestamp;

use super::data::Data;
use super::open::actor;
use super::outcome::{Error, Outcome};
use crate::store::restore;

/// Which backup, and what with it.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The backup: a folder that `driploop backup` or the server made
    pub backup: PathBuf,
    /// Prove the backup and leave everything as it is
    #[arg(long)]
    pub verify_only: bool,
    #[command(flatten)]
    data: Data,
}

/// Proves the backup and puts it in place; the server has to be stopped for it. Prints where what was there lies now.
///
/// # Errors
///
/// [`Error`] when the backup is damaged, or the data is in use or cannot be written.
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
