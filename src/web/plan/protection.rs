//! The fuse or breaker of a circuit or a feeder, as fields of its form.

use crate::job::plan::{CurvePoint, ManufacturerCurve, Protection};
use crate::trade::protection::Family;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;

/// What is said of it beside its kind.
const FIGURES: [&str; 8] = [
    "rating_a",
    "from_source_m",
    "interrupt_a",
    "resistance_mohm",
    "carries.a",
    "carries.s",
    "opens.a",
    "opens.s",
];

/// Fills the fields with what is fitted.
pub fn fill(protection: Option<&Protection>, form: &mut Form, unit: LengthUnit) {
    let Some(fitted) = protection else { return };
    form.put("protection.kind", word(fitted.kind));
    form.put("protection.rating_a", fitted.rating_a);
    form.put("protection.from_source_m", fitted.from_source_m.map(|along| unit.text(along.number())));
    form.put("protection.interrupt_a", fitted.interrupt_a);
    form.put("protection.resistance_mohm", fitted.resistance_mohm);
    for (field, point) in [("carries", fitted.curve.carries), ("opens", fitted.curve.opens)] {
        form.put(&format!("protection.{field}.a"), point.map(|point| point.a));
        form.put(&format!("protection.{field}.s"), point.map(|point| point.s));
    }
}

/// Reads the fields; figures without a kind are refused, because they would be lost.
pub fn read(form: &mut Form, unit: LengthUnit) -> Option<Protection> {
    let kind: Option<Family> = form.choice("protection.kind");
    let rating_a = form.optional("protection.rating_a");
    let from_source_m = form.length("protection.from_source_m", unit);
    let interrupt_a = form.optional("protection.interrupt_a");
    let resistance_mohm = form.optional("protection.resistance_mohm");
    let curve = ManufacturerCurve { carries: point(form, "carries"), opens: point(form, "opens") };
    let given = FIGURES.iter().any(|field| !form.typed(&format!("protection.{field}")).trim().is_empty());
    if given && form.typed("protection.kind").is_empty() {
        form.refuse("protection.kind", "Choose what it is: the figures below need it.");
    }
    Some(Protection { kind: kind?, rating_a, from_source_m, interrupt_a, resistance_mohm, curve })
}

/// A point of the manufacturer's curve; half of one is refused.
fn point(form: &mut Form, field: &str) -> Option<CurvePoint> {
    let [a, s] = ["a", "s"].map(|part| format!("protection.{field}.{part}"));
    let (current, time) = (form.optional(&a), form.optional(&s));
    for (given, missing) in [(&a, &s), (&s, &a)] {
        if !form.typed(given).trim().is_empty() && form.typed(missing).trim().is_empty() {
            form.refuse(missing, "Give the current and the time, or neither.");
        }
    }
    current.zip(time).map(|(a, s)| CurvePoint { a, s })
}
