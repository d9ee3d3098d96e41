//! What the records show about one thing, for a row of a table.

use crate::job::called::called;
use crate::job::checked::Checked;
use crate::job::step::{Action, StepKey};
use crate::job::subject::Subject;
use crate::job::work::{Lack, StepState, Work};

/// The result of a test.
pub fn test_result(work: &Work<'_>, test: &StepKey) -> String {
    let status = work.status(test);
    let reason = status.last().and_then(|tick| Some((tick.reason.as_ref()?, &tick.by)));
    match (status.state, reason) {
        (StepState::Done, None) => "passed".to_owned(),
        (StepState::Done, Some((reason, by))) => format!("passed by {by}: {reason}"),
        (StepState::NotNeeded, Some((reason, by))) => format!("waived by {by}: {reason}"),
        (StepState::NotNeeded, None) => "waived".to_owned(),
        (StepState::Open, _) => match work.lack(test) {
            Some(Lack::Failed(_)) => "test failed".to_owned(),
            _ => "not passed yet".to_owned(),
        },
    }
}

/// Whether the fuse or breaker of a circuit or feeder was read; `None` if it has none of its own.
pub fn fuse_result(work: &Work<'_>, of: &Subject) -> Option<&'static str> {
    let key = StepKey { subject: of.clone(), action: Action::Fuse };
    work.steps().get(&key)?;
    if work.is_fuse_out(of) {
        return Some("taken out");
    }
    Some(match work.state(&key) {
        StepState::Done => "read: equal to the plan",
        StepState::NotNeeded => "planned; reading it was waived",
        StepState::Open => "planned; not read yet",
    })
}

/// The circuits and feeders whose fuse is recorded as out, by name.
pub fn fuses_out(checked: &Checked, work: &Work<'_>) -> Vec<String> {
    let tests = checked.steps.all().iter().filter(|step| step.key.action == Action::Test);
    tests.filter(|step| work.is_fuse_out(&step.key.subject)).map(|step| called(checked, step)).collect()
}

/// What is to be said of the mounting of a device or distribution point; `None` if it is mounted.
pub fn mounting_result(work: &Work<'_>, of: &Subject) -> Option<&'static str> {
    match work.state(&StepKey { subject: of.clone(), action: Action::Mount }) {
        StepState::Done => None,
        StepState::NotNeeded => Some("mounting not needed"),
        StepState::Open => Some("not mounted yet"),
    }
}

/// Who made a setting, or that nobody did.
pub fn setting_result(work: &Work<'_>, of: Subject) -> String {
    let status = work.status(&StepKey { subject: of, action: Action::Set });
    match status.state {
        StepState::Done => status.last().map(|tick| tick.by.to_string()).unwrap_or_default(),
        StepState::NotNeeded => "not needed".to_owned(),
        StepState::Open => "not set yet".to_owned(),
    }
}
