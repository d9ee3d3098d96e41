//! What a report shows besides finished work: open steps, releases, and steps that were not needed.

use crate::job::event::{Judgment, Release};
use crate::job::finding::Finding;
use crate::job::phase::Phase;
use crate::job::record::Record;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::work::{StepState, Work};
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
        let work = job.work();
        let phases: Vec<PhaseLeft> = Phase::ALL.into_iter().filter_map(|phase| left(&work, phase)).collect();
        let stops: Vec<String> = work.stops().map(|finding| finding.line().text(job.units)).collect();
        (!phases.is_empty() || !stops.is_empty()).then_some(Self { phases, stops })
    }
}

fn left(work: &Work<'_>, phase: Phase) -> Option<PhaseLeft> {
    let open: Vec<&Step> = work.open_in(phase).collect();
    let said = |step: &&Step| format!("{}: {}", step.about, step.key.action.open());
    let first = open.iter().take(NAMED).map(said).collect();
    (!open.is_empty()).then_some(PhaseLeft { phase, open: open.len(), first })
}

/// A release, waiver or judgment.
#[derive(Debug)]
pub struct ReleasedItem {
    /// What was released, waived or judged.
    pub what: String,
    /// Why.
    pub reason: String,
    /// Who, with the qualification of a judge.
    pub by: String,
    /// When.
    pub at: String,
}

/// Every release that counts, the oldest first.
pub fn passed(job: &Opened, frame: &Frame) -> Vec<ReleasedItem> {
    let work = job.work();
    let mut releases: Vec<&Release> = work.releases().collect();
    releases.sort_by_key(|release| release.moment());
    let step = |release: &Release| match job.steps.get(&release.step) {
        Some(step) => format!("{}: {}", step.about, step.key.action.line()),
        None => release.step.to_string(),
    };
    let item = |release: &Release| ReleasedItem {
        what: format!("{}, although {}", step(release), obstacle(job, &release.obstacle)),
        reason: release.reason.to_string(),
        by: release.by.to_string(),
        at: frame.moment(release.at),
    };
    releases.into_iter().map(item).collect()
}

/// Every judgment that counts, in the order of the findings.
pub fn judged(job: &Opened, frame: &Frame) -> Vec<ReleasedItem> {
    let work = job.work();
    let judged = job.findings.iter().filter_map(|finding| Some((finding, work.judgment(finding)?)));
    let item = |(finding, judgment): (&Finding, &Judgment)| ReleasedItem {
        what: finding.line().text(job.units),
        reason: judgment.reason.to_string(),
        by: format!("{}, {}", judgment.judge, judgment.qualification),
        at: frame.moment(judgment.at),
    };
    judged.map(item).collect()
}

/// The open item in plain text; its name if the plan no longer has it.
fn obstacle(job: &Opened, name: &str) -> String {
    if let Some(finding) = job.findings.iter().find(|finding| finding.key() == name) {
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
    let work = job.work();
    let closed = job.steps.all().iter().filter(|step| work.state(&step.key) == StepState::NotNeeded);
    let spared = closed.filter_map(|step| Some((step, work.status(&step.key).last()?)));
    spared
        .map(|(step, tick)| Spared {
            what: format!("{}: {}", step.about, step.key.action.line()),
            reason: tick.reason.as_ref().map_or_else(String::new, ToString::to_string),
            by: tick.by.to_string(),
        })
        .collect()
}
