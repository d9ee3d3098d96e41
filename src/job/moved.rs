//! The effect of a change of the plan on wire that is already in the boat.
//!
//! A step has the label of its wire in its name. After a change the label can belong to another conductor, or to
//! none. Steps that were ticked under it were done to a different wire, and must not count for the present one. So
//! every tick on a conductor that moved is undone, with the reason, and the step must be done again.

use std::collections::{BTreeMap, BTreeSet};

use super::conductor::{Conductor, Landing};
use super::event::{History, Mark};
use super::plan::Plan;
use super::progress::Progress;
use super::routing::RoutesReport;
use super::step::{Action, StepKey};
use super::steps::{Step, Steps};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, Prose};
use super::wiring::Conductors;

/// A label that belongs to another conductor than before the change, or to none.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved<'a> {
    /// The conductor before the change.
    pub was: &'a Conductor,
    /// The conductor after the change; `None` if there is none.
    pub is: Option<&'a Conductor>,
}

/// How much of a wire must be done again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Anew {
    /// All of it: it connects other things, or has the other polarity.
    Whole,
    /// Both ends land on the same things as before. The positions of some ends, near and far, changed.
    Ends([bool; 2]),
}

/// The labels that no longer belong to the same conductor.
pub fn moved<'a>(before: &'a Conductors, after: &'a Conductors) -> Vec<Moved<'a>> {
    let pairs = before.all().iter().map(|was| Moved { was, is: after.get(was.id.as_str()) });
    pairs.filter(|one| one.is.is_none_or(|is| !is_same(one.was, is))).collect()
}

fn is_same(was: &Conductor, is: &Conductor) -> bool {
    (&was.from, &was.to, was.polarity) == (&is.from, &is.to, is.polarity)
}

/// The ticked steps that a change of the plan undoes, each with the reason.
pub fn taken_back(before: &Plan, after: &Plan, history: &History) -> Vec<(StepKey, Prose)> {
    let [was, is] = [before, after].map(Conductors::of);
    let gone = moved(&was, &is);
    let switched = rewired(before, after);
    if gone.is_empty() && switched.is_empty() {
        return Vec::new();
    }
    // Tie-down steps are not undone here: they open again together with their wire.
    let steps = Steps::of(before, &was, &RoutesReport::default());
    let progress = Progress::new(&steps, history);
    let of_wires = gone.iter().flat_map(|one| one.steps(&steps));
    let of_positions = switched.iter().filter_map(|(key, why)| Some((steps.get(key)?, why.clone())));
    let ticked = of_wires.chain(of_positions).filter(|(step, _)| is_ticked(&progress, &step.key));
    ticked.filter_map(|(step, why)| Some((step.key.clone(), why.parse().ok()?))).collect()
}

/// The conductors whose labels must be printed again: a change of the plan undid a tick on them, and the step was
/// not done again.
pub fn to_label<'c>(conductors: &'c Conductors, progress: &Progress<'_>) -> Vec<&'c Conductor> {
    let open = |step: &Step| {
        let last = progress.standing(&step.key).last();
        last.is_some_and(|tick| tick.mark == Mark::Undone && tick.reason.is_some())
    };
    let of_wire = |wire: &Conductor| {
        subjects(wire).iter().any(|subject| progress.steps().of_subject(subject).any(open))
    };
    conductors.all().iter().filter(|wire| of_wire(wire)).collect()
}

fn is_ticked(progress: &Progress<'_>, key: &StepKey) -> bool {
    progress.standing(key).last().is_some_and(|tick| tick.mark != Mark::Undone)
}

fn subjects(wire: &Conductor) -> [Subject; 3] {
    let [near, far] = wire.ends().map(|end| Subject::new(SubjectKind::End, end.id));
    [Subject::new(SubjectKind::Conductor, &wire.id), near, far]
}

impl Moved<'_> {
    fn anew(&self) -> Anew {
        let Some(is) = self.is else { return Anew::Whole };
        let stays = |was: &Landing, is: &Landing| was.id() == is.id();
        let same_way = stays(&self.was.from, &is.from) && stays(&self.was.to, &is.to);
        if !same_way || self.was.polarity != is.polarity {
            return Anew::Whole;
        }
        let [near, far] = self.was.ends().map(|end| end.at);
        let [near_now, far_now] = is.ends().map(|end| end.at);
        Anew::Ends([near != near_now, far != far_now])
    }

    /// Why the work done on it no longer counts.
    pub fn why(&self) -> String {
        let id = &self.was.label;
        let Some(is) = self.is else {
            return format!("{id} is not in the plan any more: it ran {}", self.was.way());
        };
        match self.anew() {
            Anew::Whole if self.was.pulled || is.pulled => {
                format!(
                    "{id} now runs {}, {}: pull, label and terminate it again",
                    is.way(),
                    is.polarity.word()
                )
            }
            Anew::Whole => format!("{id} now runs {}, {}: make it again", is.way(), is.polarity.word()),
            Anew::Ends(_) => format!("{id} now runs {}: terminate and label it again", is.way()),
        }
    }

    /// The steps that were done on it and no longer count.
    fn steps<'s>(&self, steps: &'s Steps) -> Vec<(&'s Step, String)> {
        let [wire, near, far] = subjects(self.was);
        let (of_wire, at_ends): (&[Action], _) = match self.anew() {
            Anew::Whole => (&[Action::Pull, Action::Label], [true, true]),
            Anew::Ends(moved) => (&[Action::Label], moved),
        };
        let key = |subject: &Subject, action| StepKey { subject: subject.clone(), action };
        let ends = [near, far].into_iter().zip(at_ends).filter(|(_, moved)| *moved);
        let keys = of_wire.iter().map(|action| key(&wire, *action));
        let keys = keys.chain(ends.map(|(end, _)| key(&end, Action::Terminate)));
        keys.filter_map(|key| Some((steps.get(&key)?, self.why()))).collect()
    }
}

/// The switch positions whose circuits changed, with the reason why they must be wired again.
fn rewired(before: &Plan, after: &Plan) -> BTreeMap<StepKey, String> {
    let (was, is) = (hung(before), hung(after));
    let differs = was.into_iter().filter(|(at, circuits)| is.get(at) != Some(circuits));
    let told = differs.map(|(at, _)| {
        let named = |circuits: &BTreeSet<&CircuitId>| {
            circuits.iter().map(|circuit| circuit.as_str()).collect::<Vec<_>>().join(" and ")
        };
        let now = is.get(&at).map_or_else(|| "nothing".to_owned(), named);
        let key = StepKey { subject: Subject::new(SubjectKind::Position, &at), action: Action::Wire };
        (key, format!("{at} now switches {now}: wire and check it again"))
    });
    told.collect()
}

/// The circuits on each switch position.
fn hung(plan: &Plan) -> BTreeMap<String, BTreeSet<&CircuitId>> {
    let mut hung: BTreeMap<String, BTreeSet<&CircuitId>> = BTreeMap::new();
    for circuit in &plan.circuits {
        if let Some(at) = &circuit.switch {
            hung.entry(format!("{}-{}", at.panel, at.position)).or_default().insert(&circuit.id);
        }
    }
    hung
}
