//! Findings about the things of a job.

use serde::Serialize;

use super::subject::Subject;
use crate::trade::finding::{self, Code, Level};
use crate::trade::source::Source;
use crate::trade::working::Working;

/// One thing a check has to say about one thing of the job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// What is wrong.
    pub code: Code,
    /// How much it holds up.
    pub level: Level,
    /// What it is about.
    #[serde(flatten)]
    pub subject: Subject,
    /// A sentence for people: what is wrong and what would put it right.
    pub text: String,
    /// The value that was held against a limit.
    pub value: Option<f64>,
    /// The limit.
    pub limit: Option<f64>,
    /// The unit of both.
    pub unit: Option<&'static str>,
    /// The working of the figure that failed.
    pub working: Option<Working>,
    /// Where the rule is written.
    pub source: Option<&'static Source>,
}

impl Finding {
    /// A finding of the trade about a thing of the job.
    pub fn about(subject: Subject, said: finding::Finding) -> Self {
        Self {
            code: said.code,
            level: said.level,
            subject,
            text: said.text,
            value: said.against.map(|against| against.value),
            limit: said.against.map(|against| against.limit),
            unit: said.against.map(|against| against.unit),
            source: said.working.as_ref().map(|working| working.source),
            working: said.working,
        }
    }

    /// The name under which it can be released at a gate: `finding/drop-over-limit/circuit/C01`.
    pub fn key(&self) -> String {
        format!("finding/{}/{}", self.code.phrase(), self.subject)
    }
}
