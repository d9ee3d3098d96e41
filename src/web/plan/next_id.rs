//! The suggested id of a new thing: the next one in the series of its kind.

use std::fmt::Display;

/// The id after the highest of a series, such as `C07` after `C06`; `digits` is the minimum number of digits.
///
/// A gap is not filled, because the history still has the work on the circuit that had that id.
pub fn next(prefix: &str, digits: usize, taken: impl IntoIterator<Item = impl Display>) -> String {
    let number = |id: &dyn Display| id.to_string().strip_prefix(prefix)?.parse::<u32>().ok();
    let highest = taken.into_iter().filter_map(|id| number(&id)).max().unwrap_or(0);
    format!("{prefix}{:0digits$}", highest.saturating_add(1))
}

/// The same id; if a removed item had it, the next one of its series that was never used.
pub fn beyond(id: &str, removed: &[String]) -> String {
    let prefix = id.trim_end_matches(|character: char| character.is_ascii_digit());
    let digits = id.len() - prefix.len();
    if digits == 0 || !removed.iter().any(|gone| gone == id) {
        return id.to_owned();
    }
    next(prefix, digits, removed)
}

#[cfg(test)]
mod tests {
    use super::{beyond, next};

    #[test]
    fn the_id_of_something_removed_is_not_offered_again() {
        let removed = ["C07".to_owned(), "C08".to_owned(), "nav".to_owned()];
        assert_eq!(beyond("C07", &removed), "C09");
        assert_eq!(beyond("C06", &removed), "C06");
        assert_eq!(beyond("nav", &removed), "nav");
        assert_eq!(beyond("", &removed), "");
    }

    #[test]
    fn the_next_id_follows_the_highest_and_fills_no_gap() {
        assert_eq!(next("C", 2, ["C01", "C06", "nav", "C"]), "C07");
        assert_eq!(next("fb", 1, ["fb1", "panel"]), "fb2");
        assert_eq!(next("F", 1, Vec::<String>::new()), "F1");
        assert_eq!(next("C", 2, ["C99"]), "C100");
    }
}
