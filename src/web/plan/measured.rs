//! A value of the measuring list as a row of a form, and what is saved for it.

use serde_json::{Number, Value};

use crate::job::plan::item::{Item, ItemVisitor, visit};
use crate::job::plan::{Plan, Proposed};
use crate::job::subject::Subject;
use crate::job::supposed::{Measure, ToMeasure};
use crate::job::value::LengthM;
use crate::store::{self, ChangeSet};
use crate::web::kit::field::Field;
use crate::web::kit::form::Form;
use crate::web::kit::length::LengthUnit;

/// The key of a row: the id of what was proposed, and the field.
pub(super) fn key(row: &ToMeasure<'_>) -> String {
    format!("{}~{}", row.proposed.id, row.supposed.field)
}

/// The name of the field of a row.
pub(super) fn field(key: &str) -> String {
    format!("value[{key}]")
}

/// What is entered in a row.
pub(super) fn asks(row: &ToMeasure<'_>) -> &'static str {
    match (row.measure, row.supposed.field.as_str()) {
        (Measure::Length, _) => "Length",
        (Measure::Bore, _) => "Bore",
        (Measure::Load, "load/w") => "Power, nameplate",
        (Measure::Load, "load/ohm") => "Resistance",
        (Measure::Load, _) => "Current, nameplate",
        (Measure::LargestFuse, _) => "Largest fuse, manual",
        (Measure::Battery, "capacity_ah") => "Capacity",
        (Measure::Battery, "cranking_a") => "Cold-cranking current",
        (Measure::Battery, _) => "Internal resistance",
        (Measure::Charging, "starter_a") => "Starter current",
        (Measure::Charging, _) => "Rated current",
        (Measure::Carries, "protection/curve/opens/a") => "Current it opens at within 5 s",
        (Measure::Carries, _) => "Current it carries while a motor starts",
    }
}

/// The unit of a row, if it is not a length.
fn unit(field: &str) -> &'static str {
    match field {
        "bore_mm" => "mm",
        "load/w" => "W",
        "load/ohm" => "\u{2126}",
        "capacity_ah" => "Ah",
        "internal_mohm" => "m\u{2126}",
        _ => "A",
    }
}

/// The supposed value as people read it.
pub(super) fn supposed(row: &ToMeasure<'_>, lengths: LengthUnit) -> String {
    match row.measure {
        Measure::Length => lengths.said(row.supposed.value),
        _ => format!("{} {}", row.supposed.value, unit(row.supposed.field.as_str())),
    }
}

/// The field of a row.
pub(super) fn shown(form: &Form, row: &ToMeasure<'_>, label: &str, lengths: LengthUnit) -> Field {
    let name = field(&key(row));
    match row.measure {
        Measure::Length => form.length_field(&name, label, lengths).unmarked(),
        _ => form.number(&name, label, unit(row.supposed.field.as_str())).unmarked(),
    }
}

/// The number that was typed in a row; `None` for an empty field and for one with an error.
pub(super) fn typed(form: &mut Form, row: &ToMeasure<'_>, lengths: LengthUnit) -> Option<f64> {
    let name = field(&key(row));
    if row.measure == Measure::Length {
        return form.length::<LengthM>(&name, lengths).map(LengthM::number);
    }
    let typed = form.typed(&name).trim().replace(',', ".");
    if typed.is_empty() {
        return None;
    }
    let number = typed.parse::<f64>().ok().filter(|number| number.is_finite());
    if number.is_none() {
        form.refuse(&name, "Expected a number.");
    }
    number
}

/// Puts a number into a field of things, and takes it from the list. `None` for the number: it is as supposed.
pub(super) fn put(
    change: &mut ChangeSet<'_>,
    plan: &Plan,
    row: &ToMeasure<'_>,
    number: Option<f64>,
) -> Result<(), Unfit> {
    for thing in &row.things {
        if let Some(number) = number {
            let mut put =
                Put { change, plan, thing, field: row.supposed.field.as_str(), number, result: Ok(()) };
            visit(&mut put);
            put.result?;
        }
        let Some(proposed) = plan.proposed.iter().find(|one| one.thing == **thing) else { continue };
        let without = |mut held: Proposed| {
            held.supposed.retain(|supposed| supposed.field != row.supposed.field);
            held
        };
        change.alter::<Proposed>(&proposed.id, without).map_err(Unfit::Store)?;
    }
    Ok(())
}

/// Why a number was not put.
pub(super) enum Unfit {
    /// The field does not accept it.
    Value(String),
    /// The store refused it.
    Store(store::Error),
}

/// Puts a number into a field of one thing.
struct Put<'c, 'w, 'p> {
    change: &'c mut ChangeSet<'w>,
    plan: &'p Plan,
    thing: &'p Subject,
    field: &'p str,
    number: f64,
    result: Result<(), Unfit>,
}

impl ItemVisitor for Put<'_, '_, '_> {
    fn visit<T: Item>(&mut self) {
        if T::KIND != self.thing.kind {
            return;
        }
        let Some(held) = T::list(self.plan).iter().find(|item| item.subject() == *self.thing) else { return };
        self.result = with::<T>(held, self.field, self.number)
            .map_err(Unfit::Value)
            .and_then(|item| self.change.alter::<T>(held.id(), |_| item).map_err(Unfit::Store));
    }
}

/// An item with a number in a field.
fn with<T: Item>(item: &T, field: &str, number: f64) -> Result<T, String> {
    let mut json = serde_json::to_value(item).map_err(|error| error.to_string())?;
    if let Some(slot) = json.pointer_mut(&format!("/{field}")) {
        *slot = Number::from_f64(number).map_or(Value::Null, Value::Number);
    }
    serde_json::from_value(json).map_err(|error| error.to_string())
}
