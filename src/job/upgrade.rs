//! From older formats to the one that this version writes: one chain of steps for job files, and for the documents
//! of the database.
//!
//! A document is an item of a plan or a record; both are named by their list in the job file, the head and the boat
//! by their field. A step changes documents one by one, wherever they are, and the job file around them.

use serde_json::{Map, Value};

/// The format that this version writes.
pub const FORMAT: u32 = 1;

/// The step from one format to the next.
struct Step {
    /// Changes what a job file has around its documents.
    file: fn(&mut Map<String, Value>),
    /// Changes one document of a list of the job file.
    document: fn(&str, &mut Value),
}

/// The steps in order: the first leads from format 0 to format 1.
const STEPS: [Step; FORMAT as usize] = [
    // Format 0 is what was written before the first release. It says the same in the same fields.
    Step { file: |_| {}, document: |_, _| {} },
];

/// Brings one document of a list of the job file to the present format. One of the present format, or of a newer
/// one, is left as it is.
pub fn document(format: u32, list: &str, mut value: Value) -> Value {
    for step in steps(format) {
        (step.document)(list, &mut value);
    }
    value
}

/// Brings a job file to the present format. Anything that is not a job file is left as it is: reading it says what
/// is wrong.
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

/// Changes every document among some fields: the items of lists, and what is an object by itself.
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
