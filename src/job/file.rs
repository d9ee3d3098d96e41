//! The job file: one job as one JSON document, format 1.
//!
//! Reading turns bytes into a job in which every reference resolves. Otherwise it returns a [`FileError`]
//! that names the position in the document, the value, and what was expected.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;
use thiserror::Error;

use super::board::Board;
use super::event::History;
use super::fault::{self, PlanFault};
use super::plan::{
    Boat, Circuit, Customer, Device, Feeder, Head, Location, Mode, Plan, Proposed, Raceway, RemovedEquipment,
};
use super::point::Point;
use super::upgrade;
use super::value::BadValue;

/// The name of the document itself in error messages.
const TOP: &str = "the job file";
/// Maximum size of a job file in bytes. A boat with three thousand circuits needs a fifth of it.
pub const LIMIT: usize = 8 * 1024 * 1024;

/// One job: its plan and its history.
#[derive(Debug, Clone, PartialEq)]
pub struct JobFile {
    /// The plan.
    pub plan: Plan,
    /// The records of the work.
    pub history: History,
}

/// A job file that cannot be read.
#[derive(Debug, Error)]
pub enum FileError {
    /// A file that is larger than any job needs.
    #[error("the file is larger than a job file can be: expected at most {} MiB", LIMIT / (1024 * 1024))]
    TooLarge,
    /// Bytes that are not text.
    #[error("the file is not UTF-8 text: line {line} has a byte that belongs to no character")]
    NotText {
        /// The line, from 1.
        line: usize,
    },
    /// Text that is not JSON.
    #[error("{place}not JSON: {text}, found {found} at line {line}, column {column}")]
    NotJson {
        /// What is wrong.
        text: String,
        /// The text that was found there.
        found: String,
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
        /// The field that was being read, with a colon; empty at the top of the document.
        place: String,
    },
    /// JSON that is not a job: an unknown field, a wrong type, a value outside its bounds.
    #[error("{} (line {line}, column {column})", fault)]
    NotAJob {
        /// The position in the document, and what is wrong there.
        fault: PlanFault,
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
    },
    /// A job whose parts contradict each other: all faults.
    #[error("{}", fault::lines(.0))]
    Faults(Vec<PlanFault>),
}

impl JobFile {
    /// Reads a job file.
    ///
    /// # Errors
    ///
    /// [`FileError`]: the first error that prevents reading the document as a job, or every reference that
    /// does not resolve.
    pub fn read(bytes: &[u8]) -> Result<Self, FileError> {
        if bytes.len() > LIMIT {
            return Err(FileError::TooLarge);
        }
        let text = std::str::from_utf8(bytes)
            .map_err(|error| FileError::NotText { line: line_at(bytes, error.valid_up_to()) })?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let file = Self::from(match upgraded(text) {
            Some(text) => document(&text)?,
            None => document(text)?,
        });
        let faults = file.faults();
        if faults.is_empty() { Ok(file) } else { Err(FileError::Faults(faults)) }
    }

    /// Writes the job as indented JSON with fields and lists in a fixed order.
    pub fn write(&self) -> String {
        // The document contains only plain structs, lists and text, which JSON can always hold.
        let mut text = serde_json::to_string_pretty(&Document::from(self.clone())).unwrap_or_default();
        text.push('\n');
        text
    }

    /// The JSON Schema of a job file.
    pub fn schema() -> Value {
        schemars::schema_for!(Document).to_value()
    }

    /// Everything in the job that contradicts the rest: the plan's faults, then the history's.
    pub fn faults(&self) -> Vec<PlanFault> {
        let mut faults = self.plan.faults();
        faults.extend(self.history.faults());
        faults
    }
}

/// The document in the file: the plan's fields at the top level, in the order of the work.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(
    title = "Driploop job file",
    description = "One boat's rewire: what was planned and what happened"
)]
struct Document {
    /// Version of the format: 1.
    format: Format,
    /// The data of the job as a whole.
    job: Head,
    /// The boat.
    boat: Boat,
    /// The customer whose boat it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    customer: Option<Customer>,
    /// Named locations where things are mounted or wires end.
    #[serde(default)]
    locations: Vec<Location>,
    /// Paths for wire between two locations.
    #[serde(default)]
    raceways: Vec<Raceway>,
    /// Flat areas on which devices and distribution points are mounted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    boards: Vec<Board>,
    /// Distribution points: batteries, switches, bus bars, blocks, panels, junction bars.
    #[serde(default)]
    points: Vec<Point>,
    /// Conductors between distribution points.
    #[serde(default)]
    feeders: Vec<Feeder>,
    /// What uses, makes or switches current or signal.
    #[serde(default)]
    devices: Vec<Device>,
    /// Protected feeds to devices, and their returns.
    #[serde(default)]
    circuits: Vec<Circuit>,
    /// The states the boat is used in, with what is on in each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    modes: Vec<Mode>,
    /// Equipment removed at strip-out, and what happens to it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    removed: Vec<RemovedEquipment>,
    /// What a proposal gave, with the values that are still to be measured.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    proposed: Vec<Proposed>,
    /// All events: ticks, readings, releases and the others.
    #[serde(default, skip_serializing_if = "is_empty")]
    history: History,
}

/// The version of the format, which can only be 1.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "u64", into = "u64")]
struct Format;

impl TryFrom<u64> for Format {
    type Error = BadValue;

    fn try_from(version: u64) -> Result<Self, BadValue> {
        if version == u64::from(upgrade::FORMAT) {
            Ok(Self)
        } else {
            Err(BadValue { got: version.to_string(), expected: "1, the only format this version reads" })
        }
    }
}

impl From<Format> for u64 {
    fn from(_: Format) -> u64 {
        upgrade::FORMAT.into()
    }
}

impl JsonSchema for Format {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Format".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"const": upgrade::FORMAT})
    }
}

fn is_empty(history: &History) -> bool {
    *history == History::default()
}

impl From<Document> for JobFile {
    fn from(document: Document) -> Self {
        let Document {
            format: Format,
            job,
            boat,
            customer,
            locations,
            raceways,
            boards,
            points,
            feeders,
            devices,
            circuits,
            modes,
            removed,
            proposed,
            history,
        } = document;
        let plan = Plan {
            job,
            boat,
            customer,
            locations: locations.into(),
            raceways: raceways.into(),
            boards: boards.into(),
            points: points.into(),
            feeders: feeders.into(),
            devices: devices.into(),
            circuits: circuits.into(),
            modes: modes.into(),
            removed: removed.into(),
            proposed: proposed.into(),
        };
        Self { plan, history }
    }
}

impl From<JobFile> for Document {
    fn from(JobFile { plan, history }: JobFile) -> Self {
        let Plan {
            job,
            boat,
            customer,
            locations,
            raceways,
            boards,
            points,
            feeders,
            devices,
            circuits,
            modes,
            removed,
            proposed,
        } = plan;
        Self {
            format: Format,
            job,
            boat,
            customer,
            locations: locations.into(),
            raceways: raceways.into(),
            boards: boards.into(),
            points: points.into(),
            feeders: feeders.into(),
            devices: devices.into(),
            circuits: circuits.into(),
            modes: modes.into(),
            removed: removed.into(),
            proposed: proposed.into(),
            history,
        }
    }
}

/// Converts a job file of an older format to the present one; `None` if its format is not older.
fn upgraded(text: &str) -> Option<String> {
    #[derive(Deserialize)]
    struct Peek {
        format: u32,
    }

    let Peek { format } =
        serde_json::from_str(text).ok().filter(|peek: &Peek| peek.format < upgrade::FORMAT)?;
    let value = serde_json::from_str(text).ok()?;
    Some(upgrade::file(format, value).to_string())
}

/// Reads the document from a text, before its references are checked.
fn document(text: &str) -> Result<Document, FileError> {
    let mut json = serde_json::Deserializer::from_str(text);
    let mut track = serde_path_to_error::Track::new();
    let result = Document::deserialize(serde_path_to_error::Deserializer::new(&mut json, &mut track));
    let document = result.map_err(|error| refused(text, &track.path().to_string(), &error))?;
    json.end().map_err(|error| refused(text, ".", &error))?;
    let lists = lists_for_objects(text, &document).map_err(|error| refused(text, ".", &error))?;
    if lists.is_empty() { Ok(document) } else { Err(FileError::Faults(lists)) }
}

/// Faults where the text has a list but the format requires an object. A derived deserializer also accepts
/// the fields of an object as a list, in an order that is not part of the format.
fn lists_for_objects(text: &str, document: &Document) -> Result<Vec<PlanFault>, serde_json::Error> {
    let given: Given = serde_json::from_str(text)?;
    let mut faults = Vec::new();
    let mut compare = |path: String, given: &Given, written: Result<Value, serde_json::Error>| {
        written.map(|written| compare_shapes(&path, given, &written, &mut faults))
    };
    let Given::Object(fields) = &given else {
        compare(String::new(), &given, serde_json::to_value(Document::from(bare(document))))?;
        return Ok(faults);
    };
    // Item by item, because the whole of a large job would take a hundred times the room of its text.
    for (field, given) in fields {
        macro_rules! items {
            ($($list:ident)+) => {
                match (field.as_str(), given) {
                    $((stringify!($list), Given::List(given)) => {
                        for (index, (given, item)) in given.iter().zip(&document.$list).enumerate() {
                            compare(format!("{field}[{index}]"), given, serde_json::to_value(item))?;
                        }
                    })+
                    ("history", _) => compare(field.clone(), given, serde_json::to_value(&document.history))?,
                    _ => {
                        let rest = serde_json::to_value(Document::from(bare(document)))?;
                        let written = rest.get(field).cloned().unwrap_or(Value::Null);
                        compare(field.clone(), given, Ok(written))?;
                    }
                }
            };
        }
        items!(locations raceways boards points feeders devices circuits modes removed proposed);
    }
    Ok(faults)
}

/// The job without its lists and its history.
fn bare(document: &Document) -> JobFile {
    let plan = Plan {
        customer: document.customer.clone(),
        ..Plan::new(document.job.clone(), document.boat.clone())
    };
    JobFile { plan, history: History::default() }
}

/// The shape of a document: its lists and objects without the values in them.
enum Given {
    Value,
    List(Vec<Given>),
    Object(Vec<(String, Given)>),
}

impl<'de> Deserialize<'de> for Given {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ReadShape)
    }
}

/// Reads the shape of any document.
struct ReadShape;

impl<'de> Visitor<'de> for ReadShape {
    type Value = Given;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_str<E>(self, _: &str) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_unit<E>(self) -> Result<Given, E> {
        Ok(Given::Value)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Given, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Given::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<Given, A::Error> {
        let mut object = Vec::new();
        while let Some(field) = fields.next_entry()? {
            object.push(field);
        }
        Ok(Given::Object(object))
    }
}

/// Compares a document with what is written for it. The depth is that of the types of a job.
fn compare_shapes(path: &str, given: &Given, written: &Value, faults: &mut Vec<PlanFault>) {
    match (given, written) {
        (Given::List(_), Value::Object(_)) => {
            let path = if path.is_empty() { TOP } else { path };
            faults.push(PlanFault::new(path, "invalid type: sequence, expected an object in braces"));
        }
        (Given::List(given), Value::Array(written)) => {
            for (index, (given, written)) in given.iter().zip(written).enumerate() {
                compare_shapes(&format!("{path}[{index}]"), given, written, faults);
            }
        }
        (Given::Object(given), Value::Object(written)) => {
            let dot = if path.is_empty() { "" } else { "." };
            for (field, given) in given {
                let written = written.get(field).unwrap_or(&Value::Null);
                compare_shapes(&format!("{path}{dot}{field}"), given, written, faults);
            }
        }
        _ => {}
    }
}

fn refused(text: &str, path: &str, error: &serde_json::Error) -> FileError {
    let (line, column) = (error.line(), error.column());
    let whole = error.to_string();
    let said = whole.strip_suffix(&format!(" at line {line} column {column}")).unwrap_or(&whole);
    // The path of an error at the top of the document is a single dot.
    let path = if path == "." { "" } else { path };
    match error.classify() {
        serde_json::error::Category::Data => FileError::NotAJob {
            fault: PlanFault::new(if path.is_empty() { TOP } else { path }, in_plain_words(said)),
            line,
            column,
        },
        _ => FileError::NotJson {
            text: said.to_owned(),
            found: found_at(text, line, column),
            line,
            column,
            place: if path.is_empty() { String::new() } else { format!("{path}: ") },
        },
    }
}

/// The type name from a deserializer error, in plain language.
fn in_plain_words(said: &str) -> String {
    let Some((before, expected)) = said.rsplit_once(", expected ") else { return said.to_owned() };
    let words = match expected {
        "u16" => "a whole number from 0 to 65535",
        "u64" => "a whole number",
        "a sequence" => "a list",
        "a string" => "text",
        "a boolean" => "true or false",
        structure if structure.starts_with("struct ") => "an object in braces",
        named => named,
    };
    format!("{before}, expected {words}")
}

/// The token at a line and column, for an error message.
fn found_at(text: &str, line: usize, column: usize) -> String {
    let rest = text.lines().nth(line.saturating_sub(1)).and_then(|line| line.get(column.saturating_sub(1)..));
    let word: String = rest
        .unwrap_or_default()
        .chars()
        .take_while(|c| !c.is_whitespace() && !",]}".contains(*c))
        .take(24)
        .collect();
    match (word.is_empty(), rest.and_then(|rest| rest.chars().next())) {
        (false, _) => format!("'{word}'"),
        (true, Some(character)) => format!("'{character}'"),
        (true, None) => "the end of the line".to_owned(),
    }
}

fn line_at(bytes: &[u8], offset: usize) -> usize {
    1 + bytes.iter().take(offset).filter(|byte| **byte == b'\n').count()
}
