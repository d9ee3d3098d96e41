//! Stored lengths behind a form: a field that still shows its stored length keeps that length exactly.

use super::Form;
use crate::web::kit::length::LengthUnit;

impl Form {
    /// Puts a stored length into a field, as the shop's unit shows it.
    pub fn put_length(&mut self, name: &str, meters: f64, unit: LengthUnit) {
        self.put(name, Some(unit.text(meters)));
        self.stored_length(name, meters);
    }

    /// Tells the form which length is stored for a field.
    pub fn stored_length(&mut self, name: &str, meters: f64) {
        self.lengths.push((name.to_owned(), meters));
    }

    /// Tells the form which lengths are stored, by a form that was filled with them.
    ///
    /// A tape shows sixteenths of an inch, and a stored length may be finer. A field that still shows the text of
    /// its stored length keeps that length exactly.
    pub fn keep_lengths(&mut self, stored: &Self) {
        self.lengths.clone_from(&stored.lengths);
    }

    /// The stored length that the text of a field shows, if any: that of the same field, or of a row that moved.
    pub(super) fn kept_length(&self, name: &str, unit: LengthUnit) -> Option<f64> {
        let typed = self.typed(name).trim();
        let shown = |field: &dyn Fn(&str) -> bool| {
            let mut lengths = self.lengths.iter().filter(|(own, _)| field(own));
            lengths.find(|(_, meters)| unit.text(*meters) == typed).map(|(_, meters)| *meters)
        };
        shown(&|field| field == name).or_else(|| shown(&|field| are_alike(field, name)))
    }
}

/// Whether two fields are the same field of two rows of one list.
fn are_alike(one: &str, other: &str) -> bool {
    let parts = |name: &str| {
        let (list, rest) = name.split_once('[')?;
        let (_, key) = rest.split_once(']')?;
        Some((list.to_owned(), key.to_owned()))
    };
    parts(one).is_some_and(|parts_of_one| parts(other) == Some(parts_of_one))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_of_two_rows_are_alike() {
        assert!(are_alike("conductors[0].length_m", "conductors[12].length_m"));
        assert!(!are_alike("conductors[0].length_m", "conductors[0].size"));
        assert!(!are_alike("length_m", "length_m"), "no row");
    }
}
