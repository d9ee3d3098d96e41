//! A wire or cable, or one end of it, on its page.

use crate::job::run::Piece;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};

/// A wire or cable, or one end of it, on its page.
#[derive(Debug, Clone, Copy)]
pub struct HeldWire<'a> {
    /// The wire or cable.
    pub piece: Piece<'a>,
    /// The end, if the address names one.
    pub end: Option<usize>,
}

impl HeldWire<'_> {
    /// Its label, or that of the end.
    pub fn label(self) -> String {
        let ends = self.piece.ends();
        self.end.and_then(|end| ends.get(end)).map_or(self.piece.label(), |end| &end.label).to_owned()
    }

    /// It and its ends.
    pub fn subjects(self) -> Vec<Subject> {
        let ends = self.piece.ends().map(|end| Subject::new(SubjectKind::End, end.id));
        std::iter::once(self.piece.subject()).chain(ends).collect()
    }

    /// Whether a step belongs to the end in the address.
    pub fn is_held(self, step: &Step) -> bool {
        let ends = self.piece.ends();
        let held = self.end.and_then(|end| ends.get(end));
        held.is_some_and(|end| step.key.subject.id == end.id && step.key.subject.kind == SubjectKind::End)
    }
}
