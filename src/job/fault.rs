//! Values of a job that contradict each other, with their location and the reason.

use std::fmt;

use serde::Serialize;

/// A value that does not fit the rest of the job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlanFault {
    /// The path of the value in the job file: `circuits[3].from`.
    pub path: String,
    /// The value and what was expected, as a sentence.
    pub text: String,
}

impl PlanFault {
    /// A fault from its path and text.
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Self {
        Self { path: path.into(), text: text.into() }
    }

    /// A value that differs from what was expected.
    pub fn expected(path: impl Into<String>, got: impl fmt::Display, expected: impl fmt::Display) -> Self {
        Self::new(path, format!("'{got}' is not valid here: expected {expected}"))
    }
}

impl fmt::Display for PlanFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.text)
    }
}

/// The faults as text, one per line.
pub(super) fn lines(faults: &[PlanFault]) -> String {
    faults.iter().map(PlanFault::to_string).collect::<Vec<_>>().join("\n")
}
