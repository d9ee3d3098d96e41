//! What every step on a page is made from: the user, the status of the work, and what keeps a step on hold.

use std::cell::OnceCell;

use super::expected::Expectations;
use super::step::{Refused, StepInHand, StepPiece};
use crate::job::event::Mark;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::work::{Hold, Obstacle, Who, Work, seen};
use crate::shop::role::Permission;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// Makes the steps of one page.
#[derive(Debug)]
pub struct Bench<'a> {
    /// The user and the time.
    pub frame: &'a Frame,
    /// The job.
    pub job: &'a Opened,
    /// The status of the work.
    pub work: Work<'a>,
    page: String,
    refused: Option<&'a Refused>,
    expected: OnceCell<Expectations<'a>>,
}

impl<'a> Bench<'a> {
    /// A bench for the page at this address.
    pub fn new(frame: &'a Frame, job: &'a Opened, page: String) -> Self {
        Self { frame, job, work: job.work(), page, refused: None, expected: OnceCell::new() }
    }

    /// The same bench with a reason that was refused.
    pub fn refused(self, refused: Option<&'a Refused>) -> Self {
        Self { refused, ..self }
    }

    /// The expected readings of the job, prepared at the first use.
    pub fn expected(&self) -> &Expectations<'a> {
        self.expected.get_or_init(|| Expectations::of(self.job))
    }

    /// A step as a piece of the page.
    pub fn step(&self, step: &Step) -> StepPiece {
        let holds = self.work.on_hold_for(&step.key, self.name());
        let waive = Work::is_result(step.key.action);
        let hand = StepInHand {
            key: &step.key,
            about: &step.about,
            status: self.work.status(&step.key).clone(),
            job: &self.job.href(),
            page: &self.page,
            may: self.frame.may(Permission::Tick) && self.is_of_role(&step.key),
            may_spare: self.may(&step.key, Mark::NotNeeded),
            waive,
            release: self.release_page(step, &holds),
            shut: self.words(&holds),
            doubt: self.work.doubt(&step.key),
            seen: self.seen(&step.key),
            refused: self.refused,
        };
        StepPiece::new(self.frame, hand)
    }

    /// Why a step cannot be done yet, in plain text; `None` if it can.
    pub fn shut(&self, step: &Step) -> Option<String> {
        self.words(&self.work.on_hold_for(&step.key, self.name()))
    }

    /// What keeps a step on hold, in plain text; `None` if nothing does.
    pub fn words(&self, holds: &[Hold<'_>]) -> Option<String> {
        let (first, rest) = holds.split_first()?;
        let text = first.text.text(self.job.units);
        let text = text.trim_end_matches('.');
        Some(match (&first.obstacle, rest.len()) {
            (Obstacle::Lack(_), 0) => format!("{text}."),
            (_, 0) => format!("On hold. {text}."),
            (_, more) => format!("On hold. {text}, and {more} more."),
        })
    }

    /// The page that releases a step, if this person may release anything that it waits for.
    fn release_page(&self, step: &Step, holds: &[Hold<'_>]) -> Option<String> {
        let who = self.who()?;
        let mut open = holds.iter().filter(|hold| hold.can_be_released());
        open.any(|hold| hold.by <= who).then(|| format!("{}/release?step={}", self.job.href(), step.key))
    }

    /// What this person may release or waive; `None` for a person who may not even tick.
    pub fn who(&self) -> Option<Who> {
        who(self.frame)
    }

    /// The name of this person; empty for one who has no name.
    pub fn name(&self) -> &str {
        self.frame.user.as_ref().map_or("", |user| user.name().as_str())
    }

    fn may(&self, key: &StepKey, mark: Mark) -> bool {
        self.who().is_some_and(|who| self.work.may(key, mark, who, self.name()).is_ok())
    }

    /// Whether this person's role may mark a step as done.
    fn is_of_role(&self, key: &StepKey) -> bool {
        self.who().is_some_and(|who| who >= Work::done_by(key.action))
    }

    /// What the plan says about a step, as a form sends it.
    pub fn seen(&self, key: &StepKey) -> Option<String> {
        let seen = seen::today(self.job, key);
        if seen.is_empty() { None } else { serde_json::to_string(&seen).ok() }
    }

    /// How many of these steps are closed, and how many there are in all.
    pub fn closed<'s>(&self, steps: impl IntoIterator<Item = &'s StepKey>) -> (usize, usize) {
        steps.into_iter().fold((0, 0), |(closed, all), key| {
            (closed + usize::from(self.work.state(key).is_closed()), all + 1)
        })
    }

    /// Whether a step is open.
    pub fn is_open(&self, key: &StepKey) -> bool {
        !self.work.state(key).is_closed()
    }
}

/// What a person may release or waive; `None` for a person who may not even tick. With a PIN alone nobody acts as a
/// manager.
pub fn who(frame: &Frame) -> Option<Who> {
    let all = [
        (Permission::ReleaseStop, Who::Manager),
        (Permission::Release, Who::Technician),
        (Permission::Tick, Who::Apprentice),
    ];
    let most = if frame.is_by_pin() { Who::Technician } else { Who::Manager };
    all.into_iter().find(|(action, _)| frame.may(*action)).map(|(_, who)| who.min(most))
}
