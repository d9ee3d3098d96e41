//! `driploop doctor`: examines the shop's data for damage.

use std::io::{self, Write};

use super::data::Data;
use super::outcome::{Error, Outcome};
use crate::store::doctor::{self, DoctorReport};

/// The arguments of `driploop doctor`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    data: Data,
}

/// Examines the data, changes nothing, and prints the result. A server may be running.
///
/// # Errors
///
/// [`Error`] if there is no data or it cannot be read at all.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let folder = args.data.folder().ok_or(Error::NoDataFolder)?;
    let report = tokio::runtime::Runtime::new()?.block_on(doctor::examine(&folder))?;
    print(&report, out)?;
    Ok(if report.is_well() { Outcome::Well } else { Outcome::Wrong })
}

fn print(report: &DoctorReport, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "schema: {} (this program knows {})", report.schema, report.known)?;
    if report.interrupted_restore {
        writeln!(out, "a restore broke off: run it again")?;
    }
    list(out, "database file", &report.broken)?;
    list(out, "references", &report.dangling)?;
    let jobs: Vec<_> = report.unreadable.iter().map(|(job, why)| format!("job {job}: {why}")).collect();
    list(out, "jobs", &jobs)?;
    let photos: Vec<_> = report.orphaned_photos.iter().map(|path| path.display().to_string()).collect();
    list(out, "photos that nothing names", &photos)?;
    let missing: Vec<_> = report.missing_photos.iter().map(|path| path.display().to_string()).collect();
    list(out, "photos that are missing", &missing)
}

fn list(out: &mut impl Write, what: &str, found: &[String]) -> io::Result<()> {
    if found.is_empty() {
        return writeln!(out, "{what}: nothing found");
    }
    writeln!(out, "{what}:")?;
    found.iter().try_for_each(|line| writeln!(out, "  {line}"))
}
