//! What holds some steps, such as those of a phase: each open item once, with the number of steps that wait for it.

use std::collections::BTreeMap;

use foldhash::HashMap;

use super::hold::{Hold, Obstacle};
use super::need::{Need, Who};
use super::overall::Work;
use super::table;
use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::job::steps::Step;
use crate::job::subject::Subject;
use crate::job::value::RacewayId;

/// What holds some steps. What holds the handover, and measurements that are missing, are not in it.
#[derive(Debug, Default)]
pub struct Holding<'a> {
    /// How many steps are open.
    pub open: usize,
    /// How many of them are on hold.
    pub held: usize,
    /// The open items, each with the number of steps that wait for it.
    pub items: Vec<(Hold<'a>, usize)>,
    known: HashMap<String, usize>,
}

/// The steps that wait for the tests of all runs in a raceway. They are counted together, because a large raceway has as
/// many tests as steps.
type Beside<'s> = BTreeMap<(RacewayId, Who), Vec<&'s Step>>;

impl<'a> Holding<'a> {
    fn add(&mut self, hold: Hold<'a>, steps: usize) {
        let name = hold.obstacle.key().unwrap_or_else(|| format!("{:?}", hold.obstacle));
        let at = *self.known.entry(name).or_insert(self.items.len());
        match self.items.get_mut(at) {
            Some((_, known)) => *known += steps,
            None => self.items.push((hold, steps)),
        }
    }
}

impl<'a> Work<'a> {
    /// What holds the steps of a phase now.
    pub fn holding(&self, phase: Phase) -> Holding<'a> {
        self.holding_of(self.open_in(phase))
    }

    /// What holds these open steps now.
    pub(super) fn holding_of<'s>(&self, open: impl Iterator<Item = &'s Step>) -> Holding<'a> {
        let (mut holding, mut beside) = (Holding::default(), Beside::new());
        for step in open.filter(|step| step.key.action != Action::HandOver) {
            holding.open += 1;
            holding.held += usize::from(self.add_holds(step, &mut holding, &mut beside));
        }
        for ((raceway, by), steps) in &beside {
            self.add_tests_beside(raceway, *by, steps, &mut holding);
        }
        holding
    }

    /// Adds what holds one step. Returns whether anything does.
    fn add_holds<'s>(&self, step: &'s Step, holding: &mut Holding<'a>, beside: &mut Beside<'s>) -> bool {
        let mut is_held = false;
        for wait in table::waits(&self.ties, step) {
            let items = self.obstacles(&step.key, &wait, None);
            let mut items = items
                .filter(|hold| hold.released.is_none() && !matches!(hold.obstacle, Obstacle::Lack(_)))
                .peekable();
            is_held |= items.peek().is_some();
            match &wait.need {
                Need::Raceway(id) => beside.entry((id.clone(), wait.by)).or_default().push(step),
                _ => items.for_each(|hold| holding.add(hold, 1)),
            }
        }
        is_held
    }

    /// Adds the open tests of the runs in a raceway. A step does not wait for its own test here.
    fn add_tests_beside(&self, raceway: &RacewayId, by: Who, steps: &[&Step], holding: &mut Holding<'a>) {
        let mut own: HashMap<&Subject, usize> = HashMap::default();
        for step in steps {
            *own.entry(&step.key.subject).or_default() += 1;
        }
        let mut released: HashMap<&str, Vec<&StepKey>> = HashMap::default();
        for release in self.events.releases() {
            released.entry(&release.obstacle).or_default().push(&release.step);
        }
        for test in self.tests_beside(raceway, None) {
            let (obstacle, open) = (Obstacle::Step(test.clone()), test.to_string());
            let passes = |key: &&&StepKey| {
                key.subject != test.subject
                    && steps.iter().any(|step| step.key == ***key)
                    && self.release_of(key, &obstacle, &open).is_some()
            };
            let pass = released.get(open.as_str()).map_or(0, |keys| keys.iter().filter(passes).count());
            let wait = steps.len() - own.get(&test.subject).copied().unwrap_or_default() - pass;
            if wait > 0 {
                let hold = Hold { obstacle, text: self.open_text(test), by, released: None };
                holding.add(hold, wait);
            }
        }
    }
}
