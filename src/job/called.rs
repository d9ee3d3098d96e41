//! Steps and open items in sentences: the name of the thing before its label.

use crate::job::checked::Checked;
use crate::job::finding::Finding;
use crate::job::names::Names;
use crate::job::run::Piece;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::units::Units;

/// The name of the thing that a step is done to, with its label behind it.
pub fn called(checked: &Checked, step: &Step) -> String {
    named(checked, &step.key.subject).unwrap_or_else(|| step.about.clone())
}

/// The name of a thing with its label behind it; its kind and id if the job no longer has it.
pub fn thing(checked: &Checked, subject: &Subject) -> String {
    let known = || Names::of(&checked.plan).name(subject.kind, &subject.id);
    named(checked, subject).or_else(known).unwrap_or_else(|| subject.words())
}

fn named(checked: &Checked, subject: &Subject) -> Option<String> {
    let plan = &checked.plan;
    match subject.kind {
        SubjectKind::Circuit => {
            let circuit = plan.circuits.with(&subject.id);
            circuit.map(|circuit| circuit.name_and_label())
        }
        SubjectKind::Feeder => {
            let feeder = plan.feeders.with(&subject.id);
            feeder.map(|feeder| plan.feeder_name_and_label(feeder))
        }
        SubjectKind::Raceway => {
            let raceway = plan.raceways.with(&subject.id);
            raceway.map(|raceway| plan.raceway_name(raceway))
        }
        _ => checked.pieces().about(subject).map(|(piece, end)| called_piece(checked, piece, end)),
    }
}

/// The name of a wire or cable, or of one of its ends, by what it connects: `Panel to Sidelights (C01-3)`.
fn called_piece(checked: &Checked, piece: Piece<'_>, end: Option<usize>) -> String {
    let ends = piece.ends();
    let [near, far] = ends.each_ref().map(|end| end.at.called(&checked.plan));
    match (end.and_then(|end| ends.get(end)), piece.cable()) {
        (Some(end), _) => format!("End at {} ({})", end.at.called(&checked.plan), end.label),
        (None, Some(own)) => format!("{} ({})", own.called(), piece.label()),
        (None, None) => format!("{near} to {far} ({})", piece.label()),
    }
}

/// A step as it was done: `Navigation lights (C01): powered and measured`. A step that the plan no longer has is called
/// by its label.
pub fn step_line(checked: &Checked, key: &StepKey) -> String {
    match checked.steps.get(key) {
        Some(step) => format!("{}: {}", called(checked, step), key.action.line()),
        None => format!("{}: {}", key.subject.words(), key.action.line()),
    }
}

/// The open item that has this key: a step, or what a finding of these says.
pub fn open_item(checked: &Checked, findings: &[Finding], key: &str, units: Units) -> String {
    if let Some(finding) = findings.iter().find(|finding| finding.key() == key) {
        return finding.line().text(units);
    }
    match key.parse::<StepKey>() {
        Ok(key) => match checked.steps.get(&key) {
            Some(step) => format!("{}: {}", called(checked, step), key.action.open()),
            None => format!("{}: {}", key.subject.words(), key.action.open()),
        },
        Err(_) => gone(key),
    }
}

/// A finding that is gone, by its key: `drop over limit, circuit C01`.
fn gone(key: &str) -> String {
    let parts = key.strip_prefix("finding/").and_then(|rest| rest.split_once('/'));
    let parts = parts.and_then(|(code, subject)| Some((code, subject.parse::<Subject>().ok()?)));
    parts.map_or_else(
        || key.to_owned(),
        |(code, subject)| format!("{}, {}", code.replace('-', " "), subject.words()),
    )
}
