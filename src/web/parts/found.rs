//! The findings about one thing of the plan.

use super::finding::LevelMark;
use crate::job::finding::Finding;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::Level;
use crate::web::kit::opened::Opened;

/// The findings about one thing: the worst level and the count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FindingCount {
    /// The worst level.
    pub mark: LevelMark,
    /// How many findings there are.
    pub count: usize,
}

/// The findings about one thing; `None` if there are none.
pub fn checked(job: &Opened, kind: SubjectKind, id: &str) -> Option<FindingCount> {
    let levels: Vec<Level> = about(job, kind, id).map(|finding| finding.level).collect();
    let gravest = levels.iter().max()?;
    Some(FindingCount { mark: LevelMark(*gravest), count: levels.len() })
}

/// The findings about one thing, the worst first.
pub fn about<'a>(job: &'a Opened, kind: SubjectKind, id: &'a str) -> impl Iterator<Item = &'a Finding> {
    job.findings().iter().filter(move |finding| belongs(&finding.subject, kind, id))
}

/// Whether a subject is the thing itself, or a conductor or end of it: `C01-3a` belongs to `C01`.
fn belongs(subject: &Subject, kind: SubjectKind, id: &str) -> bool {
    match subject.kind {
        SubjectKind::Conductor | SubjectKind::End if kind == SubjectKind::Circuit => {
            subject.id.rsplit_once('-').is_some_and(|(circuit, _)| circuit == id)
        }
        own => own == kind && subject.id == id,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_conductors_finding_is_its_circuits_too() {
        let of = |kind, id: &str| belongs(&Subject::new(kind, id), SubjectKind::Circuit, "C0-1");
        assert!(
            of(SubjectKind::Circuit, "C0-1")
                && of(SubjectKind::Conductor, "C0-1-3")
                && of(SubjectKind::End, "C0-1-3a")
        );
        assert!(
            !of(SubjectKind::Circuit, "C0")
                && !of(SubjectKind::Conductor, "C0-1")
                && !of(SubjectKind::Feeder, "C0-1")
        );
    }
}
