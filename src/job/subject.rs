//! The subject of a finding, a step or a log line.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr};

use super::value::BadValue;

/// The kind of a [`Subject`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, EnumString, IntoStaticStr)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum SubjectKind {
    /// The job itself.
    Job,
    /// A location.
    Location,
    /// A raceway.
    Raceway,
    /// A distribution point.
    Point,
    /// A position of a switch panel: `panel-3`.
    Position,
    /// A feeder.
    Feeder,
    /// A device.
    Device,
    /// A setting of a device, by its number: `plotter-2`.
    Setting,
    /// A circuit.
    Circuit,
    /// A conductor: `C01-3`.
    Conductor,
    /// An end of a conductor or cable: `C01-3a`, `radar-a`.
    End,
    /// A cable of a device.
    Cable,
    /// A mode.
    Mode,
    /// An item of removed equipment.
    Removed,
    /// A board.
    Board,
    /// What a proposal gave of one thing.
    Proposed,
    /// An open item, by the id of its record.
    OpenItem,
}

impl SubjectKind {
    /// The name of the kind in files and addresses.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// One item of a job, by kind and id; written `circuit/C01`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Subject {
    /// Its kind.
    #[serde(rename = "subject_kind")]
    pub kind: SubjectKind,
    /// Its id within the job.
    #[serde(rename = "subject")]
    pub id: String,
}

impl Subject {
    /// A subject from its kind and id.
    pub fn new(kind: SubjectKind, id: impl fmt::Display) -> Self {
        Self { kind, id: id.to_string() }
    }

    /// Its kind and id as words: `circuit C01`. Steps of the job itself are about the boat.
    pub fn words(&self) -> String {
        match (self.kind, self.id.as_str()) {
            (SubjectKind::Job, "job") => "the boat".to_owned(),
            (SubjectKind::OpenItem, _) => "an open item".to_owned(),
            (kind, id) => format!("{} {id}", kind.word()),
        }
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.kind.word(), self.id)
    }
}

impl FromStr for Subject {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        let bad = || BadValue { got: text.to_owned(), expected: "a kind and an id such as circuit/C01" };
        let (word, id) = text.split_once('/').ok_or_else(bad)?;
        let kind = word.parse().map_err(|_| bad())?;
        if id.is_empty() || id.contains('/') { Err(bad()) } else { Ok(Self::new(kind, id)) }
    }
}

/// The thing that a record is about, written `circuit/C01`; the boat as a whole is `job/job`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Thing(Subject);

impl Thing {
    /// It as a subject.
    pub fn subject(&self) -> &Subject {
        &self.0
    }
}

impl From<Subject> for Thing {
    fn from(subject: Subject) -> Self {
        Self(subject)
    }
}

impl TryFrom<String> for Thing {
    type Error = BadValue;

    fn try_from(text: String) -> Result<Self, BadValue> {
        text.parse().map(Self)
    }
}

impl From<Thing> for String {
    fn from(thing: Thing) -> Self {
        thing.0.to_string()
    }
}

impl JsonSchema for Thing {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Thing".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string", "pattern": "^[a-z-]+/[^/]+$",
            "description": "a thing as kind and id, such as circuit/C01; the boat as a whole is job/job"
        })
    }
}
