//! Fills the form with stored values.

use serde_json::Value;

use super::group::GroupPart;
use super::input::{Control, Input};
use super::path::get;
use super::rows::FieldRows;
use super::whole::Declared;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::{MOST_ROWS, cell};
use crate::web::kit::length::LengthUnit;

impl<C> Declared<C> {
    /// Fills a form with a thing from the job file.
    pub fn fill(&self, stored: &Value, form: &mut Form, unit: LengthUnit) {
        for part in self.parts() {
            match part {
                GroupPart::Input(input) => put(input, input.name, stored, form, unit),
                GroupPart::Rows(rows) => rows.fill(stored, form, unit),
            }
        }
    }
}

impl<C> FieldRows<C> {
    fn fill(&self, stored: &Value, form: &mut Form, unit: LengthUnit) {
        let Some(Value::Array(list)) = get(stored, self.list) else { return };
        if list.len() > MOST_ROWS {
            return form.leave_stored(self.list, list.len());
        }
        for (row, value) in list.iter().enumerate() {
            for input in &self.row {
                put(input, &cell(self.list, row, input.name), value, form, unit);
            }
        }
    }
}

fn put<C>(input: &Input<C>, name: &str, within: &Value, form: &mut Form, unit: LengthUnit) {
    let stored = get(within, input.path);
    form.put(name, input.written(stored, unit));
    if let (Control::Length, Some(meters)) = (&input.control, stored.and_then(Value::as_f64)) {
        // The side of a distance from the centerline is an input of its own.
        form.stored_length(name, if input.name == input.path { meters } else { meters.abs() });
    }
}
