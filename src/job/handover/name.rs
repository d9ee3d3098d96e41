//! The names of things in the sentences of the report.

use crate::job::checked::Checked;
use crate::job::run::Piece;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::subject::SubjectKind;

/// The name of the thing that a step is done to, with its label behind it.
pub(super) fn called(checked: &Checked, step: &Step) -> String {
    let StepKey { subject, .. } = &step.key;
    let plan = &checked.plan;
    let name = match subject.kind {
        SubjectKind::Circuit => {
            let circuit = plan.circuits.iter().find(|circuit| circuit.id.as_str() == subject.id);
            circuit.map(|circuit| circuit.name_and_label())
        }
        SubjectKind::Feeder => {
            let feeder = plan.feeders.iter().find(|feeder| feeder.id.as_str() == subject.id);
            feeder.map(|feeder| plan.feeder_name_and_label(feeder))
        }
        SubjectKind::Raceway => {
            let raceway = plan.raceways.iter().find(|raceway| raceway.id.as_str() == subject.id);
            raceway.map(|raceway| plan.raceway_name(raceway))
        }
        _ => checked.pieces().about(subject).map(|(piece, end)| called_piece(checked, piece, end)),
    };
    name.unwrap_or_else(|| step.about.clone())
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
