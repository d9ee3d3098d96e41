//! `driploop export`: writes a job as a job file.

use std::io::Write;

use super::data::Data;
use super::open::with_store;
use super::outcome::{Error, Outcome};
use crate::store::{JobId, file};

/// The arguments of `driploop export`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The number of the job, as in the address of its page
    pub job: JobId,
    #[command(flatten)]
    data: Data,
}

/// Prints the job file.
///
/// # Errors
///
/// [`Error`] if there is no such job or the data cannot be opened.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let job =
        with_store(&args.data, async |store| Ok(file::export(&mut *store.read().await?, args.job).await?))?;
    out.write_all(job.write().as_bytes())?;
    Ok(Outcome::Well)
}
