//! The hold point before a phase on a page: its open items in groups, with the form that releases them.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::job::event::Release;
use crate::job::hold_point::Obstacle;
use crate::job::phase::Phase;
use crate::job::step::{self, StepKey};
use crate::job::subject::Subject;
use crate::shop::role::Permission;
use crate::web::kit::form::{Form, capital};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::step::anchor;
use crate::web::parts::undo_button::UndoButton;

/// The hold point as a piece of a page.
#[derive(Debug, Template)]
#[template(path = "phases/hold_point.html")]
pub struct HoldPointPiece {
    into: Phase,
    standing: usize,
    bunches: Vec<Bunch>,
    released: Vec<ReleaseLine>,
    action: String,
    form: Form,
    may: bool,
    guarded: bool,
    by: String,
}

impl HtmlSafe for HoldPointPiece {}

/// Open items of one kind.
#[derive(Debug)]
struct Bunch {
    title: String,
    stop: bool,
    action: Option<step::Action>,
    obstacles: Vec<Standing>,
}

/// An open item that nobody released.
#[derive(Debug)]
struct Standing {
    /// The id of the event that would release it, and its name.
    value: String,
    field: String,
    text: String,
    href: Option<String>,
    may: bool,
    chosen: bool,
}

/// An open item that somebody released.
#[derive(Debug, Clone)]
pub struct ReleaseLine {
    /// The item.
    pub text: String,
    /// Who released it.
    pub by: String,
    /// When.
    pub at: String,
    /// Why.
    pub reason: String,
    /// The button that undoes the release, if the user may.
    pub undo: Option<UndoButton>,
}

impl ReleaseLine {
    /// A release of the item in `text`, on the page at `back`.
    pub fn new(bench: &Bench<'_>, release: &Release, text: String, back: &str) -> Self {
        let (by, frame) = (release.by.to_string(), bench.frame);
        let undo = UndoButton::new(frame, bench.job, (release.id, &by), back, &text);
        Self {
            at: frame.moment(release.at),
            reason: release.reason.to_string(),
            undo: undo.map(UndoButton::onward),
            text,
            by,
        }
    }
}

/// The permission needed to release an obstacle of this name.
pub fn takes(obstacle: &str) -> Permission {
    if is_finding(obstacle) { Permission::ReleaseStop } else { Permission::Release }
}

/// Only stop findings are open items of a hold point.
fn is_finding(obstacle: &str) -> bool {
    obstacle.starts_with("finding/")
}

impl HoldPointPiece {
    /// The hold point before a phase, with the release form as it was filled in.
    pub fn new(bench: &Bench<'_>, into: Phase, form: Form) -> Self {
        let frame = bench.frame;
        let obstacles =
            bench.hold_point(into).map(|hold_point| hold_point.obstacles.as_slice()).unwrap_or_default();
        let standing: Vec<&Obstacle<'_>> = obstacles.iter().filter(|one| one.released.is_none()).collect();
        Self {
            into,
            standing: standing.len(),
            guarded: standing.iter().any(|obstacle| !frame.may(takes(&obstacle.key))),
            bunches: bunches(bench, &standing, &form),
            released: obstacles.iter().filter_map(|obstacle| passed(bench, into, obstacle)).collect(),
            action: format!("{}/releases", bench.job.href()),
            may: frame.may(Permission::Release),
            by: frame.user.as_ref().map_or_else(String::new, |user| user.name().to_string()),
            form,
        }
    }

    /// Whether the hold point has anything to show.
    fn is_there(&self) -> bool {
        self.standing > 0 || !self.released.is_empty()
    }

    fn headline(&self) -> String {
        match self.standing {
            0 => format!("Hold point before {}: clear", self.into.title().to_lowercase()),
            1 => format!("On hold before {}: 1 open item", self.into.title().to_lowercase()),
            many => format!("On hold before {}: {many} open items", self.into.title().to_lowercase()),
        }
    }

    fn back(&self) -> String {
        self.action.replace("/releases", &format!("/phases/{}#hold-point", self.into))
    }
}

/// A released item, with who released it and why.
fn passed(bench: &Bench<'_>, into: Phase, obstacle: &Obstacle<'_>) -> Option<ReleaseLine> {
    let back = format!("{}/phases/{into}#hold-point", bench.job.href());
    Some(ReleaseLine::new(bench, obstacle.released?, obstacle.text.text(bench.job.units), &back))
}

fn bunches(bench: &Bench<'_>, standing: &[&Obstacle<'_>], form: &Form) -> Vec<Bunch> {
    let mut bunches: Vec<Bunch> = Vec::new();
    for (index, obstacle) in standing.iter().enumerate() {
        let (title, action) = kind(&obstacle.key);
        let shown = shown(bench, obstacle, index, form);
        match bunches.iter_mut().find(|bunch| bunch.title == title) {
            Some(bunch) => bunch.obstacles.push(shown),
            None => bunches.push(Bunch { title, stop: action.is_none(), action, obstacles: vec![shown] }),
        }
    }
    bunches.sort_by_key(|bunch| (!bunch.stop, bunch.action));
    bunches
}

/// What is wrong, and the action that is not done; a finding has no action.
fn kind(obstacle: &str) -> (String, Option<step::Action>) {
    match obstacle.parse::<StepKey>() {
        Ok(step) if !is_finding(obstacle) => (capital(step.action.open()), Some(step.action)),
        _ => ("Stop findings".to_owned(), None),
    }
}

fn shown(bench: &Bench<'_>, obstacle: &Obstacle<'_>, index: usize, form: &Form) -> Standing {
    let key = obstacle.key.as_str();
    let sent = form.every("release").find(|sent| sent.split_once(' ').is_some_and(|(_, name)| name == key));
    Standing {
        value: sent.map_or_else(|| format!("{} {key}", Uuid::now_v7()), str::to_owned),
        field: format!("release-{index}"),
        text: obstacle.text.text(bench.job.units),
        href: href(bench, key),
        may: bench.frame.may(takes(key)),
        chosen: sent.is_some(),
    }
}

/// The page where an open item can be closed.
fn href(bench: &Bench<'_>, key: &str) -> Option<String> {
    let job = bench.job.href();
    if let Some(finding) = key.strip_prefix("finding/") {
        let (_, subject) = finding.split_once('/')?;
        return sheet_of(&subject.parse::<Subject>().ok()?).map(|path| format!("{job}{path}"));
    }
    let step: StepKey = key.parse().ok()?;
    Some(format!("{job}/phases/{}#{}", step.action.phase(), anchor(&step)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::role::Role;

    #[test]
    fn a_finding_that_says_stop_takes_the_manager() {
        assert_eq!(takes("finding/fuse-over-wire/circuit/C01").least(), Role::Manager);
        assert_eq!(takes("end/C01-1a/terminate").least(), Role::Technician);
    }

    #[test]
    fn obstacles_are_bunched_by_what_is_wrong() {
        assert_eq!(
            kind("end/C01-1a/terminate"),
            ("Not terminated".to_owned(), Some(step::Action::Terminate))
        );
        assert_eq!(kind("finding/fuse-over-wire/circuit/C01").1, None);
    }
}
