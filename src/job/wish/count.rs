//! How many a line wants.

use super::line::{Line, Span};
use super::meaning::MOST_COUNT;
use super::token::Term;

/// Terms that count what they stand before.
const GROUPS: &[(&str, u16)] = &[("pair", 2), ("couple", 2), ("dozen", 12)];
impl Line<'_> {
    /// How many the line wants: a number before the kind, `4x`, `x4`, `(4)`, `pair`.
    pub(super) fn count(&mut self, kind: Option<Span>) -> u16 {
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
        // After a number, "A" is amperes and no article.
        let is_size = next.is_some_and(Term::is_unit) || is(self.terms.get(at + 1), &["a"]);
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

    /// The sum of the numbers before two or more locations: `2 bow, 2 cockpit`.
    pub(super) fn count_by_location(&mut self) -> Option<u16> {
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
}
