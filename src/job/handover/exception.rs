//! What a report lists besides finished work: releases, waivers, judgments, and steps that were not needed.

use jiff::Timestamp;

use crate::job::called::{open_item, step_line};
use crate::job::checked::Checked;
use crate::job::event::{Judgment, Release};
use crate::job::finding::Finding;
use crate::job::steps::Step;
use crate::job::work::{StepState, Work};
use crate::trade::units::Units;

/// What a person decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExceptionKind {
    /// A step was let past an open item.
    Released,
    /// A failed or missing result was accepted.
    Waived,
    /// A step was not needed on this boat.
    NotNeeded,
    /// A qualified person set a `stop` finding aside.
    Judged,
}

/// One decision, with its reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exception {
    /// What was decided.
    pub kind: ExceptionKind,
    /// What it is about.
    pub what: String,
    /// Why.
    pub reason: String,
    /// Who, with the qualification of a judge.
    pub by: String,
    /// When.
    pub at: Timestamp,
}

impl ExceptionKind {
    /// The kind as a text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Released => "released",
            Self::Waived => "waived",
            Self::NotNeeded => "not needed",
            Self::Judged => "judged",
        }
    }
}

/// Every decision that counts, the oldest first.
pub fn exceptions(checked: &Checked, work: &Work<'_>, units: Units) -> Vec<Exception> {
    let released = work.releases().map(|release| of_release(checked, work, release, units));
    let judged = work.findings().iter().filter_map(|finding| Some((finding, work.judgment(finding)?)));
    let judged = judged.map(|(finding, judgment)| of_judgment(finding, judgment, units));
    let steps = checked.steps.all().iter().filter(|step| work.state(&step.key) == StepState::NotNeeded);
    let spared = steps.filter_map(|step| of_step(checked, work, step));
    let mut all: Vec<Exception> = released.chain(judged).chain(spared).collect();
    all.sort_by(|one, other| (one.at, &one.what).cmp(&(other.at, &other.what)));
    all
}

fn of_release(checked: &Checked, work: &Work<'_>, release: &Release, units: Units) -> Exception {
    let step = step_line(checked, &release.step);
    let although = open_item(checked, work.findings(), &release.obstacle, units);
    Exception {
        kind: ExceptionKind::Released,
        what: format!("{step}, although {although}"),
        reason: release.reason.to_string(),
        by: release.by.to_string(),
        at: release.at,
    }
}

fn of_judgment(finding: &Finding, judgment: &Judgment, units: Units) -> Exception {
    Exception {
        kind: ExceptionKind::Judged,
        what: finding.line().text(units),
        reason: judgment.reason.to_string(),
        by: format!("{}, {}", judgment.judge, judgment.qualification),
        at: judgment.at,
    }
}

fn of_step(checked: &Checked, work: &Work<'_>, step: &Step) -> Option<Exception> {
    let tick = work.status(&step.key).last()?;
    let kind = match Work::is_result(step.key.action) {
        true => ExceptionKind::Waived,
        false => ExceptionKind::NotNeeded,
    };
    Some(Exception {
        kind,
        what: step_line(checked, &step.key),
        reason: tick.reason.as_ref().map_or_else(String::new, ToString::to_string),
        by: tick.by.to_string(),
        at: tick.at,
    })
}
