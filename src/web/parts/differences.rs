//! The fields that a line of a log changed.

use serde_json::Value;

use crate::store::log::LogLine;
use crate::trade::say::capital;

/// A field that changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Its name.
    pub field: String,
    /// The value before.
    pub before: String,
    /// The value after.
    pub after: String,
}

/// The fields that differ before and after a line of a log.
pub fn of(line: &LogLine) -> Vec<Difference> {
    match (&line.before, &line.after) {
        (Some(before), Some(after)) => between(before, after),
        _ => Vec::new(),
    }
}

/// The fields that differ between two versions of a thing, by their names in the job file.
fn between(before: &Value, after: &Value) -> Vec<Difference> {
    let (Value::Object(old), Value::Object(new)) = (before, after) else { return Vec::new() };
    let mut fields: Vec<&String> =
        old.keys().chain(new.keys().filter(|key| !old.contains_key(*key))).collect();
    fields.sort();
    let differs = fields.into_iter().filter(|field| old.get(*field) != new.get(*field));
    differs
        .map(|field| Difference {
            field: capital(&field.replace('_', " ")),
            before: said(old.get(field)),
            after: said(new.get(field)),
        })
        .collect()
}

fn said(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => "empty".to_owned(),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Object(fields)) => fields
            .iter()
            .map(|(field, value)| format!("{field} {}", said(Some(value))))
            .collect::<Vec<_>>()
            .join(", "),
        Some(Value::Array(values)) => {
            values.iter().map(|value| said(Some(value))).collect::<Vec<_>>().join("; ")
        }
        Some(other) => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn what_changed_is_said_field_by_field() {
        let before =
            json!({"id": "C01", "size": "16 AWG", "protection": {"kind": "blade-fuse", "rating_a": 5}});
        let after = json!({"id": "C01", "size": "14 AWG", "length_m": 4.2, "protection": {"kind": "blade-fuse", "rating_a": 5}});
        let said: Vec<String> = between(&before, &after)
            .into_iter()
            .map(|change| format!("{}: {} > {}", change.field, change.before, change.after))
            .collect();
        assert_eq!(said, ["Length m: empty > 4.2", "Size: 16 AWG > 14 AWG"]);
    }
}
