//! What holds a job, the worst first.

use super::lack::Lack;
use super::overall::Work;
use crate::job::phase::Phase;
use crate::trade::finding::Level;

/// What holds a job.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
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
}

impl Work<'_> {
    /// What holds the job.
    pub fn summary(&self) -> Summary {
        let fails = |key| matches!(self.lack(key), Some(Lack::Failed(_)));
        let steps = self.steps().all().iter().filter(|step| !self.state(&step.key).is_closed());
        let open = Phase::ALL.map(|phase| (phase, self.phase(phase).open)).into_iter();
        Summary {
            failing: steps.filter(|step| fails(&step.key)).map(|step| step.about.clone()).collect(),
            stops: self.stops().count(),
            fixes: self.findings().iter().filter(|finding| finding.level == Level::Fix).count(),
            open: open.filter(|(_, open)| *open > 0).collect(),
            on_hold: self.waiting().count(),
        }
    }
}

impl Summary {
    /// Whether nothing holds the job and nothing is left to do.
    pub fn is_finished(&self) -> bool {
        *self == Self::default()
    }

    /// Whether anything is dangerous.
    pub fn is_dangerous(&self) -> bool {
        !self.failing.is_empty() || self.stops > 0
    }

    /// One line for each reason, the worst first.
    pub fn lines(&self) -> Vec<String> {
        let many = |count: usize, one: &str, more: &str| match count {
            0 => None,
            1 => Some(format!("1 {one}")),
            count => Some(format!("{count} {more}")),
        };
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
