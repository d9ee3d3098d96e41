//! What holds a job, the worst first.

use serde::{Deserialize, Serialize};

use super::lack::Lack;
use super::overall::Work;
use crate::job::names::Names;
use crate::job::phase::Phase;
use crate::trade::finding::Level;

/// What holds a job.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Summary {
    /// The things whose latest measurement failed, by name.
    pub failing: Vec<String>,
    /// The number of `stop` findings that nobody judged.
    pub stops: usize,
    /// The number of `fix` findings.
    pub fixes: usize,
    /// The open steps of each phase that has any.
    pub open: Vec<(Phase, usize)>,
    /// The number of open steps that are on hold.
    pub on_hold: usize,
    /// The number of notes. They hold nothing.
    pub notes: usize,
    /// The number of `stop` findings that a judgment set aside. They hold nothing.
    pub judged: usize,
    /// Whether the plan has any step.
    pub has_steps: bool,
}

impl Work<'_> {
    /// The things whose latest measurement failed, by name. A circuit with two failed tests is named once.
    pub fn failing(&self) -> Vec<String> {
        let fails = |key| matches!(self.lack(key), Some(Lack::Failed(_)));
        let steps = self.steps().all().iter().filter(|step| !self.state(&step.key).is_closed());
        let names = Names::of(&self.checked.plan);
        let mut failing: Vec<String> = Vec::new();
        for step in steps.filter(|step| fails(&step.key)) {
            let subject = &step.key.subject;
            let name = names.name(subject.kind, &subject.id);
            let thing = name.map_or_else(|| step.about.clone(), |name| format!("{name} ({})", subject.id));
            if !failing.contains(&thing) {
                failing.push(thing);
            }
        }
        failing
    }

    /// What holds the job.
    pub fn summary(&self) -> Summary {
        let open = Phase::ALL.map(|phase| (phase, self.phase(phase).open)).into_iter();
        let count = |level| self.findings().iter().filter(|finding| finding.level == level).count();
        let stops = self.stops().count();
        Summary {
            failing: self.failing(),
            stops,
            fixes: count(Level::Fix),
            open: open.filter(|(_, open)| *open > 0).collect(),
            on_hold: self.waiting().count(),
            notes: count(Level::Note),
            judged: count(Level::Stop) - stops,
            has_steps: self.whole().all() > 0,
        }
    }
}

impl Summary {
    /// Whether anything is dangerous.
    pub fn is_dangerous(&self) -> bool {
        !self.failing.is_empty() || self.stops > 0
    }

    /// What to say in place of the lines if there is none: what was looked at, and what remains to be read.
    pub fn without_lines(&self) -> String {
        let steps = if self.has_steps { "All steps done" } else { "No steps planned" };
        let notes = many(self.notes, "note", "notes");
        let judged =
            many(self.judged, "stop finding set aside by judgment", "stop findings set aside by judgment");
        let rest: Vec<String> = judged.into_iter().chain(notes).collect();
        if rest.is_empty() {
            format!("{steps}, no findings")
        } else {
            format!("{steps}. {}", rest.join(", "))
        }
    }

    /// One line for each reason, the worst first.
    pub fn lines(&self) -> Vec<String> {
        let failing = self.failing.iter().map(|name| format!("Failed test: {name}"));
        let findings = [
            many(self.stops, "stop finding: do not power up", "stop findings: do not power up"),
            many(self.fixes, "finding to fix", "findings to fix"),
        ];
        let open = self.open.iter().map(|(phase, open)| {
            let steps = if *open == 1 { "step" } else { "steps" };
            format!("{}: {open} {steps} open", phase.title())
        });
        let on_hold = many(self.on_hold, "open step is on hold", "open steps are on hold");
        failing.chain(findings.into_iter().flatten()).chain(open).chain(on_hold).collect()
    }
}

fn many(count: usize, one: &str, more: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        count => Some(format!("{count} {more}")),
    }
}
