//! Sentences about the work, each made from the status of the steps that it speaks of.

use foldhash::HashSet;
use jiff::Timestamp;

use super::topic::{Topic, Words};
use crate::job::called::called;
use crate::job::checked::Checked;
use crate::job::event::Tick;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::subject::Subject;
use crate::job::work::{Lack, StepState, Work};

/// How many open things a claim names; the others are only counted.
const NAMED: usize = 8;

/// What the records show about one kind of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// The kind of work.
    pub topic: Topic,
    /// The things whose every step is done.
    pub done: Vec<Thing>,
    /// The things with a step that was waived or not needed, and none open.
    pub waived: Vec<Thing>,
    /// The things with an open step.
    pub open: Vec<Thing>,
    /// How many of the done things passed a hold by a release.
    pub released: usize,
    /// Who did the steps that are done, in the order of their first act.
    pub by: Vec<String>,
    /// When the last of them was done.
    pub last: Option<Timestamp>,
}

/// One thing that a claim speaks of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// Which.
    pub subject: Subject,
    /// Its name.
    pub name: String,
    /// What is open on it: "not labeled".
    pub lacks: Option<String>,
}

/// What the records show about each kind of work that the plan has, in the order of work.
pub fn claims(checked: &Checked, work: &Work<'_>) -> Vec<Claim> {
    let released: HashSet<&StepKey> = work.releases().map(|release| &release.step).collect();
    let steps_of = |topic| {
        let steps = checked.steps.all().iter().filter(move |step| Topic::of(&step.key) == topic);
        steps.collect::<Vec<_>>()
    };
    let with_steps = Topic::ALL.into_iter().map(|topic| (topic, steps_of(topic)));
    let with_steps = with_steps.filter(|(_, steps)| !steps.is_empty());
    with_steps.map(|(topic, steps)| claim(checked, work, &released, topic, &steps)).collect()
}

fn claim(
    checked: &Checked,
    work: &Work<'_>,
    released: &HashSet<&StepKey>,
    topic: Topic,
    steps: &[&Step],
) -> Claim {
    let (by, last) = makers(work, steps);
    let mut claim = Claim { topic, done: vec![], waived: vec![], open: vec![], released: 0, by, last };
    let mut seen: HashSet<&Subject> = HashSet::default();
    for first in steps.iter().filter(|step| seen.insert(&step.key.subject)) {
        let own = || steps.iter().copied().filter(|step| step.key.subject == first.key.subject);
        let thing = |lacks| Thing { subject: first.key.subject.clone(), name: called(checked, first), lacks };
        let is = |state| own().find(|step| work.state(&step.key) == state);
        if let Some(open) = is(StepState::Open) {
            claim.open.push(thing(Some(lacking(work, &open.key))));
        } else if is(StepState::NotNeeded).is_some() {
            claim.waived.push(thing(None));
        } else {
            claim.released += usize::from(own().any(|step| released.contains(&step.key)));
            claim.done.push(thing(None));
        }
    }
    claim
}

/// Who did the steps that are done, and when the last was done.
fn makers(work: &Work<'_>, steps: &[&Step]) -> (Vec<String>, Option<Timestamp>) {
    let done = steps.iter().filter(|step| work.state(&step.key) == StepState::Done);
    let mut ticks: Vec<&Tick> = done.filter_map(|step| work.status(&step.key).last()).collect();
    ticks.sort_by_key(|tick| (tick.at, tick.id));
    let mut by: Vec<String> = Vec::new();
    for tick in &ticks {
        let name = tick.by.to_string();
        if !by.contains(&name) {
            by.push(name);
        }
    }
    (by, ticks.last().map(|tick| tick.at))
}

/// What is open on a step.
fn lacking(work: &Work<'_>, key: &StepKey) -> String {
    match work.lack(key) {
        Some(Lack::Failed(_)) => "test failed".to_owned(),
        _ => key.action.open().to_owned(),
    }
}

impl Claim {
    /// How many things it speaks of.
    pub fn all(&self) -> usize {
        self.done.len() + self.waived.len() + self.open.len()
    }

    /// Whether everything that it speaks of is done. Waived is not done.
    pub fn is_full(&self) -> bool {
        self.waived.is_empty() && self.open.is_empty()
    }

    /// The sentence. It says that the work is done only if it [is full](Self::is_full).
    pub fn sentence(&self) -> String {
        match self.topic.words() {
            Words::Boat { done, not_done } => self.of_boat(done, not_done),
            Words::Things { one, many, done } => self.of_things(one, many, done),
        }
    }

    fn of_boat(&self, done: &str, not_done: &str) -> String {
        let end = match (self.is_full(), self.open.is_empty()) {
            (true, _) if self.released > 0 => " A release was given for it.",
            (false, true) => " It was waived or not needed.",
            _ => "",
        };
        format!("{}{end}", if self.is_full() { done } else { not_done })
    }

    fn of_things(&self, one: &str, many: &str, done: &str) -> String {
        let (count, all) = (self.done.len(), self.all());
        let mut text = match (count, all) {
            (1, 1) => format!("The one {one} is {done}."),
            (0, 1) => format!("The one {one} is not recorded as {done}."),
            (2, 2) => format!("Both {many} are {done}."),
            _ if self.is_full() => format!("All {all} {many} are {done}."),
            (1, _) => format!("1 of {all} {many} is {done}."),
            _ => format!("{count} of {all} {many} are {done}."),
        };
        let mut also = |count: usize, words: &str| {
            if count > 0 {
                text.push_str(&format!(" {count} {words}."));
            }
        };
        also(self.open.len(), "open");
        also(self.waived.len(), "waived or not needed");
        also(self.released, "done under a release");
        text
    }

    /// The first open things with what is open, and how many more there are.
    pub fn left(&self) -> (Vec<String>, usize) {
        let said = |thing: &Thing| match &thing.lacks {
            Some(lacks) => format!("{}: {lacks}", thing.name),
            None => thing.name.clone(),
        };
        let named = self.open.iter().take(NAMED).map(said).collect();
        (named, self.open.len().saturating_sub(NAMED))
    }
}
