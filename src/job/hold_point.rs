//! The hold points between phases: their open items, and the releases for them.
//!
//! A hold point requires only what the next phase depends on, and requires it once. An item released for
//! one phase is not open at a later hold point, unless that phase also depends on it.

use super::event::{CrimpPull, History, Release};
use super::finding::Finding;
use super::phase::Phase;
use super::progress::Progress;
use super::step::Action;
use crate::trade::finding::{Code, Level};
use crate::trade::say::{Statement, say};

/// The hold point before a phase.
#[derive(Debug, Clone)]
pub struct HoldPoint<'a> {
    /// The phase after the hold point.
    pub into: Phase,
    /// Its open items, released or not.
    pub obstacles: Vec<Obstacle<'a>>,
}

/// One open item at a hold point.
#[derive(Debug, Clone)]
pub struct Obstacle<'a> {
    /// Its key for a release: the key of a step or a finding.
    pub key: String,
    /// The text for people.
    pub text: Statement,
    /// The release for it, if there is one.
    pub released: Option<&'a Release>,
}

impl<'a> HoldPoint<'a> {
    /// The hold point before a phase. Its items are the open steps that the phase depends on. Before power
    /// and after it, they also include the findings that forbid it.
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

    /// All hold points, in the order of the work.
    pub fn all(progress: &Progress<'a>, findings: &[Finding], history: &'a History) -> Vec<Self> {
        Phase::ALL.into_iter().map(|into| Self::new(into, progress, findings, history)).collect()
    }

    /// Whether every item is released.
    pub fn is_open(&self) -> bool {
        self.standing().next().is_none()
    }

    /// The items without a release.
    pub fn standing(&self) -> impl Iterator<Item = &Obstacle<'a>> {
        self.obstacles.iter().filter(|obstacle| obstacle.released.is_none())
    }
}

/// The steps that a phase depends on.
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

/// While a finding has the level stop, nothing is energized and nothing proven is closed up.
fn heeds_findings(phase: Phase) -> bool {
    matches!(phase, Phase::PowerUpTest | Phase::TieDown)
}

/// The latest release of an item at the hold point before a phase.
pub fn release<'a>(history: &'a History, into: Phase, key: &str) -> Option<&'a Release> {
    let of_this = history.releases.iter().filter(|release| release.into == into && release.obstacle == key);
    of_this.max_by_key(|release| (release.at, release.id)).filter(|release| !is_outdated(history, release))
}

/// Whether a sample crimp was pulled since the release at the same end: a new failure needs a new release.
fn is_outdated(history: &History, release: &Release) -> bool {
    let prefix = format!("finding/{}/end/", Code::CrimpSampleFailed.phrase());
    let Some(end) = release.obstacle.strip_prefix(&prefix) else { return false };
    let since = |pull: &CrimpPull| (release.at, release.id) < (pull.at, pull.id);
    history.crimp_pulls.iter().any(|pull| pull.end.as_str() == end && since(pull))
}
