//! `stop` findings that no qualified person judged, and what each of them concerns.

use foldhash::HashSet;

use super::events::Events;
use super::ties::Ties;
use crate::job::crimp;
use crate::job::event::Judgment;
use crate::job::finding::Finding;
use crate::job::run::Piece;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::Level;
use crate::trade::say::Statement;

/// One `stop` finding.
#[derive(Debug)]
pub(super) struct Stop {
    pub(super) key: String,
    pub(super) text: Statement,
    /// The circuits and feeders that it concerns; none for the boat as a whole.
    pub(super) of: HashSet<Subject>,
}

/// The `stop` findings of a job.
#[derive(Debug)]
pub(super) struct Stops(Vec<Stop>);

impl Stops {
    pub(super) fn of(
        ties: &Ties<'_>,
        findings: &[Finding],
        failed: &[crimp::Failed],
        events: &Events<'_>,
    ) -> Self {
        let open = findings.iter().filter(|finding| finding.level == Level::Stop);
        let open = open.filter(|finding| judgment(events, finding).is_none());
        let stop = |finding: &Finding| Stop {
            key: finding.key(),
            text: finding.line(),
            of: concerned(ties, finding, failed),
        };
        Self(open.map(stop).collect())
    }

    /// All of them.
    pub(super) fn all(&self) -> &[Stop] {
        &self.0
    }

    /// The findings that concern any of these.
    pub(super) fn about(&self, subjects: &[Subject]) -> impl Iterator<Item = &Stop> {
        self.0.iter().filter(|stop| subjects.iter().any(|subject| stop.of.contains(subject)))
    }

    /// The findings that are ahead of the open fuses: those of the boat as a whole, and those that concern anything
    /// whose fuse is in.
    pub(super) fn ahead(&self, is_out: impl Fn(&Subject) -> bool) -> impl Iterator<Item = &Stop> {
        self.0.iter().filter(move |stop| stop.of.is_empty() || !stop.of.iter().all(&is_out))
    }
}

/// The judgment of a finding. It ends when the figures of the finding change.
pub(super) fn judgment<'a>(events: &Events<'a>, finding: &Finding) -> Option<&'a Judgment> {
    let same = |one: Option<f64>, other: Option<f64>| match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= 1e-9 * one.abs().max(other.abs()),
        (one, other) => one == other,
    };
    let judgment = events.judgment(&finding.key())?;
    (same(judgment.value, finding.value) && same(judgment.limit, finding.limit)).then_some(judgment)
}

/// The circuits and feeders that a finding concerns.
fn concerned(ties: &Ties<'_>, finding: &Finding, failed: &[crimp::Failed]) -> HashSet<Subject> {
    if let Some(failed) = failed.iter().find(|failed| failed.finding().key() == finding.key()) {
        let ends = failed.unproven.iter().map(|end| Subject::new(SubjectKind::End, end));
        return ends.filter_map(|end| run_of(ties, &end)).collect();
    }
    runs_with(ties, &finding.subject)
}

/// The circuits and feeders that a thing is part of.
pub(super) fn runs_with(ties: &Ties<'_>, subject: &Subject) -> HashSet<Subject> {
    let circuits = |is_it: &dyn Fn(&crate::job::plan::Circuit) -> bool| {
        let circuits = ties.plan().circuits.iter().filter(|circuit| is_it(circuit));
        circuits.map(|circuit| Subject::new(SubjectKind::Circuit, &circuit.id)).collect::<HashSet<_>>()
    };
    let id = subject.id.as_str();
    match subject.kind {
        SubjectKind::Circuit | SubjectKind::Feeder => HashSet::from_iter([subject.clone()]),
        SubjectKind::Conductor | SubjectKind::End => run_of(ties, subject).into_iter().collect(),
        SubjectKind::Device => circuits(&|circuit| circuit.devices().any(|device| device.as_str() == id)),
        SubjectKind::Point => {
            let touches = |from: &str, to: &str| from == id || to == id;
            let mut all = circuits(&|circuit| touches(circuit.from.as_str(), circuit.r#return.as_str()));
            let feeders = ties.plan().feeders.iter();
            let feeders = feeders.filter(|feeder| touches(feeder.from.as_str(), feeder.to.as_str()));
            all.extend(feeders.map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id)));
            all
        }
        _ => HashSet::default(),
    }
}

fn run_of(ties: &Ties<'_>, subject: &Subject) -> Option<Subject> {
    match ties.pieces().about(subject)?.0 {
        Piece::Wire(wire) => Some(wire.of.subject()),
        Piece::Cable(_) => None,
    }
}
