//! A list within a form: rows of the same inputs, with a few empty ones at the end.

use super::input::Input;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::{MOST_ROWS, cell, split};

/// A list of the job file, each of its rows with the same inputs.
pub struct FieldRows<C> {
    /// Path of the list, which is also its name in the form.
    pub(super) list: &'static str,
    pub(super) title: Option<&'static str>,
    pub(super) hint: Option<&'static str>,
    pub(super) layout: RowLayout,
    pub(super) row: Vec<Input<C>>,
    /// The name of a row, if it is not only a number.
    pub(super) called: Option<fn(&C, &Form, usize) -> String>,
    pub(super) spare: usize,
    /// The text of the button for more rows. A list whose rows are fixed has no button.
    pub(super) more: Option<&'static str>,
    /// The error if there is no row.
    pub(super) least: Option<&'static str>,
    /// The text in place of a list without rows.
    pub(super) empty: Option<&'static str>,
    /// A key whose value must differ in every row, and the error if two rows share it.
    pub(super) distinct: Option<(&'static str, &'static str)>,
}

/// The layout of a row's inputs on a wide page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowLayout {
    /// One wide input in each row.
    Single,
    /// A few inputs side by side under common labels.
    Columns,
    /// Many inputs, each with its label, as they fit.
    Wide,
    /// The name of the row, then its inputs.
    Named,
    /// One input with the row's name as its label, several rows side by side.
    Tight,
}

impl RowLayout {
    /// The class of its style.
    pub(super) fn class(self) -> &'static str {
        match self {
            Self::Single => "form-rows-single",
            Self::Columns => "form-rows-columns",
            Self::Wide => "form-rows-wide",
            Self::Named => "form-rows-named",
            Self::Tight => "form-rows-tight",
        }
    }
}

impl<C> FieldRows<C> {
    /// A list with its inputs.
    pub fn new(list: &'static str, layout: RowLayout, row: impl IntoIterator<Item = Input<C>>) -> Self {
        Self {
            list,
            title: None,
            hint: None,
            layout,
            row: row.into_iter().collect(),
            called: None,
            spare: 0,
            more: None,
            least: None,
            empty: None,
            distinct: None,
        }
    }

    /// The same list with a title of its own.
    pub fn title(self, title: &'static str) -> Self {
        Self { title: Some(title), ..self }
    }

    /// The same list with a sentence under its title.
    pub fn hint(self, hint: &'static str) -> Self {
        Self { hint: Some(hint), ..self }
    }

    /// The same list with at least this many rows, and a button for more.
    pub fn spare(self, rows: usize, more: &'static str) -> Self {
        Self { spare: rows, more: Some(more), ..self }
    }

    /// The same list with a name for each row.
    pub fn called(self, called: fn(&C, &Form, usize) -> String) -> Self {
        Self { called: Some(called), ..self }
    }

    /// The same list, which needs at least one row; `text` is the error without one.
    pub fn least_one(self, text: &'static str) -> Self {
        Self { least: Some(text), ..self }
    }

    /// The same list with a text in its place if it has no rows.
    pub fn empty(self, text: &'static str) -> Self {
        Self { empty: Some(text), ..self }
    }

    /// The same list, whose rows must all differ in `key`; `text` is the error if two are equal.
    pub fn distinct(self, key: &'static str, text: &'static str) -> Self {
        Self { distinct: Some((key, text)), ..self }
    }

    /// Puts the rows with content first and in order, and returns their count.
    pub(super) fn settle(&self, form: &mut Form) -> usize {
        let keys: Vec<&str> =
            self.row.iter().filter(|input| input.counts()).map(|input| input.name).collect();
        form.settle(self.list, &keys)
    }

    /// How many rows the page shows: the rows that were sent, and some empty ones.
    pub(super) fn shown(&self, form: &Form) -> usize {
        let rows = form.rows(self.list);
        let last_is_filled = rows > 0 && form.is_row_filled(self.list, rows - 1);
        let asked = self.more.is_some() && form.typed("more") == self.list;
        let more = match (asked, self.spare > 0 && last_is_filled) {
            (true, _) => 4,
            (false, true) => 1,
            (false, false) => 0,
        };
        (rows.max(self.spare) + more).min(MOST_ROWS)
    }

    /// The input that shows an error at a path, with how closely it matches.
    pub(super) fn input_at(&self, path: &str) -> Option<(u8, String)> {
        let (row, key) = match split(path, self.list) {
            Some(at) => at,
            None if path == self.list => (0, ""),
            None => return None,
        };
        let mut ranked = self.row.iter().filter_map(|input| Some((input.answers(key)?, input.name)));
        let first = self.row.iter().find(|input| input.counts()).map(|input| (u8::MAX, input.name));
        let (rank, name) = ranked.by_ref().min_by_key(|(rank, _)| *rank).or(first)?;
        Some((rank, cell(self.list, row, name)))
    }

    /// The label of the input of that name, with its row counted from 1.
    pub(super) fn label_of(&self, name: &str) -> Option<String> {
        let (row, key) = split(name, self.list)?;
        let input = self.row.iter().find(|input| input.name == key)?;
        Some(format!("{}, row {}", input.label, row + 1))
    }

    pub(super) fn paths(&self) -> Vec<String> {
        let path = |input: &Input<C>| match input.path {
            "" => format!("{}[]", self.list),
            key => format!("{}[].{key}", self.list),
        };
        self.row.iter().map(path).collect()
    }
}
