//! Upgrades older formats to the one that this version writes. One chain of steps serves job files and the
//! documents of the database.
//!
//! A document is an item of a plan or a record. Both are identified by their list in the job file, the head and
//! the boat by their field. A step changes single documents, wherever they are stored, and the job file around
//! them.

use serde_json::{Map, Value};

/// The format that this version writes.
pub const FORMAT: u32 = 1;

/// The step from one format to the next.
struct Step {
    /// Changes the parts of a job file outside its documents.
    file: fn(&mut Map<String, Value>),
    /// Changes one document of a list of the job file.
    document: fn(&str, &mut Value),
}

/// The steps in order: the first leads from format 0 to format 1.
const STEPS: [Step; FORMAT as usize] = [
    // Format 0 was written before the first release. It has the same content in the same fields.
    Step { file: |_| {}, document: |_, _| {} },
];

/// Upgrades one document of a list of the job file to the present format. A document of the present or a newer
/// format does not change.
pub fn document(format: u32, list: &str, mut value: Value) -> Value {
    for step in steps(format) {
        (step.document)(list, &mut value);
    }
    value
}

/// Upgrades a job file to the present format. Anything that is not a job file does not change; reading it reports
/// what is wrong.
pub fn file(format: u32, mut value: Value) -> Value {
    let Some(fields) = value.as_object_mut() else { return value };
    for step in steps(format) {
        (step.file)(fields);
        each_document(fields, step.document);
        if let Some(Value::Object(history)) = fields.get_mut("history") {
            each_document(history, step.document);
        }
    }
    if format < FORMAT {
        fields.insert("format".to_owned(), FORMAT.into());
    }
    value
}

fn steps(format: u32) -> impl Iterator<Item = &'static Step> {
    STEPS.iter().skip(usize::try_from(format).unwrap_or(usize::MAX))
}

/// Changes every document in some fields: the items of lists, and single objects.
fn each_document(fields: &mut Map<String, Value>, step: fn(&str, &mut Value)) {
    for (list, value) in fields.iter_mut().filter(|(name, _)| *name != "history") {
        match value {
            Value::Array(documents) => documents.iter_mut().for_each(|document| step(list, document)),
            document @ Value::Object(_) => step(list, document),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn every_document_is_reached_once_by_the_name_of_its_list() {
        let seen = |list: &str, document: &mut Value| document["seen"] = json!(list);
        let mut file = json!({"format": 0, "job": {}, "circuits": [{}, {}]});
        each_document(file.as_object_mut().unwrap(), seen);
        let expected = json!({"format": 0, "job": {"seen": "job"}, "circuits": [{"seen": "circuits"}, {"seen": "circuits"}]});
        assert_eq!(file, expected);
    }

    #[test]
    fn there_is_a_step_from_every_format_and_none_from_the_present_one() {
        assert_eq!(steps(0).count(), usize::try_from(FORMAT).unwrap());
        assert_eq!(steps(FORMAT).count(), 0);
    }
}
