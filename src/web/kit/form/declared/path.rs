//! Paths of the job file: `protection.rating_a`, `between[1]`.

use serde_json::{Map, Value};

/// The value at a path; `None` where there is none.
pub(super) fn get<'v>(root: &'v Value, path: &str) -> Option<&'v Value> {
    steps(path).try_fold(root, |value, step| match step {
        Step::Key(key) => value.get(key),
        Step::Index(index) => value.get(index),
    })
}

/// Puts a value at a path and creates the objects and lists around it. If the index is beyond the end of a list,
/// the value goes at the end, so that an empty row leaves no gap.
pub(super) fn put(root: &mut Value, path: &str, value: Value) {
    let mut at = root;
    for step in steps(path) {
        at = match step {
            Step::Key(key) => {
                if !at.is_object() {
                    *at = Value::Object(Map::new());
                }
                &mut at[key]
            }
            Step::Index(index) => {
                if !at.is_array() {
                    *at = Value::Array(Vec::new());
                }
                let Value::Array(list) = at else { return };
                let index = index.min(list.len());
                if index == list.len() {
                    list.push(Value::Null);
                }
                &mut list[index]
            }
        };
    }
    *at = value;
}

/// The parent of a path: `protection` for `protection.rating_a`; `None` at the top.
pub(super) fn outer(path: &str) -> Option<&str> {
    path.rsplit_once('.').map(|(outer, _)| outer)
}

enum Step<'a> {
    Key(&'a str),
    Index(usize),
}

fn steps(path: &str) -> impl Iterator<Item = Step<'_>> {
    path.split(['.', '[']).filter(|step| !step.is_empty()).map(|step| {
        let index = step.strip_suffix(']').and_then(|index| index.parse().ok());
        index.map_or(Step::Key(step), Step::Index)
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn values_go_where_their_path_leads_and_come_back() {
        let mut root = json!({});
        put(&mut root, "protection.curve.carries.a", json!(12));
        put(&mut root, "between[0]", json!("bow"));
        put(&mut root, "between[1]", json!("helm"));
        put(&mut root, "throws[1]", json!("RUN"));
        assert_eq!(
            root,
            json!({"protection": {"curve": {"carries": {"a": 12}}}, "between": ["bow", "helm"], "throws": ["RUN"]})
        );
        assert_eq!(get(&root, "between[1]"), Some(&json!("helm")));
        assert_eq!((get(&root, "between[2]"), get(&root, "protection.kind")), (None, None));
        put(&mut root, "", json!("whole"));
        assert_eq!(get(&root, ""), Some(&json!("whole")));
    }
}
