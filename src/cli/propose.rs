//! `driploop propose`: proposes a plan from a boat form and a list of wishes.

use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::outcome::{Error, Outcome};
use crate::job::event::History;
use crate::job::file::JobFile;
use crate::job::finding::Finding;
use crate::job::kind::Catalog;
use crate::job::plan::{BoatForm, ProposalRequest};
use crate::job::propose::{LeftOut, Proposal, Said, propose};
use crate::job::supposed::{ToMeasure, to_measure};
use crate::trade::finding::Level;
use crate::trade::units::Units;

/// The arguments of `driploop propose`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The request: JSON with the boat form in `boat` and one wish a line in the list `wishes`
    pub file: PathBuf,
    /// Print everything as one JSON document, with the job file in `job`
    #[arg(long)]
    pub json: bool,
    /// Write the proposed plan as a job file
    #[arg(long, value_name = "JOBFILE")]
    pub out: Option<PathBuf>,
}

/// The request as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    boat: BoatForm,
    #[serde(default)]
    wishes: Vec<String>,
}

/// Everything that is printed as JSON.
#[derive(Serialize)]
struct Whole<'a> {
    job: serde_json::Value,
    left_out: &'a [LeftOut],
    said: &'a [Said],
    findings: &'a [Finding],
}

/// Proposes a plan, writes it if asked, and prints it.
///
/// # Errors
///
/// [`Error`] if the file is no request, or if something cannot be written.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let request = read(args)?;
    let proposal = propose(&request, Catalog::built_in())?;
    let file = JobFile { plan: proposal.plan.clone(), history: History::default() };
    if let Some(path) = &args.out {
        fs::write(path, file.write()).map_err(|error| Error::Unwritable { path: path.clone(), error })?;
    }
    if args.json {
        let whole = Whole {
            job: serde_json::from_str(&file.write()).map_err(io::Error::from)?,
            left_out: &proposal.left_out,
            said: &proposal.said,
            findings: &proposal.report.findings,
        };
        serde_json::to_writer_pretty(&mut *out, &whole).map_err(io::Error::from)?;
        writeln!(out)?;
    } else {
        print(&proposal, out)?;
    }
    Ok(if proposal.report.passes() { Outcome::Well } else { Outcome::Wrong })
}

fn read(args: &Args) -> Result<ProposalRequest, Error> {
    let path = || args.file.clone();
    let text = fs::read_to_string(&args.file).map_err(|error| Error::Unreadable { path: path(), error })?;
    let written: Written =
        serde_json::from_str(&text).map_err(|error| Error::NotARequest { path: path(), error })?;
    Ok(ProposalRequest { boat: written.boat, wishes: written.wishes.join("\n").try_into()? })
}

/// Prints what the plan has, what it leaves out, what is to be measured, and the findings.
fn print(proposal: &Proposal, out: &mut impl Write) -> io::Result<()> {
    let plan = &proposal.plan;
    writeln!(out, "{}: proposed plan", plan.boat.name)?;
    writeln!(
        out,
        "{} locations, {} raceways, {} distribution points, {} feeders, {} devices, {} circuits",
        plan.locations.len(),
        plan.raceways.len(),
        plan.points.len(),
        plan.feeders.len(),
        plan.devices.len(),
        plan.circuits.len()
    )?;
    let units = Units::of_rules(plan.job.rules);
    writeln!(out, "\nFeeders")?;
    for feeder in &plan.feeders {
        let size = feeder.size.map_or("open".to_owned(), |size| size.to_string());
        let rating = feeder.protection.as_ref().and_then(|fuse| fuse.rating_a);
        let fuse = rating.map_or("-".to_owned(), |rating| format!("{rating} A"));
        writeln!(out, "{}  {}  {size}  {fuse}", feeder.id, plan.feeder_name(feeder))?;
    }
    writeln!(out, "\nCircuits")?;
    for circuit in &plan.circuits {
        let size = circuit.size.map_or("open".to_owned(), |size| size.to_string());
        let rating = circuit.protection.as_ref().and_then(|fuse| fuse.rating_a);
        let fuse = rating.map_or("-".to_owned(), |rating| format!("{rating} A"));
        writeln!(out, "{}  {}  from {}  {size}  {fuse}", circuit.id, circuit.name, circuit.from)?;
    }
    print_rules(proposal, out)?;
    let rows = to_measure(plan);
    writeln!(out, "\nTo measure: {} values", rows.len())?;
    rows.iter().try_for_each(|row| writeln!(out, "{}", measured(row)))?;
    let counts = [Level::Stop, Level::Fix, Level::Note]
        .map(|level| proposal.report.findings.iter().filter(|finding| finding.level == level).count());
    writeln!(out, "\nFindings: {} stop, {} fix, {} note", counts[0], counts[1], counts[2])?;
    for finding in &proposal.report.findings {
        let (level, code) = (finding.level.word(), finding.code.phrase());
        writeln!(out, "{level:<4} {}  {code}: {}", finding.subject, finding.line().text(units))?;
    }
    Ok(())
}

/// Prints what was left out, and the remarks with their rules.
fn print_rules(proposal: &Proposal, out: &mut impl Write) -> io::Result<()> {
    if !proposal.left_out.is_empty() {
        writeln!(out, "\nLeft out")?;
    }
    for left in &proposal.left_out {
        writeln!(out, "{}: {}", left.wish.trim(), left.reason)?;
    }
    if !proposal.said.is_empty() {
        writeln!(out, "\nRemarks")?;
    }
    proposal.said.iter().try_for_each(|said| writeln!(out, "{}: {}", said.rule.number(), said.text))
}

/// One value to measure.
fn measured(row: &ToMeasure<'_>) -> String {
    let things: Vec<String> = row.things.iter().map(ToString::to_string).collect();
    format!("{}  {} = {}", things.join(", "), row.supposed.field, row.supposed.value)
}
