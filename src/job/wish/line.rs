//! One line of a list of wishes.
//!
//! First the kind is searched, because names of kinds have numbers and locations in them: `12 V outlet`, `bow thruster`.
//! Then the line gives its count, whether the old one is kept, its other kinds and its location. The rest is a note.

use super::location::{Locations, WishLocation, together};
use super::names::{KindNames, MOST_TERMS, Near};
use super::token::{Term, terms};
use super::{MOST_COUNT, MOST_LETTERS, Wanted, Wish};
use crate::job::value::KindId;

/// Terms that keep what is aboard.
const KEEP: &[&str] = &[
    "keep", "keeping", "kept", "reuse", "reused", "reusing", "retain", "retained", "existing", "stay",
    "remain", "leave", "staying",
];
/// Terms that replace what is aboard.
const REPLACE: &[&str] =
    &["replace", "replacing", "replacement", "upgrade", "upgraded", "swap", "renew", "instead", "change"];
/// Terms for what is aboard.
const OLD: &[&str] = &["old", "existing", "present", "current", "original", "aboard"];
/// Terms that say that something is not wanted.
const NOT: &[&str] = &[
    "no", "not", "without", "remove", "removing", "delete", "never", "dont", "cancel", "scrap", "rid",
    "skip", "don't",
];
/// Terms that count what they stand before.
const GROUPS: &[(&str, u16)] = &[("pair", 2), ("couple", 2), ("dozen", 12)];
/// Prepositions that nearly always have a location after them.
const CERTAIN: &[&str] = &[
    "at",
    "in",
    "on",
    "under",
    "inside",
    "behind",
    "above",
    "below",
    "beneath",
    "over",
    "near",
    "underneath",
    "beside",
];

/// Terms after a preposition that name no location.
const NOWHERE: &[&str] = &["board", "boat", "place"];

/// The first and the last but one term of a piece.
type Span = (usize, usize);

/// Terms in a row that may be a name. Sizes and looks between them may be left out.
struct Piece {
    key: String,
    at: Vec<usize>,
}

impl Piece {
    fn span(&self) -> Span {
        let end = self.at.last().map_or(0, |last| last + 1);
        (self.at.first().copied().unwrap_or(end), end)
    }
}

/// A piece that is the name of a kind.
struct Named {
    piece: Piece,
    kind: usize,
}

/// A line with the terms that nothing has used yet.
struct Line<'a> {
    text: &'a str,
    terms: Vec<Term<'a>>,
    free: Vec<bool>,
    /// The terms that name its location.
    located: Vec<Span>,
}

/// Reads one line.
pub(super) fn read(names: &KindNames, locations: &Locations, line: usize, rank: usize, text: &str) -> Wish {
    let (own_rank, body) = ranked(text);
    let wish = Wish {
        line,
        text: text.to_owned(),
        rank: own_rank.unwrap_or(rank),
        wanted: Wanted::TooLong,
        count: 1,
        kept: false,
        location: WishLocation::NotSaid,
        also: Vec::new(),
        rest: String::new(),
    };
    if body.chars().nth(MOST_LETTERS).is_some() {
        return wish;
    }
    let mut line = Line::of(body);
    let found = line.kind(names, locations);
    let span = found.piece().map(Piece::span);
    let is_refused = line.takes(NOT, |at| span.is_none_or(|span| at < span.0));
    let kept = line.keeps();
    let count = line.count(span);
    let also = line.also(names, locations, span);
    let location = line.location(locations, found.piece().is_some());
    let count = line.count_by_location().unwrap_or(count);
    let wanted = match found {
        Found::Kind(named) if is_refused => Wanted::NotWanted(names.id(named.kind)),
        Found::Kind(named) => names.id(named.kind).map_or(Wanted::NotUnderstood, Wanted::Kind),
        _ if is_refused => Wanted::NotWanted(None),
        Found::Near(near, _) => line.suggestions(names, near),
        Found::Nothing => line.suggestions(names, Vec::new()),
    };
    Wish { wanted, count, kept, location, also, rest: line.rest(), ..wish }
}

/// What a line says about its kind.
enum Found {
    /// The name of a kind.
    Kind(Named),
    /// Nearly the names of kinds.
    Near(Vec<Near>, Piece),
    Nothing,
}

impl Found {
    fn piece(&self) -> Option<&Piece> {
        match self {
            Self::Kind(named) => Some(&named.piece),
            Self::Near(_, piece) => Some(piece),
            Self::Nothing => None,
        }
    }
}

/// The rank that a line begins with, and the line without it and without a bullet.
fn ranked(text: &str) -> (Option<usize>, &str) {
    let is_bullet =
        |letter: char| letter.is_whitespace() || matches!(letter, '-' | '*' | '\u{2022}' | '\u{2013}' | '#');
    let body = text.trim_start_matches(is_bullet);
    let after = body.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let digits = body.get(..body.len() - after.len()).unwrap_or_default();
    let rest =
        after.strip_prefix(['.', ')']).filter(|rest| !rest.starts_with(|next: char| next.is_ascii_digit()));
    match (digits.parse().ok(), rest) {
        (Some(rank), Some(rest)) => (Some(rank), rest),
        _ => (None, body),
    }
}

impl<'a> Line<'a> {
    fn of(text: &'a str) -> Self {
        let terms = terms(text);
        let free = terms.iter().map(|term| !term.is_filler()).collect();
        Self { text, terms, free, located: Vec::new() }
    }

    fn use_up(&mut self, from: usize, to: usize) {
        self.free.iter_mut().take(to).skip(from).for_each(|free| *free = false);
    }

    fn is_free(&self, at: usize) -> bool {
        self.free.get(at).copied().unwrap_or(false)
    }

    /// The kind that the line names, and its terms used up.
    fn kind(&mut self, names: &KindNames, locations: &Locations) -> Found {
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
        let is_joined = before.iter().rev().find(|term| !term.is_filler()).is_some_and(Term::is_joiner);
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

    /// Whether a preposition stands before a term, with nothing but fillers between.
    fn follows_preposition(&self, at: usize) -> bool {
        let before = self.terms.iter().take(at).rev().find(|term| !term.is_filler());
        before.is_some_and(|before| before.is_preposition())
    }

    /// Uses up the terms of a list, where they may be; whether there was one.
    fn takes(&mut self, list: &[&str], may: impl Fn(usize) -> bool) -> bool {
        let of_list = |(at, term): &(usize, &Term<'_>)| list.contains(&term.stem.as_str()) && may(*at);
        let found: Vec<usize> = self.terms.iter().enumerate().filter(of_list).map(|(at, _)| at).collect();
        let found: Vec<usize> = found.into_iter().filter(|at| self.is_free(*at)).collect();
        found.iter().for_each(|at| self.use_up(*at, at + 1));
        !found.is_empty()
    }

    /// Whether the line keeps what is aboard.
    fn keeps(&mut self) -> bool {
        let replaces = self.takes(REPLACE, |_| true);
        let keeps = self.takes(KEEP, |_| true);
        if replaces || keeps {
            self.takes(OLD, |_| true);
        }
        keeps && !replaces
    }

    /// How many the line wants: a number before the kind, `4x`, `x4`, `(4)`, `pair`.
    fn count(&mut self, kind: Option<Span>) -> u16 {
        let number = (0..self.terms.len()).find_map(|at| self.count_at(at, kind));
        if let Some((_, from, to)) = number {
            self.use_up(from, to);
        }
        let number = number.map_or(1, |(number, ..)| number);
        let group =
            GROUPS.iter().find(|(name, _)| self.takes(&[*name], |_| true)).map_or(1, |(_, count)| *count);
        let count = number.saturating_mul(group);
        if count <= MOST_COUNT { count } else { number }
    }

    /// The count that begins with this term, and its terms.
    fn count_at(&self, at: usize, kind: Option<Span>) -> Option<(u16, usize, usize)> {
        let term = self.terms.get(at).filter(|_| self.is_free(at))?;
        let next = self.terms.get(at + 1).filter(|_| self.is_free(at + 1));
        let is = |term: Option<&Term<'_>>, stems: &[&str]| {
            term.is_some_and(|term| stems.contains(&term.stem.as_str()))
        };
        let in_range = |count: &u16| (1..=MOST_COUNT).contains(count);
        if let Some(count) = term.times().filter(in_range) {
            return Some((count, at, at + 1));
        }
        if is(Some(term), &["x", "qty", "quantity"]) {
            return next.and_then(Term::number).filter(in_range).map(|count| (count, at, at + 2));
        }
        let count = term.number().filter(in_range).filter(|_| !term.inches)?;
        if is(next, &["x", "pc", "pcs", "piece", "off", "ea", "each"]) {
            return Some((count, at, at + 2));
        }
        let is_size = next.is_some_and(Term::is_unit);
        let before_kind = kind.is_none_or(|(from, _)| at < from) && !self.follows_preposition(at);
        let after_kind = kind.is_some_and(|(_, to)| at == to) && (term.parted || self.is_plural(at));
        (!is_size && (before_kind || after_kind)).then_some((count, at, at + 1))
    }

    /// Whether the term before is a plural: its stem is shorter.
    fn is_plural(&self, at: usize) -> bool {
        let before = at.checked_sub(1).and_then(|before| self.terms.get(before));
        before
            .is_some_and(|before| before.text.ends_with(['s', 'S']) && before.stem.len() < before.text.len())
    }

    /// Other kinds that the line names after its own, joined by `and`, `with` or a comma.
    fn also(&mut self, names: &KindNames, locations: &Locations, kind: Option<Span>) -> Vec<KindId> {
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

    /// The location that the line names.
    fn location(&mut self, locations: &Locations, kind_known: bool) -> WishLocation {
        let found = locations.find(&self.terms, &self.free);
        if !found.is_empty() {
            found.iter().for_each(|found| self.use_up(found.span.0, found.span.1));
            self.located = found.iter().map(|found| found.span).collect();
            return together(self.text, &self.terms, found);
        }
        self.unclear(locations, kind_known).unwrap_or(WishLocation::NotSaid)
    }

    /// The sum of the numbers before two or more locations: `2 bow, 2 cockpit`.
    fn count_by_location(&mut self) -> Option<u16> {
        let before = |(from, _): &Span| {
            let before = self.terms.iter().enumerate().take(*from).rev();
            let (at, term) =
                before.into_iter().find(|(_, term)| !term.is_filler() && !term.is_preposition())?;
            Some((at, term.number().filter(|number| (1..=MOST_COUNT).contains(number))?))
        };
        let counts: Vec<(usize, u16)> = self.located.iter().filter_map(before).collect();
        let sum = counts.iter().map(|(_, count)| *count).sum::<u16>();
        let are_counts = counts.len() >= 2 && counts.len() == self.located.len() && sum <= MOST_COUNT;
        are_counts.then(|| counts.iter().for_each(|(at, _)| self.use_up(*at, at + 1)))?;
        Some(sum)
    }

    /// A phrase that seems to name a location: one after a preposition, or one that is nearly a name and is not the kind.
    fn unclear(&mut self, locations: &Locations, kind_known: bool) -> Option<WishLocation> {
        let is_sure = |at: usize| {
            let before = self.terms.iter().take(at).rev().find(|term| !term.is_filler());
            before.is_some_and(|before| CERTAIN.contains(&before.stem.as_str()))
        };
        let unclear = self.runs().into_iter().find_map(|(from, to)| {
            let phrase: Vec<&Term<'_>> =
                self.terms.get(from..to)?.iter().filter(|term| !term.is_filler()).collect();
            let near = if kind_known || is_sure(from) { locations.near(&phrase) } else { Vec::new() };
            let says_nothing = |term: &&Term<'_>| {
                term.is_look() || term.is_numeric() || NOWHERE.contains(&term.stem.as_str())
            };
            let is_place = is_sure(from) && !phrase.iter().all(says_nothing);
            let ends = (phrase.first()?.at.0, phrase.last()?.at.1);
            (is_place || !near.is_empty()).then_some((
                (from, to),
                self.text.get(ends.0..ends.1)?.to_owned(),
                near,
            ))
        });
        let ((from, to), phrase, did_you_mean) = unclear?;
        self.use_up(from, to);
        Some(WishLocation::Unclear { phrase, did_you_mean })
    }

    /// Free terms in a row, without prepositions and joiners.
    fn runs(&self) -> Vec<Span> {
        let is_said = |at: usize| {
            let term = self.terms.get(at);
            self.is_free(at) && term.is_some_and(|term| !term.is_preposition() && !term.is_joiner())
        };
        let mut runs: Vec<Span> = Vec::new();
        for at in (0..self.terms.len()).filter(|at| is_said(*at)) {
            let parted = self.terms.get(at).is_some_and(|term| term.parted);
            match runs.last_mut().filter(|run| run.1 == at && !parted) {
                Some(run) => run.1 = at + 1,
                None => runs.push((at, at + 1)),
            }
        }
        runs
    }

    /// The kinds that may be meant.
    fn suggestions(&self, names: &KindNames, near: Vec<Near>) -> Wanted {
        let telling = self.terms.iter().enumerate().filter(|(_, term)| term.is_telling());
        let is_located = |at: usize| self.located.iter().any(|(from, to)| (*from..*to).contains(&at));
        let (located, said): (Vec<_>, Vec<_>) = telling.partition(|(at, _)| is_located(*at));
        let stems = |terms: Vec<(usize, &'_ Term<'_>)>| {
            terms.into_iter().map(|(_, term)| term.stem.clone()).collect::<Vec<_>>()
        };
        let (located, said) = (stems(located), stems(said));
        let suggested = names.suggested(near, &said, &located);
        if suggested.is_empty() { Wanted::NotUnderstood } else { Wanted::DidYouMean(suggested) }
    }

    /// What nothing has used: sizes, notes, and what was not understood.
    fn rest(&self) -> String {
        let is_nowhere = |(from, to): &Span| {
            let run = self.terms.get(*from..*to).unwrap_or_default();
            run.iter().all(|term| NOWHERE.contains(&term.stem.as_str()))
        };
        let runs = self.runs().into_iter().filter(|run| !is_nowhere(run)).filter_map(|(from, to)| {
            let (first, last) = (self.terms.get(from)?, self.terms.get(to.checked_sub(1)?)?);
            let end = last.at.1
                + self
                    .text
                    .get(last.at.1..)
                    .and_then(|after| after.chars().next())
                    .filter(|_| last.inches)
                    .map_or(0, char::len_utf8);
            self.text.get(first.at.0..end)
        });
        runs.collect::<Vec<_>>().join(" ")
    }
}

/// The longest name. Of names of one length the last, because a name ends with its noun: `fishfinder transducer`.
fn longest(named: impl Iterator<Item = Named>) -> Option<Named> {
    named.max_by_key(|named| (named.piece.key.len(), named.piece.span().0))
}
