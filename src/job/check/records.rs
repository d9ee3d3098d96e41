//! Records of items that are not, or no longer, in the plan.

use std::collections::HashSet;

use super::report::Report;
use super::sizes::Sizes;
use crate::job::crimp;
use crate::job::file::JobFile;
use crate::job::finding::Finding;
use crate::job::progress::Progress;
use crate::job::steps::Steps;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::wiring::Conductors;
use crate::trade;
use crate::trade::finding::Code;
use crate::trade::say::say;
use crate::trade::units::Units;

/// Records stay when the plan changes. This reports records that refer to no item of the plan.
///
/// It also reports each sort of crimp whose latest sample failed.
pub(super) fn check(job: &JobFile, report: &Report) -> Vec<Finding> {
    let conductors = Conductors::of(&job.plan);
    let steps = Steps::of(&job.plan, &conductors, &report.routes);
    let sizes = Sizes::of(report);
    let progress = Progress::new(&steps, &job.history);
    let ticks = progress.strays().map(|tick| {
        let (by, step) = (tick.by.to_string(), tick.step.action.word());
        let text = say!("{} marked a step that the plan does not have: {}. Check the plan.", by, step);
        (tick.step.subject.clone(), text)
    });
    let circuits: HashSet<_> = job.plan.circuits.iter().map(|circuit| &circuit.id).collect();
    let readings = job.history.readings.iter().filter(|reading| !circuits.contains(&reading.circuit));
    let readings = readings.map(|reading| {
        let (by, circuit) = (reading.by.to_string(), reading.circuit.to_string());
        let text = say!("{} measured circuit {}, which the plan does not have. Check the plan.", by, circuit);
        (Subject::new(SubjectKind::Circuit, &reading.circuit), text)
    });
    let said = ticks.chain(readings).map(|(subject, text)| {
        Finding::about(subject, trade::finding::RuleFinding::new(Code::RecordWithoutItem, text))
    });
    let mut findings: Vec<_> = said.collect();
    findings.sort_by_cached_key(|finding| (finding.subject.clone(), finding.text.text(Units::Metric)));
    let failed = crimp::failed(
        &job.plan,
        &conductors,
        |conductor| sizes.get(conductor),
        &job.history.clone().standing(),
    );
    findings.extend(failed.iter().map(crimp::Failed::finding));
    findings
}
