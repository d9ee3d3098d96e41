//! What keeps a job from fitting together, with where and why.

use std::fmt;

use serde::Serialize;

/// A value that does not go with the rest of the job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlanFault {
    /// Where it stands, as in the job file: `circuits[3].from`.
    pub path: String,
    /// The value and what was expected, for people.
    pub text: String,
}

impl PlanFault {
    /// A fault in words.
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Self {
        Self { path: path.into(), text: text.into() }
    }

    /// A value where something else was expected.
    pub fn expected(path: impl Into<String>, got: impl fmt::Display, expected: impl fmt::Display) -> Self {
        Self::new(path, format!("'{got}' is not valid here: expected {expected}"))
    }
}

impl fmt::Display for PlanFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.text)
    }
}

/// Faults one to a line.
pub(super) fn lines(faults: &[PlanFault]) -> String {
    faults.iter().map(PlanFault::to_string).collect::<Vec<_>>().join("\n")
}
