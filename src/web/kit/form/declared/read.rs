//! Reads the values out of the form, with an error beside every wrong field.

use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use super::group::GroupPart;
use super::input::{Input, Need, TypedText};
use super::path::{get, outer, put};
use super::rows::FieldRows;
use super::whole::Declared;
use crate::trade::say::capital;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::cell;
use crate::web::kit::length::LengthUnit;

impl<C> Declared<C> {
    /// Numbers the rows of all lists from 0. Rows with content come first.
    pub fn settle(&self, form: &mut Form) {
        for part in self.parts() {
            if let GroupPart::Rows(rows) = part {
                rows.settle(form);
            }
        }
    }

    /// Reads the whole form into a typed thing; `None` if any field has an error.
    pub fn take<T: DeserializeOwned>(&self, form: &mut Form, unit: LengthUnit) -> Option<T> {
        self.take_over(&Value::Null, form, unit)
    }

    /// The same for a thing that is stored. A list that is too long for a form stays as it is stored.
    pub fn take_over<T: DeserializeOwned>(
        &self,
        stored: &Value,
        form: &mut Form,
        unit: LengthUnit,
    ) -> Option<T> {
        let mut read = self.read(form, unit)?;
        for list in self.lists().filter(|list| form.left_stored(list).is_some()) {
            put(&mut read, list, get(stored, list).cloned().unwrap_or(Value::Array(Vec::new())));
        }
        match serde_path_to_error::deserialize(read) {
            Ok(thing) => Some(thing),
            Err(error) => {
                let input = self.input_at(&error.path().to_string()).unwrap_or_default();
                form.refuse(&input, format!("{}.", capital(&error.into_inner().to_string())));
                None
            }
        }
    }

    fn lists(&self) -> impl Iterator<Item = &'static str> {
        self.parts().filter_map(|part| match part {
            GroupPart::Rows(rows) => Some(rows.list),
            GroupPart::Input(_) => None,
        })
    }

    /// Reads the whole form into a thing as the job file has it; `None` if any field has an error.
    pub fn read(&self, form: &mut Form, unit: LengthUnit) -> Option<Value> {
        self.settle(form);
        let parts = self.applying(form);
        let given = parts.iter().flat_map(|part| part.given(form)).collect();
        let mut reading = FormReading { form, unit, given, value: Value::Object(Map::new()) };
        for part in &parts {
            match part {
                GroupPart::Input(input) => reading.input(input, input.name),
                GroupPart::Rows(rows) => reading.rows(rows),
            }
        }
        for part in parts {
            if let GroupPart::Input(input) = part {
                reading.beside(input, input.name);
            }
        }
        let FormReading { form, value, .. } = reading;
        form.sound().map(|()| value)
    }
}

impl<C> GroupPart<C> {
    /// The names of the inputs that are filled in.
    fn given(&self, form: &Form) -> Vec<String> {
        let is_given = |name: &String| !form.typed(name).trim().is_empty();
        match self {
            Self::Input(input) if input.counts() => {
                Some(input.name.to_owned()).into_iter().filter(is_given).collect()
            }
            Self::Input(_) => Vec::new(),
            Self::Rows(rows) => (0..form.rows(rows.list)).flat_map(|row| rows.given(row, form)).collect(),
        }
    }
}

impl<C> FieldRows<C> {
    fn given(&self, row: usize, form: &Form) -> Vec<String> {
        let counting = self.row.iter().filter(|input| input.counts());
        let names = counting.map(|input| cell(self.list, row, input.name));
        names.filter(|name| !form.typed(name).trim().is_empty()).collect()
    }
}

/// A thing, or a row of it, while the form is read.
struct FormReading<'a> {
    form: &'a mut Form,
    unit: LengthUnit,
    /// The names of the inputs that are filled in.
    given: Vec<String>,
    /// The value read so far.
    value: Value,
}

impl FormReading<'_> {
    /// Reads an input that has a meaning alone.
    fn input<C>(&mut self, input: &Input<C>, name: &str) {
        if !input.alone {
            return;
        }
        if !self.form.typed(name).trim().is_empty() {
            return self.value(input, name);
        }
        match input.need {
            Need::Always(text) => self.form.refuse(name, text),
            Need::WithGroup(text) if self.is_group_given(name) => self.form.refuse(name, text),
            Need::WithGroup(_) | Need::Never => {}
        }
    }

    /// Reads an input that belongs to others of its group; an empty one may get a value because of them.
    fn beside<C>(&mut self, input: &Input<C>, name: &str) {
        let is_with_others = outer(input.path).is_none_or(|outer| get(&self.value, outer).is_some());
        if !is_with_others {
            return;
        }
        let is_empty = self.form.typed(name).trim().is_empty();
        match input.blank {
            Some(blank) if is_empty => put(&mut self.value, input.path, blank()),
            _ if !is_empty && !input.alone => self.value(input, name),
            _ => {}
        }
    }

    fn value<C>(&mut self, input: &Input<C>, name: &str) {
        let text = self.form.typed(name);
        let kept = self.form.kept_length(name, self.unit);
        let typed = TypedText { text, unit: self.unit, kept, so_far: get(&self.value, input.path) };
        match input.read(&typed) {
            Ok(Value::Null) => {}
            Ok(value) => put(&mut self.value, input.path, value),
            Err(text) => self.form.refuse(name, text),
        }
    }

    /// Whether any other input is filled in whose name starts the same, up to its last dot.
    fn is_group_given(&self, name: &str) -> bool {
        let group = outer(name).unwrap_or_default();
        self.given
            .iter()
            .any(|given| given.strip_prefix(group).is_some_and(|rest| rest.starts_with(['.', '['])))
    }

    /// Reads the rows of a list that have content. An empty list within a group is left out.
    fn rows<C>(&mut self, rows: &FieldRows<C>) {
        let count = rows.settle(self.form);
        if self.form.left_stored(rows.list).is_some() {
            return;
        }
        if let (0, Some(text)) = (count, rows.least) {
            let first = rows.row.iter().find(|input| input.counts()).map_or("", |input| input.name);
            self.form.refuse(&cell(rows.list, 0, first), text);
        }
        let mut list: Vec<Value> = Vec::with_capacity(count);
        for row in 0..count {
            let value = self.row(rows, row);
            if let Some((key, text)) = rows.distinct
                && get(&value, key).is_some_and(|own| list.iter().any(|other| get(other, key) == Some(own)))
            {
                self.form.refuse(&cell(rows.list, row, key), text);
            }
            list.push(value);
        }
        if !list.is_empty() || outer(rows.list).is_none() {
            put(&mut self.value, rows.list, Value::Array(list));
        }
    }

    fn row<C>(&mut self, rows: &FieldRows<C>, row: usize) -> Value {
        let given = rows.given(row, self.form);
        let value = Value::Object(Map::new());
        let mut reading = FormReading { form: &mut *self.form, unit: self.unit, given, value };
        for input in &rows.row {
            reading.input(input, &cell(rows.list, row, input.name));
        }
        for input in &rows.row {
            reading.beside(input, &cell(rows.list, row, input.name));
        }
        reading.value
    }
}
