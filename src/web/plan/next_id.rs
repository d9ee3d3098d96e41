//! The id a new thing is offered: the next one of its kind's own series.

use std::fmt::Display;

/// The id after the highest of a series, such as `C07` after `C06`; `digits` is the least number of digits.
///
/// A gap is not filled: what was done to the circuit that had that id is still in the history.
pub fn next(prefix: &str, digits: usize, taken: impl IntoIterator<Item = impl Display>) -> String {
    let number = |id: &dyn Display| id.to_string().strip_prefix(prefix)?.parse::<u32>().ok();
    let highest = taken.into_iter().filter_map(|id| number(&id)).max().unwrap_or(0);
    format!("{prefix}{:0digits$}", highest.saturating_add(1))
}

#[cfg(test)]
mod tests {
    use super::next;

    #[test]
    fn the_next_id_follows_the_highest_and_fills_no_gap() {
        assert_eq!(next("C", 2, ["C01", "C06", "nav", "C"]), "C07");
        assert_eq!(next("fb", 1, ["fb1", "panel"]), "fb2");
        assert_eq!(next("F", 1, Vec::<String>::new()), "F1");
        assert_eq!(next("C", 2, ["C99"]), "C100");
    }
}
