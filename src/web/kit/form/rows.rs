//! Lists within a form: `settings[0].name`, `settings[0].value`, `devices[1]`, named as in the job file.

use std::collections::BTreeMap;

use super::Form;

/// How many rows of one list a form may have. Longer lists are changed in the job file.
pub const MOST_ROWS: usize = 300;

/// The name of one field of a row. `key` is empty if rows are single fields.
pub fn cell(list: &str, row: usize, key: &str) -> String {
    if key.is_empty() { format!("{list}[{row}]") } else { format!("{list}[{row}].{key}") }
}

impl Form {
    /// How many rows of a list the form holds, filled in or empty.
    pub fn rows(&self, list: &str) -> usize {
        self.numbers(list).len()
    }

    /// Whether anything in a row is filled in.
    pub fn is_row_filled(&self, list: &str, row: usize) -> bool {
        let mut fields = self.pairs.iter();
        fields.any(|(name, value)| {
            split(name, list).is_some_and(|(at, _)| at == row) && !value.trim().is_empty()
        })
    }

    /// Numbers the rows of a list from 0 and returns how many have content. Rows with content in one of `keys` come
    /// first. A row then has the same number in the form as in the value read from it.
    pub fn settle(&mut self, list: &str, keys: &[&str]) -> usize {
        self.shorten(list);
        let numbers = self.numbers(list);
        let is_filled =
            |row: &usize| keys.iter().any(|key| !self.typed(&cell(list, *row, key)).trim().is_empty());
        let (filled, blank): (Vec<usize>, Vec<usize>) = numbers.into_iter().partition(is_filled);
        let count = filled.len();
        let new: BTreeMap<usize, usize> = filled.into_iter().chain(blank).zip(0..).collect();
        for (name, _) in &mut self.pairs {
            let Some((row, key)) = split(name, list) else { continue };
            if let Some(new) = new.get(&row) {
                *name = cell(list, *new, key);
            }
        }
        count
    }

    /// Refuses more rows than [`MOST_ROWS`], and removes those beyond.
    fn shorten(&mut self, list: &str) {
        let numbers = self.numbers(list);
        let Some(beyond) = numbers.get(MOST_ROWS) else { return };
        self.pairs.retain(|(name, _)| split(name, list).is_none_or(|(row, _)| row < *beyond));
        let sent = numbers.len();
        self.refuse(
            list,
            format!("{sent} rows were sent; expected at most {MOST_ROWS}. The rest is not shown."),
        );
    }

    /// Records that a list is too long for a form, and so stays as it is stored.
    pub(super) fn leave_stored(&mut self, list: &str, rows: usize) {
        self.put(&left(list), Some(rows));
    }

    /// How many rows a list has that is too long for a form.
    pub(super) fn left_stored(&self, list: &str) -> Option<usize> {
        self.typed(&left(list)).parse().ok()
    }

    /// The numbers of the rows that were sent, in order.
    fn numbers(&self, list: &str) -> Vec<usize> {
        let mut numbers: Vec<usize> =
            self.pairs.iter().filter_map(|(name, _)| split(name, list)).map(|(row, _)| row).collect();
        numbers.sort_unstable();
        numbers.dedup();
        numbers
    }
}

/// The field that says so.
pub(super) fn left(list: &str) -> String {
    format!("{list}.left")
}

/// Row and key of a field that belongs to a list.
pub(super) fn split<'a>(name: &'a str, list: &str) -> Option<(usize, &'a str)> {
    let (row, rest) = name.strip_prefix(list)?.strip_prefix('[')?.split_once(']')?;
    let key = if rest.is_empty() { rest } else { rest.strip_prefix('.')? };
    Some((row.parse().ok()?, key))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn filled_rows_come_first_and_in_order() {
        let mut form = Form::filled([
            ("settings[0].name", ""),
            ("settings[3].name", "Contrast"),
            ("settings[3].value", "7"),
            ("settings[999999].name", "Language"),
            ("other[0].name", "x"),
        ]);
        assert_eq!(form.settle("settings", &["name", "value"]), 2);
        assert_eq!(form.rows("settings"), 3);
        assert_eq!((form.typed("settings[0].name"), form.typed("settings[0].value")), ("Contrast", "7"));
        assert_eq!(form.typed("settings[1].name"), "Language");
        assert_eq!(form.typed("other[0].name"), "x");
    }

    #[test]
    fn a_form_has_so_many_rows_and_refuses_more() {
        let sent: Vec<(String, usize)> =
            (0..14_000).map(|row| (cell("settings", row, "name"), row)).collect();
        let mut form = Form::filled(sent.iter().map(|(name, row)| (name.as_str(), row)));
        assert_eq!(form.settle("settings", &["name"]), MOST_ROWS);
        assert_eq!(form.rows("settings"), MOST_ROWS);
        let error = &form.errors()[0];
        assert_eq!(error.field, "settings");
        assert!(error.text.starts_with("14000 rows were sent; expected at most 300."), "{}", error.text);
    }

    #[test]
    fn rows_of_single_fields_have_no_key() {
        let mut form = Form::filled([("devices[1]", "nav"), ("devices[0]", " ")]);
        assert_eq!(form.settle("devices", &[""]), 1);
        assert_eq!(form.typed("devices[0]"), "nav");
    }
}
