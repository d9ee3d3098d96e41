//! Findings about the items of a job.

use serde::Serialize;

use super::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::say::{Named, Part, Statement, say};
use crate::trade::source::Source;
use crate::trade::working::Working;

/// One result of a check about one item of the job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// What is wrong.
    pub code: Code,
    /// How serious it is.
    pub level: Level,
    /// What it is about.
    #[serde(flatten)]
    pub subject: Subject,
    /// Its name, where it has one. See [`Names::give`](super::names::Names::give).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What is wrong, the value, the limit, and what to do. JSON has this text in metric units.
    pub text: Statement,
    /// The value that was compared with a limit.
    pub value: Option<f64>,
    /// The limit.
    pub limit: Option<f64>,
    /// The unit of both.
    pub unit: Option<&'static str>,
    /// The calculation of the figure that failed.
    pub working: Option<Working>,
    /// Where the rule is written.
    pub source: Option<&'static Source>,
    /// The input that is missing, in the fixed English of the check, where one is.
    #[serde(skip)]
    pub lacks: Option<&'static str>,
}

impl Finding {
    /// A trade finding about an item of the job.
    pub fn about(subject: Subject, said: RuleFinding) -> Self {
        Self {
            code: said.code,
            level: said.level,
            subject,
            name: None,
            text: said.text,
            value: said.against.map(|against| against.value),
            limit: said.against.map(|against| against.limit),
            unit: said.against.map(|against| against.unit),
            source: said.working.as_ref().map(|working| working.source),
            working: said.working,
            lacks: said.lacks,
        }
    }

    /// The subject for a sentence: its name before its id.
    pub fn thing(&self) -> Part {
        match self.subject.kind {
            SubjectKind::Job => Part::from("the job"),
            kind => {
                Part::Named(Named { kind: kind.word(), id: self.subject.id.clone(), name: self.name.clone() })
            }
        }
    }

    /// The subject and the text of the finding; for the job as a whole, only the text.
    pub fn line(&self) -> Statement {
        match self.subject.kind {
            SubjectKind::Job => self.text.clone(),
            _ => say!("{}: {}", self.thing(), self.text.clone()),
        }
    }

    /// The key for releasing it at a hold point: `finding/drop-over-limit/circuit/C01`.
    pub fn key(&self) -> String {
        format!("finding/{}/{}", self.code.phrase(), self.subject)
    }
}
