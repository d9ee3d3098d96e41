//! The location that a wish names, found among those of the boat and those that boats usually have.

use std::collections::BTreeSet;

use strum::VariantArray;

use super::meaning::WishLocation;
use super::names::{Letters, changes};
use super::token::{Term, stems};
use crate::job::kind::UsualLocation;
use crate::job::plan::Location;
use crate::job::value::LocationId;

/// The longest name of a location, in terms.
const MOST_TERMS: usize = 4;
/// How many names are suggested at most.
const MOST_SUGGESTED: usize = 3;
/// Terms of a location's name that nobody types to say which location it is.
const WEAK: &[&str] =
    &["inside", "under", "face", "behind", "side", "in", "on", "at", "and", "area", "space"];

/// The locations that a line may name.
#[derive(Debug)]
pub(super) struct Locations {
    boat: Vec<(LocationId, String, BTreeSet<String>)>,
    usual: Vec<(UsualLocation, &'static str, Vec<String>, String)>,
}

/// A piece of a line that names a location.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct FoundLocation {
    /// Its terms, by number.
    pub(super) span: (usize, usize),
    usual: Option<UsualLocation>,
    locations: Vec<LocationId>,
}

impl Locations {
    pub(super) fn of(boat: &[Location]) -> Self {
        let own = boat.iter().map(|location| {
            let name = stems(location.name.as_str());
            let named: BTreeSet<String> =
                name.into_iter().filter(|stem| !WEAK.contains(&stem.as_str())).collect();
            (location.id.clone(), location.name.to_string(), named)
        });
        let usual =
            UsualLocation::VARIANTS.iter().flat_map(|usual| usual.names().iter().map(|name| (*usual, *name)));
        let usual = usual.map(|(usual, name)| {
            let stems = stems(name);
            let key = stems.concat();
            (usual, name, stems, key)
        });
        Self { boat: own.collect(), usual: usual.collect() }
    }

    /// The locations that the free terms of a line name, the longest phrases first.
    pub(super) fn find(&self, terms: &[Term<'_>], free: &[bool]) -> Vec<FoundLocation> {
        let mut free = free.to_vec();
        let mut found: Vec<FoundLocation> = Vec::new();
        for length in (1..=MOST_TERMS).rev() {
            for from in 0..(terms.len() + 1).saturating_sub(length) {
                let span = (from, from + length);
                let all_free = free.get(span.0..span.1).is_some_and(|span| span.iter().all(|free| *free));
                let named =
                    terms.get(span.0..span.1).filter(|_| all_free).and_then(|terms| self.named(terms));
                if let Some((usual, locations)) = named {
                    free.iter_mut().take(span.1).skip(span.0).for_each(|free| *free = false);
                    found.push(FoundLocation { span, usual, locations });
                }
            }
        }
        found.sort_by_key(|found| found.span);
        found
    }

    /// The usual location and the boat's locations that a phrase names.
    fn named(&self, terms: &[Term<'_>]) -> Option<(Option<UsualLocation>, Vec<LocationId>)> {
        let said: Vec<&str> =
            terms.iter().filter(|term| !term.is_filler()).map(|term| term.stem.as_str()).collect();
        let strong: Vec<&str> = said.iter().copied().filter(|stem| !WEAK.contains(stem)).collect();
        let edges = [terms.first(), terms.last()];
        if strong.is_empty() || edges.into_iter().flatten().any(Term::is_filler) {
            return None;
        }
        let key = said.concat();
        let usual = self.usual.iter().find(|(.., name)| *name == key).map(|(usual, ..)| *usual);
        let id = self.boat.iter().find(|(id, ..)| stems(id.as_str()).concat() == key);
        let by_id = id.map(|(id, ..)| vec![id.clone()]);
        let direct =
            by_id.unwrap_or_else(|| self.best(|named| covers(named, &strong).then_some(strong.len())));
        let locations = if direct.is_empty() { self.of_usual(usual) } else { direct };
        (usual.is_some() || !locations.is_empty()).then_some((usual, locations))
    }

    /// The boat's locations that have a name of a usual location.
    fn of_usual(&self, usual: Option<UsualLocation>) -> Vec<LocationId> {
        let names: Vec<&Vec<String>> =
            self.usual.iter().filter(|(of, ..)| Some(*of) == usual).map(|(_, _, stems, _)| stems).collect();
        self.best(|named| {
            let fits = names.iter().filter(|name| name.iter().all(|stem| named.contains(stem)));
            fits.map(|name| name.len()).max()
        })
    }

    /// The boat's locations of which the phrase says the greatest share of the name.
    fn best(&self, said: impl Fn(&BTreeSet<String>) -> Option<usize>) -> Vec<LocationId> {
        let shares: Vec<(&LocationId, usize, usize)> =
            self.boat.iter().filter_map(|(id, _, named)| Some((id, said(named)?, named.len()))).collect();
        // Of two shares a/b and c/d the greater one has the greater product a*d.
        let is_best = |(_, said, of): &(&LocationId, usize, usize)| {
            shares.iter().all(|(_, other_said, other_of)| said * other_of >= other_said * of)
        };
        shares.iter().filter(|share| is_best(share)).map(|(id, ..)| (*id).clone()).collect()
    }

    /// The names that a phrase nearly is.
    pub(super) fn near(&self, phrase: &[&Term<'_>]) -> Vec<String> {
        let key: String = phrase.iter().map(|term| term.stem.as_str()).collect();
        let own = self
            .boat
            .iter()
            .map(|(_, name, named)| (name.clone(), named.iter().cloned().collect::<String>()));
        let usual = self.usual.iter().map(|(_, name, _, key)| ((*name).to_owned(), key.clone()));
        let near = own
            .chain(usual)
            .filter_map(|(name, other)| Some((changes(&key, &other, Letters::of(&other))?, name)));
        let mut near: Vec<(usize, String)> = near.collect();
        near.sort();
        near.dedup_by(|one, other| one.1 == other.1);
        near.into_iter().take(MOST_SUGGESTED).map(|(_, name)| name).collect()
    }
}

/// Whether a name has every term that was said.
fn covers(named: &BTreeSet<String>, said: &[&str]) -> bool {
    said.iter().all(|stem| named.contains(*stem))
}

/// Several phrases of one line together.
pub(super) fn together(line: &str, terms: &[Term<'_>], found: Vec<FoundLocation>) -> WishLocation {
    let starts = found.first().and_then(|first| terms.get(first.span.0)).map(|term| term.at.0);
    let ends = found.last().and_then(|last| terms.get(last.span.1.saturating_sub(1))).map(|term| term.at.1);
    let Some(phrase) = starts.zip(ends).and_then(|(from, to)| line.get(from..to)) else {
        return WishLocation::NotSaid;
    };
    let mut usual: Vec<UsualLocation> = found.iter().filter_map(|found| found.usual).collect();
    usual.dedup();
    let mut locations: Vec<LocationId> = Vec::new();
    for location in found.into_iter().flat_map(|found| found.locations) {
        if !locations.contains(&location) {
            locations.push(location);
        }
    }
    WishLocation::At { phrase: phrase.to_owned(), usual, locations }
}
