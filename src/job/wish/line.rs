//! A line, and which of its terms nothing has used yet.

use super::location::{Locations, together};
use super::meaning::{Wanted, WishLocation};
use super::names::{KindNames, Near};
use super::token::{Term, terms};

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
pub(super) type Span = (usize, usize);

/// A line with the terms that nothing has used yet.
pub(super) struct Line<'a> {
    pub(super) text: &'a str,
    pub(super) terms: Vec<Term<'a>>,
    free: Vec<bool>,
    /// The terms that name its location.
    pub(super) located: Vec<Span>,
}

impl<'a> Line<'a> {
    pub(super) fn of(text: &'a str) -> Self {
        let terms = terms(text);
        let free = terms.iter().map(|term| !term.is_filler()).collect();
        Self { text, terms, free, located: Vec::new() }
    }

    pub(super) fn use_up(&mut self, from: usize, to: usize) {
        self.free.iter_mut().take(to).skip(from).for_each(|free| *free = false);
    }

    pub(super) fn is_free(&self, at: usize) -> bool {
        self.free.get(at).copied().unwrap_or(false)
    }

    /// The last term before this one that is no filler.
    pub(super) fn before(&self, at: usize) -> Option<&Term<'a>> {
        self.terms.iter().take(at).rev().find(|term| !term.is_filler())
    }

    /// Whether a preposition stands before a term, with nothing but fillers between.
    pub(super) fn follows_preposition(&self, at: usize) -> bool {
        self.before(at).is_some_and(Term::is_preposition)
    }

    /// Uses up the terms of a list, where they may be; whether there was one.
    pub(super) fn takes(&mut self, list: &[&str], may: impl Fn(usize) -> bool) -> bool {
        let of_list = |(at, term): &(usize, &Term<'_>)| list.contains(&term.stem.as_str()) && may(*at);
        let found: Vec<usize> = self.terms.iter().enumerate().filter(of_list).map(|(at, _)| at).collect();
        let found: Vec<usize> = found.into_iter().filter(|at| self.is_free(*at)).collect();
        found.iter().for_each(|at| self.use_up(*at, at + 1));
        !found.is_empty()
    }

    /// The location that the line names.
    pub(super) fn location(&mut self, locations: &Locations, kind_known: bool) -> WishLocation {
        let found = locations.find(&self.terms, &self.free);
        if !found.is_empty() {
            found.iter().for_each(|found| self.use_up(found.span.0, found.span.1));
            self.located = found.iter().map(|found| found.span).collect();
            return together(self.text, &self.terms, found);
        }
        self.unclear(locations, kind_known).unwrap_or(WishLocation::NotSaid)
    }

    /// A phrase that seems to name a location: one after a preposition, or one that is nearly a name and is not the
    /// kind.
    fn unclear(&mut self, locations: &Locations, kind_known: bool) -> Option<WishLocation> {
        let is_sure =
            |at: usize| self.before(at).is_some_and(|before| CERTAIN.contains(&before.stem.as_str()));
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
    pub(super) fn suggestions(&self, names: &KindNames, near: Vec<Near>) -> Wanted {
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
    pub(super) fn rest(&self) -> String {
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
