//! Every field of a thing of the plan is in its form, and every input leads to a field.

use std::collections::BTreeSet;

use schemars::{JsonSchema, schema_for};
use serde_json::Value;

use super::edit::Thing;
use crate::job::board::Board;
use crate::job::plan::{Circuit, Device, Feeder, Location, Mode, Raceway, RemovedEquipment};
use crate::job::point::Point;

/// Fields of old files, from before the curve and the speed existed, and fields that the program counts itself.
const ONLY_READ: [&str; 3] = ["idle_a", "idling", "legs_given"];

/// The paths of a schema that have a value, with each list as `[]`.
fn leaves(schema: &Value, whole: &Value, path: &str, found: &mut BTreeSet<String>) {
    if let Some(name) = schema["$ref"].as_str().and_then(|at| at.strip_prefix("#/$defs/")) {
        return leaves(&whole["$defs"][name], whole, path, found);
    }
    let alternatives = ["anyOf", "oneOf"].into_iter().filter_map(|key| schema[key].as_array()).flatten();
    let alternatives: Vec<&Value> = alternatives.filter(|one| one["type"] != "null").collect();
    if let Some(fields) = schema["properties"].as_object() {
        for (key, field) in fields {
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            leaves(field, whole, &path, found);
        }
    } else if schema["items"].is_object() {
        leaves(&schema["items"], whole, &format!("{path}[]"), found);
    } else if alternatives.iter().any(|one| one.get("const").is_none()) {
        alternatives.into_iter().for_each(|one| leaves(one, whole, path, found));
    } else {
        found.insert(path.to_owned());
    }
}

/// `between[0]` as `between[]`.
fn any_row(path: &str) -> String {
    path.replace(|digit: char| digit.is_ascii_digit(), "")
}

fn within(path: &str, outer: &str) -> bool {
    path.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

fn check<T: Thing + JsonSchema>() {
    let schema = serde_json::to_value(schema_for!(T)).unwrap();
    let mut fields = BTreeSet::new();
    leaves(&schema, &schema, "", &mut fields);
    fields.retain(|field| !ONLY_READ.contains(&field.as_str()));
    let inputs: BTreeSet<String> = T::declared().paths().iter().map(|path| any_row(path)).collect();
    for field in &fields {
        assert!(
            inputs.iter().any(|input| within(field, input)),
            "{} {field} is on no form: {inputs:?}",
            T::LIST
        );
    }
    for input in &inputs {
        assert!(
            fields.iter().any(|field| within(field, input)),
            "{} {input} is no field: {fields:?}",
            T::LIST
        );
    }
}

#[test]
fn every_field_of_a_thing_is_on_its_form() {
    check::<Location>();
    check::<Raceway>();
    check::<Board>();
    check::<Point>();
    check::<Device>();
    check::<Circuit>();
    check::<Feeder>();
    check::<Mode>();
    check::<RemovedEquipment>();
}
