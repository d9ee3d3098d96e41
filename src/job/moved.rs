//! The effect of a change of the plan on wires and cables that are already in the boat.
//!
//! A step has the id of its piece in its name. After a change the id can belong to a piece between other things, or to
//! none. Steps that were ticked under it were done to a different piece, and must not count for the present one. So
//! every tick on a piece that moved is undone, with the reason, and the step must be done again.

use std::collections::{BTreeMap, BTreeSet};

use super::event::{History, Mark};
use super::plan::Plan;
use super::progress::Progress;
use super::routing::RoutesReport;
use super::run::{At, Piece, Pieces};
use super::step::{Action, StepKey};
use super::steps::{Step, Steps};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, Prose};
use super::wiring::Conductors;

/// A piece that joins other things than before the change, or that is gone.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved<'a> {
    /// The piece before the change.
    pub was: Piece<'a>,
    /// The piece with the same id after the change; `None` if there is none.
    pub is: Option<Piece<'a>>,
}

/// How much of a piece must be done again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Anew {
    /// All of it: it connects other things, or has the other polarity.
    Whole,
    /// Both ends land on the same things as before. The positions of some ends, near and far, changed.
    Ends([bool; 2]),
}

/// The pieces that no longer join the same things.
pub fn moved<'a>(before: Pieces<'a>, after: Pieces<'a>) -> Vec<Moved<'a>> {
    let pairs = before.all().map(|was| Moved { was, is: after.get(was.id()) });
    pairs.filter(|one| one.is.is_none_or(|is| !is_same(one.was, is))).collect()
}

fn is_same(was: Piece<'_>, is: Piece<'_>) -> bool {
    let joins = |piece: Piece<'_>| (piece.ends().map(|end| end.at), piece.polarity());
    joins(was) == joins(is)
}

/// The ticked steps that a change of the plan undoes, each with the reason.
pub fn taken_back(before: &Plan, after: &Plan, history: &History) -> Vec<(StepKey, Prose)> {
    let [was, is] = [before, after].map(Conductors::of);
    let gone = moved(Pieces::of(before, &was), Pieces::of(after, &is));
    let switched = rewired(before, after);
    if gone.is_empty() && switched.is_empty() {
        return Vec::new();
    }
    // Tie-down steps are not undone here: they open again together with their wire or cable.
    let steps = Steps::of(before, &was, &RoutesReport::default());
    let progress = Progress::new(&steps, history);
    let of_wires = gone.iter().flat_map(|one| one.steps(&steps));
    let of_positions = switched.iter().filter_map(|(key, why)| Some((steps.get(key)?, why.clone())));
    let ticked = of_wires.chain(of_positions).filter(|(step, _)| is_ticked(&progress, &step.key));
    ticked.filter_map(|(step, why)| Some((step.key.clone(), why.parse().ok()?))).collect()
}

/// The pieces whose labels must be printed again: a change of the plan undid a tick on them, and the step was not done
/// again.
pub fn to_label<'c>(pieces: Pieces<'c>, progress: &Progress<'_>) -> Vec<Piece<'c>> {
    let open = |step: &Step| {
        let last = progress.standing(&step.key).last();
        last.is_some_and(|tick| tick.mark == Mark::Undone && tick.reason.is_some())
    };
    let is_open = |piece: &Piece<'_>| {
        subjects(*piece).iter().any(|subject| progress.steps().of_subject(subject).any(open))
    };
    pieces.all().filter(is_open).collect()
}

fn is_ticked(progress: &Progress<'_>, key: &StepKey) -> bool {
    progress.standing(key).last().is_some_and(|tick| tick.mark != Mark::Undone)
}

fn subjects(piece: Piece<'_>) -> [Subject; 3] {
    let [near, far] = piece.ends().map(|end| Subject::new(SubjectKind::End, end.id));
    [piece.subject(), near, far]
}

/// What a piece joins, as a text: `fb1 → panel 3`.
fn way(piece: Piece<'_>) -> String {
    match piece {
        Piece::Wire(wire) => wire.way(),
        Piece::Cable(_) => piece.ends().map(|end| end.at.to_string()).join(" \u{2192} "),
    }
}

impl Moved<'_> {
    fn anew(&self) -> Anew {
        let Some(is) = self.is else { return Anew::Whole };
        let [near, far] = self.was.ends().map(|end| end.at);
        let [near_now, far_now] = is.ends().map(|end| end.at);
        let stays = |was: &At, is: &At| was.id() == is.id();
        let same_way = stays(&near, &near_now) && stays(&far, &far_now);
        if !same_way || self.was.polarity() != is.polarity() {
            return Anew::Whole;
        }
        Anew::Ends([near != near_now, far != far_now])
    }

    /// Why the work done on it no longer counts.
    pub fn why(&self) -> String {
        let label = self.was.label();
        let Some(is) = self.is else {
            return format!("{label} is not in the plan any more: it ran {}", way(self.was));
        };
        if self.anew() != Anew::Whole {
            return format!("{label} now runs {}: terminate and label it again", way(is));
        }
        let again = match (self.was, is) {
            (Piece::Wire(was), Piece::Wire(is)) if !was.pulled && !is.pulled => "make it again",
            _ if is.is_made_up() => "pull and label it again",
            _ => "pull, label and terminate it again",
        };
        let polarity = is.polarity().map(|polarity| format!(", {}", polarity.word())).unwrap_or_default();
        format!("{label} now runs {}{polarity}: {again}", way(is))
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
