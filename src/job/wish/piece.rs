//! The kinds that a line names.

use super::line::{Line, Span};
use super::location::Locations;
use super::names::{KindNames, MOST_TERMS, Near};
use super::token::Term;
use crate::job::value::KindId;

/// Terms in a row that may be a name. Sizes and looks between them may be left out.
pub(super) struct Piece {
    key: String,
    at: Vec<usize>,
}

impl Piece {
    pub(super) fn span(&self) -> Span {
        let end = self.at.last().map_or(0, |last| last + 1);
        (self.at.first().copied().unwrap_or(end), end)
    }
}

/// A piece that is the name of a kind.
pub(super) struct Named {
    piece: Piece,
    pub(super) kind: usize,
}

/// What a line says about its kind.
pub(super) enum Found {
    /// The name of a kind.
    Kind(Named),
    /// Nearly the names of kinds.
    Near(Vec<Near>, Piece),
    Nothing,
}

impl Found {
    pub(super) fn piece(&self) -> Option<&Piece> {
        match self {
            Self::Kind(named) => Some(&named.piece),
            Self::Near(_, piece) => Some(piece),
            Self::Nothing => None,
        }
    }
}

impl Line<'_> {
    /// The kind that the line names, and its terms used up.
    pub(super) fn kind(&mut self, names: &KindNames, locations: &Locations) -> Found {
        let exact = self.first(self.named(names, true), locations);
        let found = exact.map_or_else(|| self.nearly(names, locations), Found::Kind);
        for at in found.piece().into_iter().flat_map(|piece| &piece.at) {
            self.use_up(*at, at + 1);
        }
        if let Found::Kind(named) = &found {
            self.use_up_again(names, named.kind);
        }
        found
    }

    /// Uses up further names of the same kind: `wifi hotspot`.
    fn use_up_again(&mut self, names: &KindNames, kind: usize) {
        for again in self.named(names, false).into_iter().filter(|again| again.kind == kind) {
            again.piece.at.iter().for_each(|at| self.use_up(*at, at + 1));
        }
    }

    /// The pieces of the line that are names of kinds. A name after a preposition is that of a location: `in the
    /// livewell`.
    fn named(&self, names: &KindNames, bare: bool) -> Vec<Named> {
        let bare = if bare { self.pieces(true) } else { Vec::new() };
        let pieces = self.pieces(false).into_iter().chain(bare);
        let pieces = pieces.filter(|piece| !self.follows_preposition(piece.span().0));
        pieces.filter_map(|piece| Some(Named { kind: names.exactly(&piece.key)?, piece })).collect()
    }

    /// The longest name in the first phrase that has one.
    fn first(&self, mut named: Vec<Named>, locations: &Locations) -> Option<Named> {
        named.retain(|named| !self.is_second_location(named.piece.span(), locations));
        let start = named.iter().map(|named| named.piece.span().0).min()?;
        let after = self.terms.iter().enumerate().skip(start + 1);
        let end = after
            .filter(|(_, term)| term.parted || term.is_joiner() || term.is_preposition())
            .map(|(at, _)| at);
        let end = end.min().unwrap_or(self.terms.len());
        longest(named.into_iter().filter(|named| named.piece.span().0 < end))
    }

    /// Whether a piece is a location joined to another one: `in the cabin and head`.
    fn is_second_location(&self, span: Span, locations: &Locations) -> bool {
        let before = self.terms.get(..span.0).unwrap_or_default();
        let is_joined = self.before(span.0).is_some_and(Term::is_joiner);
        is_joined && before.iter().any(Term::is_preposition) && self.is_location(span, locations)
    }

    /// Whether a piece alone names a location.
    fn is_location(&self, span: Span, locations: &Locations) -> bool {
        let alone: Vec<bool> = (0..self.terms.len()).map(|at| (span.0..span.1).contains(&at)).collect();
        !locations.find(&self.terms, &alone).is_empty()
    }

    /// The names that pieces of the line nearly are.
    fn nearly(&self, names: &KindNames, locations: &Locations) -> Found {
        let joins =
            |at: &usize| self.terms.get(*at).is_some_and(|term| term.is_preposition() || term.is_joiner());
        let one_phrase = |piece: &Piece| {
            let span = piece.span();
            let is_located = self.follows_preposition(span.0) || self.is_second_location(span, locations);
            !piece.at.iter().any(joins) && !is_located
        };
        let best = |piece: Piece| {
            let mut near: Vec<Near> = names.near(&piece.key).collect();
            near.sort_unstable();
            near.first().copied().map(|best| (best, near, piece))
        };
        let pieces = self.pieces(true).into_iter().filter(one_phrase);
        match pieces.filter_map(best).min_by_key(|(best, ..)| *best) {
            None => Found::Nothing,
            Some((_, near, piece)) => match names.surely(&near) {
                Some(kind) => Found::Kind(Named { piece, kind }),
                None => Found::Near(near, piece),
            },
        }
    }

    /// The pieces of the line that may be names: terms in a row, without those that say nothing. `bare`: also without
    /// sizes and looks.
    fn pieces(&self, bare: bool) -> Vec<Piece> {
        let is_size = |at: usize, term: &Term<'_>| {
            let after_number =
                at.checked_sub(1).and_then(|before| self.terms.get(before)).is_some_and(Term::is_numeric);
            term.is_numeric() || term.is_look() || (term.is_unit() && after_number)
        };
        let telling = self
            .terms
            .iter()
            .enumerate()
            .filter(|(at, term)| self.is_free(*at) && !(bare && is_size(*at, term)));
        let telling: Vec<(usize, &Term<'_>)> = telling.collect();
        let mut pieces = Vec::new();
        for first in 0..telling.len() {
            let mut piece = Piece { key: String::new(), at: Vec::new() };
            for (at, term) in telling.iter().skip(first).take(MOST_TERMS) {
                if term.parted && !piece.at.is_empty() {
                    break;
                }
                piece.key.push_str(&term.stem);
                piece.at.push(*at);
                pieces.push(Piece { key: piece.key.clone(), at: piece.at.clone() });
            }
        }
        pieces
    }

    /// Other kinds that the line names after its own, joined by `and`, `with` or a comma.
    pub(super) fn also(
        &mut self,
        names: &KindNames,
        locations: &Locations,
        kind: Option<Span>,
    ) -> Vec<KindId> {
        let Some((_, end)) = kind else { return Vec::new() };
        let mut others = Vec::new();
        while let Some(other) = self.next_other(names, locations, end) {
            other.piece.at.iter().for_each(|at| self.use_up(*at, at + 1));
            others.extend(names.id(other.kind));
        }
        others
    }

    fn next_other(&self, names: &KindNames, locations: &Locations, end: usize) -> Option<Named> {
        longest(self.named(names, false).into_iter().filter(|named| {
            let span = named.piece.span();
            span.0 >= end && self.is_joined(end, span, locations)
        }))
    }

    /// Whether a piece is joined to the kind, and is no location: after a preposition `and` joins locations.
    fn is_joined(&self, end: usize, span: Span, locations: &Locations) -> bool {
        let between = self.terms.get(end..span.0).unwrap_or_default();
        let said = between.iter().rev().find(|term| !term.is_filler() && term.number().is_none());
        let is_located = between.iter().any(Term::is_preposition);
        if let Some(joiner) = said.filter(|said| said.is_joiner()) {
            return joiner.stem != "and" || !is_located;
        }
        let parted =
            self.terms.get(span.0).is_some_and(|term| term.parted) || between.iter().any(|term| term.parted);
        parted && !is_located && !self.is_location(span, locations)
    }
}

/// The longest name. Of names of one length the last, because a name ends with its noun: `fishfinder transducer`.
fn longest(named: impl Iterator<Item = Named>) -> Option<Named> {
    named.max_by_key(|named| (named.piece.key.len(), named.piece.span().0))
}
