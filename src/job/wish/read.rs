//! One line of a list of wishes.
//!
//! First the kind is searched, because names of kinds have numbers and locations in them: `12 V outlet`, `bow thruster`.
//! Then the line gives its count, whether the old one is kept, its other kinds and its location. The rest is a note.

use super::line::Line;
use super::location::Locations;
use super::meaning::{MOST_LETTERS, Wanted, Wish, WishLocation};
use super::names::KindNames;
use super::piece::{Found, Piece};

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
    let kept = keeps(&mut line);
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

/// Whether the line keeps what is aboard.
fn keeps(line: &mut Line<'_>) -> bool {
    let replaces = line.takes(REPLACE, |_| true);
    let keeps = line.takes(KEEP, |_| true);
    if replaces || keeps {
        line.takes(OLD, |_| true);
    }
    keeps && !replaces
}
