//! What a proposal gave: the rule of each thing, and the values that nobody has measured yet.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::rule::Rule;
use crate::job::subject::Subject;
use crate::job::value::{Name, ProposedId};

/// One thing of the plan that was proposed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Proposed {
    /// Its id: the kind and the id of the thing.
    pub id: ProposedId,
    /// The thing, written `circuit/C01`.
    #[serde(with = "as_text")]
    #[schemars(with = "String")]
    pub thing: Subject,
    /// The rules that proposed it.
    pub rules: Vec<Rule>,
    /// A mark of the thing as it was proposed. If the thing of the plan has another one, a person changed it.
    pub given: Name,
    /// The values that were supposed and are neither measured nor confirmed yet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supposed: Vec<Supposed>,
}

/// A value that a proposal supposed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Supposed {
    /// The field, by its names in the job file: `load/a`.
    pub field: Name,
    /// The value that was supposed. Once the field has another one, it counts as measured.
    pub value: f64,
    /// The rule that supposed it.
    pub rule: Rule,
    /// What it is measured once for, if several things have it in common: `Courtesy light`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_one: Option<Name>,
}

/// A subject as text.
mod as_text {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serializer};

    use crate::job::subject::Subject;

    pub(super) fn serialize<S: Serializer>(subject: &Subject, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(subject)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Subject, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}
