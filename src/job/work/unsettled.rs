//! Open items that nobody closed, and what each of them holds.

use std::cmp::Reverse;

use foldhash::HashSet;

use super::events::Events;
use super::stops;
use super::ties::Ties;
use crate::job::open_item::{OpenItem, Severity};
use crate::job::run::Piece;
use crate::job::subject::{Subject, SubjectKind};

/// An open item that holds something.
#[derive(Debug)]
pub(super) struct Unsettled<'a> {
    pub(super) item: &'a OpenItem,
    /// The circuits, feeders and cables whose power-up test it holds.
    tests: HashSet<Subject>,
}

/// The open items that hold something, the most serious first.
pub(super) fn holding<'a>(ties: &Ties<'_>, events: &Events<'a>) -> Vec<Unsettled<'a>> {
    let open = events.open_items().filter(|item| item.severity > Severity::Note);
    let mut open: Vec<_> = open.map(|item| Unsettled { item, tests: tests_of(ties, item) }).collect();
    open.sort_by_key(|one| Reverse(one.item.severity));
    open
}

fn tests_of(ties: &Ties<'_>, item: &OpenItem) -> HashSet<Subject> {
    let thing = item.thing.subject();
    match (item.severity, thing.kind) {
        (Severity::Note | Severity::Should, _) => HashSet::default(),
        (_, SubjectKind::Cable) => HashSet::from_iter([thing.clone()]),
        (_, SubjectKind::Device) => ties.runs_of_device(&thing.id).into_iter().collect(),
        (_, SubjectKind::Raceway) => ties.sharing_raceway(&thing.id).iter().cloned().collect(),
        (_, SubjectKind::Position) => ties.circuits_at(&thing.id).collect(),
        (_, SubjectKind::End) => match ties.pieces().about(thing) {
            Some((piece @ Piece::Cable(_), _)) => HashSet::from_iter([piece.subject()]),
            _ => stops::runs_with(ties, thing),
        },
        _ => stops::runs_with(ties, thing),
    }
}

impl Unsettled<'_> {
    /// Whether it holds a test of any of these; of the boat as a whole, if there are none.
    pub(super) fn holds_test_of(&self, subjects: &[Subject]) -> bool {
        self.item.severity == Severity::Must
            && (subjects.is_empty() || subjects.iter().any(|subject| self.tests.contains(subject)))
    }
}
