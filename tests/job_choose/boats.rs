//! Boats to choose sizes for, and what their check says.

use driploop::job::check::{Report, check};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::trade::finding::Level;
use driploop::trade::units::Units;
use serde_json::Value;

/// The check of a job file.
#[track_caller]
pub fn checked(job: &Value) -> Report {
    let job = JobFile::read(job.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}"));
    check(&job.plan)
}

/// The findings over the level of a note, with their texts.
pub fn wrongs(report: &Report) -> Vec<String> {
    report.findings.iter().filter(|finding| finding.level != Level::Note).map(said).collect()
}

/// A finding as text.
pub fn said(finding: &Finding) -> String {
    format!("{} {}: {}", finding.code.phrase(), finding.subject, finding.text.text(Units::Metric))
}

/// The size that a feeder or circuit has in a report.
#[track_caller]
pub fn size(report: &Report, id: &str) -> String {
    let feeder = report.feeders.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| &own.conductor);
    let circuit = report.circuits.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| &own.conductor);
    feeder.or(circuit).and_then(|own| own.size).unwrap().to_string()
}
