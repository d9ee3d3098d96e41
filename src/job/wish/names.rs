//! The names of all kinds, and which of them a piece of a line is, exactly or nearly.

use std::cmp::Reverse;

use crate::job::kind::Catalog;
use crate::job::value::KindId;

use super::token::stems;

/// How many kinds are suggested at most.
const MOST_SUGGESTED: usize = 4;
/// The longest name, in terms.
pub(super) const MOST_TERMS: usize = 6;
/// From this length on, in letters, one wrong letter leaves no doubt if only one kind is so near.
const SURE_FROM: usize = 8;

/// A name of a kind.
#[derive(Debug)]
struct KindName {
    /// Its terms without spaces.
    key: String,
    stems: Vec<String>,
    letters: Letters,
    kind: usize,
}

/// The names of all kinds.
#[derive(Debug)]
pub(super) struct KindNames {
    kinds: Vec<KindId>,
    names: Vec<KindName>,
}

/// The letters of a name as a set, to pass over names that are far apart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Letters {
    set: u64,
    count: usize,
}

impl Letters {
    pub(super) fn of(key: &str) -> Self {
        let bit = |letter: char| 1_u64 << (u32::from(letter) % 64);
        Self { set: key.chars().map(bit).fold(0, |set, bit| set | bit), count: key.chars().count() }
    }

    /// Whether so few changes could make one of the other. Each change alters two letters at most.
    pub(super) fn may_be(self, other: Self, changes: usize) -> bool {
        let apart = usize::try_from((self.set ^ other.set).count_ones()).unwrap_or(usize::MAX);
        self.count.abs_diff(other.count) <= changes && apart <= 2 * changes
    }

    /// How many changes a name of this length may have.
    pub(super) fn changes(self) -> usize {
        match self.count {
            0..=3 => 0,
            4..SURE_FROM => 1,
            _ => 2,
        }
    }
}

/// The number of changes from one key to another; `None` if there are too many.
pub(super) fn changes(one: &str, other: &str, other_letters: Letters) -> Option<usize> {
    let most = other_letters.changes();
    if most == 0 || !Letters::of(one).may_be(other_letters, most) {
        return None;
    }
    Some(strsim::osa_distance(one, other)).filter(|changes| *changes <= most)
}

/// A piece of a line that is nearly a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Near {
    pub(super) changes: usize,
    kind: usize,
    letters: usize,
}

impl KindNames {
    pub(super) fn of(catalog: &Catalog) -> Self {
        let kinds: Vec<KindId> = catalog.kinds().iter().map(|kind| kind.id.clone()).collect();
        let named = catalog.kinds().iter().enumerate();
        let names = named.flat_map(|(kind, of)| {
            of.typed_names().map(move |name| {
                let stems = stems(name);
                let key = stems.concat();
                KindName { letters: Letters::of(&key), key, stems, kind }
            })
        });
        let mut names: Vec<KindName> = names.collect();
        // Where two kinds have one name, the first of the catalog has it: a shop's own kinds come first.
        names.sort_by(|one, other| (&one.key, one.kind).cmp(&(&other.key, other.kind)));
        Self { kinds, names }
    }

    pub(super) fn id(&self, kind: usize) -> Option<KindId> {
        self.kinds.get(kind).cloned()
    }

    /// The kind with exactly this name.
    pub(super) fn exactly(&self, key: &str) -> Option<usize> {
        let first = self.names.partition_point(|name| name.key.as_str() < key);
        self.names.get(first).filter(|name| name.key == key).map(|name| name.kind)
    }

    /// The kinds whose names are nearly this.
    pub(super) fn near<'a>(&'a self, key: &'a str) -> impl Iterator<Item = Near> + 'a {
        self.names.iter().filter_map(move |name| {
            let changes = changes(key, &name.key, name.letters)?;
            Some(Near { changes, kind: name.kind, letters: name.letters.count })
        })
    }

    /// The kind that is meant without doubt: one letter is wrong in a long name, and no other kind is so near.
    pub(super) fn surely(&self, near: &[Near]) -> Option<usize> {
        let best = near.iter().filter(|near| near.changes == 1);
        let mut kinds: Vec<usize> = best.clone().map(|near| near.kind).collect();
        kinds.dedup();
        let is_long = best.clone().any(|near| near.letters >= SURE_FROM);
        kinds.first().copied().filter(|first| is_long && kinds.iter().all(|kind| kind == first))
    }

    /// The kinds that may be meant: those of near names first, then those whose names share a term with what the line
    /// says beside its location. Terms of the location only help to choose among these.
    pub(super) fn suggested(&self, mut near: Vec<Near>, said: &[String], located: &[String]) -> Vec<KindId> {
        near.sort();
        let mut sharing: Vec<_> = self.names.iter().filter_map(|name| sharing(name, said, located)).collect();
        sharing.sort();
        let near = near.into_iter().map(|near| near.kind);
        let mut found: Vec<usize> = Vec::new();
        for kind in near.chain(sharing.into_iter().map(|(_, _, kind)| kind)) {
            if found.len() < MOST_SUGGESTED && !found.contains(&kind) {
                found.push(kind);
            }
        }
        found.into_iter().filter_map(|kind| self.id(kind)).collect()
    }
}

/// How well a name fits a line with which it shares terms: the most shared letters and the fewest others come first.
fn sharing(name: &KindName, said: &[String], located: &[String]) -> Option<(Reverse<usize>, usize, usize)> {
    let shared = |terms: &[String]| {
        let stems = name.stems.iter().filter(|stem| terms.contains(stem));
        stems.map(|stem| stem.chars().count()).filter(|letters| *letters >= 3).sum::<usize>()
    };
    let (own, of_location) = (shared(said), shared(located));
    let letters = own + of_location;
    (own > 0).then(|| (Reverse(letters), name.letters.count.saturating_sub(letters), name.kind))
}
