//! `driploop import`: imports job files as new jobs.

use std::io::Write;
use std::path::PathBuf;

use jiff::Timestamp;

use super::data::Data;
use super::open::{actor, with_store};
use super::outcome::{Error, Outcome};
use super::read::read_job;
use crate::store::file;

/// The arguments of `driploop import`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job files
    #[arg(required = true)]
    pub files: Vec<PathBuf>,
    #[command(flatten)]
    data: Data,
}

/// Imports all files or none, and prints the number and name of each new job.
///
/// # Errors
///
/// [`Error`] if a file is not a job or the data cannot be opened.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let jobs = args.files.iter().map(|path| read_job(path)).collect::<Result<Vec<_>, _>>()?;
    let taken_in = with_store(&args.data, async |store| {
        let mut write = store.write(&actor()?, Timestamp::now()).await?;
        let mut taken_in = Vec::new();
        for job in &jobs {
            taken_in.push(file::import(&mut write, job).await?);
        }
        write.commit().await?;
        Ok(taken_in)
    })?;
    for (id, job) in taken_in.iter().zip(&jobs) {
        writeln!(out, "job {id}: {}", job.plan.job.name)?;
    }
    Ok(Outcome::Well)
}
