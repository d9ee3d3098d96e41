//! The history of a circuit or feeder: its steps in the order of work, and its log lines.

use crate::job::phase::Phase;
use crate::job::steps::Step;
use crate::job::subject::SubjectKind;
use crate::store::log::LogLine;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::parts::bench::Bench;
use crate::web::parts::step::StepPiece;

/// The steps of one phase.
#[derive(Debug)]
pub struct PhaseSteps {
    /// The phase.
    pub phase: Phase,
    /// Steps closed.
    pub closed: usize,
    /// Steps in all.
    pub of: usize,
    /// The steps, each with the name of its thing.
    pub steps: Vec<(String, StepPiece)>,
}

impl PhaseSteps {
    /// Whether no step is open.
    pub fn is_finished(&self) -> bool {
        self.closed == self.of
    }
}

/// The steps of a thing, phase by phase; phases without any are left out.
pub fn chapters<'s>(bench: &Bench<'_>, steps: impl Iterator<Item = &'s Step>) -> Vec<PhaseSteps> {
    let mut chapters: Vec<PhaseSteps> = Vec::new();
    for step in steps {
        let (closed, of) = bench.closed([&step.key]);
        let piece = (step.about.clone(), bench.step(step));
        match chapters.last_mut().filter(|chapter| chapter.phase == step.phase()) {
            Some(chapter) => {
                chapter.closed += closed;
                chapter.of += of;
                chapter.steps.push(piece);
            }
            None => chapters.push(PhaseSteps { phase: step.phase(), closed, of, steps: vec![piece] }),
        }
    }
    chapters
}

/// The log lines about a circuit or feeder, its conductors or their ends.
pub fn about(lines: &[LogLine], frame: &Frame, kind: SubjectKind, id: &str) -> Vec<Happened> {
    lines
        .iter()
        .filter(|line| is_about(&line.subject, kind, id))
        .map(|line| Happened::new(line, frame))
        .collect()
}

fn is_about(subject: &str, kind: SubjectKind, id: &str) -> bool {
    let Some((word, named)) = subject.split_once('/') else { return false };
    if word == kind.word() {
        return named == id;
    }
    let conductor = match word {
        "end" => named.strip_suffix(['a', 'b']).unwrap_or(named),
        "conductor" => named,
        _ => return false,
    };
    conductor == id
        || conductor
            .rsplit_once('-')
            .is_some_and(|(circuit, _)| kind == SubjectKind::Circuit && circuit == id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_about_a_circuits_wires_and_ends_are_its_own() {
        let circuit = |subject| is_about(subject, SubjectKind::Circuit, "C01");
        assert!(circuit("circuit/C01") && circuit("conductor/C01-3") && circuit("end/C01-3b"));
        assert!(!circuit("circuit/C010") && !circuit("conductor/C010-3") && !circuit("feeder/C01"));
        let feeder = |subject| is_about(subject, SubjectKind::Feeder, "F1");
        assert!(feeder("feeder/F1") && feeder("conductor/F1") && feeder("end/F1a"));
        assert!(!feeder("end/F1-1a") && !feeder("job/1"));
    }
}
