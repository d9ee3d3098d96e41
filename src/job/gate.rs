//! The gates between phases: what stands in them, and who let it pass.
//!
//! A gate asks only for what the next phase rests on, and asks for it once: what was released on
//! the way into one phase does not stand in a later gate again, unless that one rests on it too.

use super::event::{CrimpPull, History, Release};
use super::finding::Finding;
use super::phase::Phase;
use super::progress::Progress;
use super::step::Action;
use crate::trade::finding::{Code, Level};
use crate::trade::say::{Statement, say};

/// The gate into a phase.
#[derive(Debug, Clone)]
pub struct Gate<'a> {
    /// The phase it leads into.
    pub into: Phase,
    /// What stands in it, released or not.
    pub obstacles: Vec<Obstacle<'a>>,
}

/// One thing that stands in a gate.
#[derive(Debug, Clone)]
pub struct Obstacle<'a> {
    /// Its name, under which it is released: a step's key or a finding's.
    pub key: String,
    /// What it is, for people.
    pub text: Statement,
    /// The release that lets it pass.
    pub released: Option<&'a Release>,
}

impl<'a> Gate<'a> {
    /// The gate into a phase: open steps that the phase rests on and, before power and after it,
    /// findings that forbid it.
    pub fn new(into: Phase, progress: &Progress<'a>, findings: &[Finding], history: &'a History) -> Self {
        let steps = progress.steps().all().iter().filter(|step| rests_on(into).contains(&step.key.action));
        let open = steps.filter(|step| !progress.state(&step.key).is_closed());
        let steps = open
            .map(|step| (step.key.to_string(), say!("{}: {}", step.about.clone(), step.key.action.open())));
        let stops = findings.iter().filter(|finding| finding.level == Level::Stop && heeds_findings(into));
        let stops = stops.map(|finding| (finding.key(), finding.line()));
        let obstacles = steps.chain(stops).map(|(key, text)| {
            let released = release(history, into, &key);
            Obstacle { key, text, released }
        });
        Self { into, obstacles: obstacles.collect() }
    }

    /// All gates, in the order of work.
    pub fn all(progress: &Progress<'a>, findings: &[Finding], history: &'a History) -> Vec<Self> {
        Phase::ALL.into_iter().map(|into| Self::new(into, progress, findings, history)).collect()
    }

    /// Whether nothing unreleased stands in it.
    pub fn is_open(&self) -> bool {
        self.standing().next().is_none()
    }

    /// What stands in it unreleased.
    pub fn standing(&self) -> impl Iterator<Item = &Obstacle<'a>> {
        self.obstacles.iter().filter(|obstacle| obstacle.released.is_none())
    }
}

/// What a phase rests on.
fn rests_on(phase: Phase) -> &'static [Action] {
    match phase {
        Phase::StripOut => &[],
        Phase::Mounting => &[Action::Isolate, Action::Strip, Action::PullString],
        Phase::Runs => &[Action::PullString, Action::Mount],
        Phase::Terminations => &[Action::Pull, Action::Label],
        Phase::Switches => &[Action::Terminate],
        Phase::PowerUpTest => &[Action::Mount, Action::Pull, Action::Label, Action::Terminate, Action::Wire],
        // Each run waits for its own circuits: see `Progress::shut_by`.
        Phase::TieDown => &[],
        Phase::Setup => &[
            Action::Seal,
            Action::SealBelow,
            Action::Close,
            Action::Test,
            Action::Support,
            Action::Guard,
            Action::DripLoop,
            Action::Relieve,
            Action::Tie,
        ],
    }
}

/// Nothing is energized, and nothing proven is closed up, while a finding says stop.
fn heeds_findings(phase: Phase) -> bool {
    matches!(phase, Phase::PowerUpTest | Phase::TieDown)
}

/// The latest release of an obstacle on the way into a phase.
pub fn release<'a>(history: &'a History, into: Phase, key: &str) -> Option<&'a Release> {
    let of_this = history.releases.iter().filter(|release| release.into == into && release.obstacle == key);
    of_this.max_by_key(|release| (release.at, release.id)).filter(|release| !is_outdated(history, release))
}

/// Whether a sample crimp was pulled since at the end whose sample was released: a new failure is a new question.
fn is_outdated(history: &History, release: &Release) -> bool {
    let prefix = format!("finding/{}/end/", Code::CrimpSampleFailed.phrase());
    let Some(end) = release.obstacle.strip_prefix(&prefix) else { return false };
    let since = |pull: &CrimpPull| (release.at, release.id) < (pull.at, pull.id);
    history.crimp_pulls.iter().any(|pull| pull.end.as_str() == end && since(pull))
}
