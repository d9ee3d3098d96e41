//! What a report shows besides finished work: open steps, releases, and steps that were not needed.

use crate::job::event::{Mark, Release};
use crate::job::phase::Phase;
use crate::job::progress::Progress;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::trade::finding::Level;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// Why a job is not finished.
#[derive(Debug)]
pub struct Unfinished {
    /// Phases with open steps.
    pub phases: Vec<PhaseLeft>,
    /// The findings of the worst level, released or not.
    pub stops: Vec<String>,
}

/// The open steps of a phase.
#[derive(Debug)]
pub struct PhaseLeft {
    /// The phase.
    pub phase: Phase,
    /// How many steps are open.
    pub open: usize,
    /// The first of them, in plain text.
    pub first: Vec<String>,
}

/// How many open steps of a phase are named; the others are only counted.
const NAMED: usize = 12;

impl PhaseLeft {
    /// How many are not named.
    pub fn more(&self) -> usize {
        self.open - self.first.len()
    }
}

impl Unfinished {
    /// What is open; `None` if nothing is.
    pub fn of(job: &Opened) -> Option<Self> {
        let progress = job.progress();
        let phases: Vec<PhaseLeft> =
            Phase::ALL.into_iter().filter_map(|phase| left(&progress, phase)).collect();
        let stops = job.report.findings.iter().filter(|finding| finding.level == Level::Stop);
        let stops: Vec<String> = stops.map(|finding| finding.line().text(job.units)).collect();
        (!phases.is_empty() || !stops.is_empty()).then_some(Self { phases, stops })
    }
}

fn left(progress: &Progress<'_>, phase: Phase) -> Option<PhaseLeft> {
    let open: Vec<&Step> = progress.open_in(phase).collect();
    let said = |step: &&Step| format!("{}: {}", step.about, step.key.action.open());
    let first = open.iter().take(NAMED).map(said).collect();
    (!open.is_empty()).then_some(PhaseLeft { phase, open: open.len(), first })
}

/// A hold point that was passed with an open item.
#[derive(Debug)]
pub struct ReleasedItem {
    /// The phase after the hold point.
    pub into: Phase,
    /// The open item.
    pub obstacle: String,
    /// Why.
    pub reason: String,
    /// Who released it.
    pub by: String,
    /// When.
    pub at: String,
}

/// Every release, the oldest first.
pub fn passed(job: &Opened, frame: &Frame) -> Vec<ReleasedItem> {
    let mut releases: Vec<&Release> = job.history.releases.iter().collect();
    releases.sort_by_key(|release| (release.at, release.id));
    releases
        .into_iter()
        .map(|release| ReleasedItem {
            into: release.into,
            obstacle: obstacle(job, &release.obstacle),
            reason: release.reason.to_string(),
            by: release.by.to_string(),
            at: frame.moment(release.at),
        })
        .collect()
}

/// The open item in plain text; its name if the plan no longer has it.
fn obstacle(job: &Opened, name: &str) -> String {
    if let Some(finding) = job.report.findings.iter().find(|finding| finding.key() == name) {
        return finding.line().text(job.units);
    }
    let step = name.parse::<StepKey>().ok();
    match step.as_ref().and_then(|key| job.steps.get(key)) {
        Some(step) => format!("{}: {}", step.about, step.key.action.open()),
        None => name.to_owned(),
    }
}

/// A step that was marked as not needed.
#[derive(Debug)]
pub struct Spared {
    /// The thing, and the step that was not done.
    pub what: String,
    /// Why.
    pub reason: String,
    /// Who marked it.
    pub by: String,
}

/// Steps not needed, in the order of work.
pub fn spared(job: &Opened) -> Vec<Spared> {
    let progress = job.progress();
    let last = |step: &Step| progress.standing(&step.key).last().filter(|tick| tick.mark == Mark::NotNeeded);
    let spared = job.steps.all().iter().filter_map(|step| Some((step, last(step)?)));
    spared
        .map(|(step, tick)| Spared {
            what: format!("{}: {}", step.about, step.key.action.line()),
            reason: tick.reason.as_ref().map_or_else(String::new, ToString::to_string),
            by: tick.by.to_string(),
        })
        .collect()
}
