//! Findings about the records of a job: records of things that the plan does not have, and failed sample crimps.

use std::cmp::Reverse;

use foldhash::HashSet;

use super::events::Events;
use crate::job::check::Sizes;
use crate::job::checked::Checked;
use crate::job::crimp;
use crate::job::event::{History, Mark, Tick};
use crate::job::finding::Finding;
use crate::job::names::Names;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::Units;

/// The sorts of crimp whose latest sample failed.
pub(super) fn failed_crimps(checked: &Checked, history: &History) -> Vec<crimp::Failed> {
    if history.crimp_pulls.is_empty() {
        return Vec::new();
    }
    let sizes = Sizes::of(&checked.report);
    crimp::failed(&checked.plan, &checked.conductors, |wire| sizes.get(wire), &history.clone().standing())
}

/// The findings about the plan and its records, the most serious first.
pub(super) fn all(
    checked: &Checked,
    history: &History,
    events: &Events<'_>,
    failed: &[crimp::Failed],
) -> Vec<Finding> {
    let mut of_records = records(checked, history, events);
    of_records.extend(failed.iter().map(crimp::Failed::finding));
    Names::of(&checked.plan).give(&mut of_records);
    let mut all: Vec<Finding> = checked.report.findings.iter().cloned().chain(of_records).collect();
    all.sort_by_key(|finding| Reverse(finding.level));
    all
}

/// Records stay when the plan changes. This reports records that refer to no item of the plan.
fn records(checked: &Checked, history: &History, events: &Events<'_>) -> Vec<Finding> {
    let ticks = strays(checked, events).map(|tick| {
        let (by, step) = (tick.by.to_string(), tick.step.action.word());
        let text = say!("{} marked a step that the plan does not have: {}. Check the plan.", by, step);
        (tick.step.subject.clone(), text)
    });
    let circuits: HashSet<_> = checked.plan.circuits.iter().map(|circuit| &circuit.id).collect();
    let readings = history.readings.iter().filter(|reading| !circuits.contains(&reading.circuit));
    let readings = readings.map(|reading| {
        let (by, circuit) = (reading.by.to_string(), reading.circuit.to_string());
        let text = say!("{} measured circuit {}, which the plan does not have. Check the plan.", by, circuit);
        (Subject::new(SubjectKind::Circuit, &reading.circuit), text)
    });
    let said = ticks
        .chain(readings)
        .map(|(subject, text)| Finding::about(subject, RuleFinding::new(Code::RecordWithoutItem, text)));
    let mut findings: Vec<_> = said.collect();
    findings.sort_by_cached_key(|finding| (finding.subject.clone(), finding.text.text(Units::Metric)));
    findings
}

/// Ticks of steps that the plan does not have, without those that were undone.
pub(super) fn strays<'a>(checked: &'a Checked, events: &Events<'a>) -> impl Iterator<Item = &'a Tick> {
    let is_stray = |key| checked.steps.get(key).is_none();
    let counts = |ticks: &[&Tick]| ticks.last().is_some_and(|last| last.mark != Mark::Undone);
    let stray = events.ticked().filter(|(key, ticks)| is_stray(key) && counts(ticks));
    stray.flat_map(|(_, ticks)| ticks.to_vec()).collect::<Vec<_>>().into_iter()
}
