//! `driploop check`: checks a job file and prints the result as text or as JSON.

use std::io::{self, Write};
use std::path::PathBuf;

use serde::Serialize;

use super::outcome::{Error, Outcome};
use super::read::read_job;
use crate::job::check::{
    By, CircuitReport, ConductorReport, PointReport, ProtectionReport, Report, together,
};
use crate::job::checked::Checked;
use crate::job::event::History;
use crate::job::file::JobFile;
use crate::job::plan::Plan;
use crate::job::steps::Step;
use crate::job::value::FeederId;
use crate::job::work::{Reopened, Verdicts, Work};
use crate::trade::conductor::Size;
use crate::trade::finding::Level;
use crate::trade::units::{self, Units};
use crate::trade::working::figure;

/// The arguments of `driploop check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    pub file: PathBuf,
    /// Print everything as one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Checks the file and prints the result.
///
/// # Errors
///
/// [`Error`] if the file is not a job or the output cannot be written.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let job = read_job(&args.file)?;
    let JobFile { plan, mut history } = job;
    // Whoever reads a job file knows nobody who wrote it.
    history.all_imported();
    let checked = Checked::of(plan);
    let verdicts = Verdicts::of(&checked, &history);
    let work = Work::of(&checked, &history, &verdicts);
    let mut report = Report { findings: work.findings().to_vec(), ..checked.report.clone() };
    if args.json {
        report.joint = Some(together(&checked.plan, &report));
    }
    let history = Imported::of(&work, &history);
    if args.json {
        let whole = Whole { report: &report, history: &history };
        serde_json::to_writer_pretty(&mut *out, &whole).map_err(io::Error::from)?;
        writeln!(out)?;
    } else {
        print(&checked.plan, &report, out)?;
        history.print(out)?;
    }
    Ok(if report.passes() && history.failing.is_empty() { Outcome::Well } else { Outcome::Wrong })
}

/// Everything that is printed as JSON.
#[derive(Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    report: &'a Report,
    history: &'a Imported,
}

/// What the history of the file shows, read as imported.
#[derive(Serialize)]
struct Imported {
    /// Always `imported`.
    read_as: &'static str,
    /// The number of records.
    records: usize,
    /// Releases that do not count, because no manager of a shop confirmed them.
    releases_not_confirmed: usize,
    waivers_not_confirmed: usize,
    judgments_not_confirmed: usize,
    /// The things whose latest measurement failed.
    failing: Vec<String>,
    /// What holds the boat, the worst first.
    holds: Vec<String>,
}

impl Imported {
    fn of(work: &Work<'_>, history: &History) -> Self {
        let counting = history.clone().standing();
        let reopened = |step: &Step| work.status(&step.key).reopened.clone();
        let waivers = work.steps().all().iter().filter_map(reopened);
        Self {
            read_as: "imported",
            records: history.imported.len(),
            releases_not_confirmed: counting.releases.len(),
            waivers_not_confirmed: waivers.filter(|why| *why == Reopened::NotConfirmed).count(),
            judgments_not_confirmed: counting.judgments.len(),
            failing: work.failing(),
            holds: work.summary().reasons().into_iter().map(|reason| reason.text).collect(),
        }
    }

    fn print(&self, out: &mut impl Write) -> io::Result<()> {
        if self.records == 0 {
            return Ok(());
        }
        writeln!(out, "\nHistory: {} records, read as imported", self.records)?;
        writeln!(
            out,
            "Not confirmed, so they do not count: releases {}, waivers {}, judgments {}",
            self.releases_not_confirmed, self.waivers_not_confirmed, self.judgments_not_confirmed
        )?;
        self.holds.iter().try_for_each(|reason| writeln!(out, "{reason}"))
    }
}

fn print(plan: &Plan, report: &Report, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}: {}", plan.boat.name, plan.job.name)?;
    writeln!(out, "{}, {} V nominal", report.rules.words(), figure(report.nominal_v))?;
    circuits(report).print("Circuits", out)?;
    feeders(report).print("Feeders", out)?;
    points(report).print("Distribution", out)?;
    findings(report, out)
}

fn circuits(report: &Report) -> Table {
    let mut table = Table::new(&[
        "id",
        "name",
        "size",
        "one way",
        "A",
        "ampacity A",
        "drop %",
        "solved %",
        "V at load",
        "fuse A",
        "fault A",
    ]);
    for (id, circuit) in &report.circuits {
        let CircuitReport {
            name,
            conductor: ConductorReport { size, size_by, protection, protected_by, .. },
            ..
        } = circuit;
        table.row([
            id.to_string(),
            name.clone(),
            sized(*size, *size_by),
            length(circuit.conductor.one_way_m, report),
            number(circuit.conductor.design_current_a),
            number(circuit.conductor.derated_ampacity_a),
            number(circuit.conductor.handbook_drop_pct),
            number(circuit.conductor.solved_drop_pct),
            number(circuit.lowest_v()),
            fuse(protection.as_ref(), protected_by.as_ref()),
            number(circuit.conductor.fault_current_a),
        ]);
    }
    table
}

fn feeders(report: &Report) -> Table {
    let mut table = Table::new(&[
        "id",
        "route",
        "size",
        "one way",
        "A",
        "ampacity A",
        "drop %",
        "solved V",
        "fuse A",
        "fault A",
    ]);
    for (id, feeder) in &report.feeders {
        let ConductorReport { size, size_by, protection, protected_by, .. } = &feeder.conductor;
        table.row([
            id.to_string(),
            feeder.conductor.route.join(" "),
            sized(*size, *size_by),
            length(feeder.conductor.one_way_m, report),
            number(feeder.conductor.design_current_a),
            number(feeder.conductor.derated_ampacity_a),
            number(feeder.conductor.handbook_drop_pct),
            number(feeder.conductor.solved_drop_v),
            fuse(protection.as_ref(), protected_by.as_ref()),
            number(feeder.conductor.fault_current_a),
        ]);
    }
    table
}

fn points(report: &Report) -> Table {
    let mut table = Table::new(&["id", "V", "A", "ampacity A", "positions", "free"]);
    for (id, point) in &report.points {
        let PointReport { positions, positions_free, .. } = point;
        let count = |count: &Option<usize>| count.map_or_else(|| "-".to_owned(), |count| count.to_string());
        table.row([
            id.to_string(),
            number(point.voltage_v),
            number(point.current_a),
            number(point.rating_a),
            count(positions),
            count(positions_free),
        ]);
    }
    table
}

fn findings(report: &Report, out: &mut impl Write) -> io::Result<()> {
    let [stop, fix, note] = [Level::Stop, Level::Fix, Level::Note].map(|level| report.count(level));
    writeln!(out, "\nFindings: {stop} stop, {fix} fix, {note} note")?;
    let units = Units::of_rules(report.rules);
    for finding in &report.findings {
        let text = finding.line().text(units);
        writeln!(out, "{:<4} {}  {}: {text}", finding.level.word(), finding.subject, finding.code.phrase())?;
    }
    Ok(())
}

/// A figure with at most three decimals, or a dash if it is not known.
fn number(value: Option<f64>) -> String {
    let Some(value) = value else { return "-".to_owned() };
    // A value below half of the last digit would otherwise print as -0.
    let text = format!("{:.3}", if value.abs() < 0.0005 { 0.0 } else { value });
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A length in the units of the plan's rules, or a dash if it is not known.
fn length(meters: Option<f64>, report: &Report) -> String {
    let text = |length| units::meters(length).text(Units::of_rules(report.rules));
    meters.map_or_else(|| "-".to_owned(), text)
}

/// A size; a star marks one that the program chose.
fn sized(size: Option<Size>, by: Option<By>) -> String {
    match (size, by) {
        (Some(size), Some(By::Chosen)) => format!("{size} *"),
        (Some(size), _) => size.to_string(),
        (None, _) => "-".to_owned(),
    }
}

/// A rating with its permitted range; a star marks one that the program chose. Without a protective device of its
/// own: the feeder that protects it.
fn fuse(protection: Option<&ProtectionReport>, protected_by: Option<&FeederId>) -> String {
    let Some(protection) = protection else {
        return protected_by.map_or_else(|| "-".to_owned(), |other| format!("by {other}"));
    };
    let star = if protection.rating_by == Some(By::Chosen) { " *" } else { "" };
    let range = format!("{} to {}", number(protection.lowest_a), number(protection.highest_a));
    format!("{}{star} ({range})", number(protection.rating_a))
}

/// Rows in columns as wide as their widest cell.
struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    fn new(heads: &[&str]) -> Self {
        Self { rows: vec![heads.iter().map(|head| (*head).to_owned()).collect()] }
    }

    fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    fn print(&self, title: &str, out: &mut impl Write) -> io::Result<()> {
        if self.rows.len() < 2 {
            return Ok(());
        }
        writeln!(out, "\n{title}")?;
        let columns = self.rows.first().map_or(0, Vec::len);
        let width = |column| {
            self.rows.iter().filter_map(|row| row.get(column)).map(|cell: &String| cell.chars().count()).max()
        };
        let widths: Vec<usize> = (0..columns).map(|column| width(column).unwrap_or(0)).collect();
        for row in &self.rows {
            let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}"));
            writeln!(out, "{}", cells.collect::<Vec<_>>().join("  ").trim_end())?;
        }
        Ok(())
    }
}
