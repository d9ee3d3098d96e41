//! Forms: typed text becomes typed values here, with each error beside its field.
//!
//! A handler first reads every field, then calls [`Form::sound`]. If any field has an error, the handler shows the
//! same page again with the same form, which still holds the typed text. A field has the name of its path in the
//! job file (`boat.length_m`). An error from the store therefore finds its field by the same name.
//!
//! ```
//! use driploop::job::value::{BeamM, Name};
//! use driploop::web::kit::form::Form;
//!
//! struct Hull { name: Name, beam: Option<BeamM> }
//!
//! fn read(form: &mut Form) -> Option<Hull> {
//!     let name = form.required("name");
//!     let beam = form.optional("beam_m");
//!     form.sound()?;
//!     Some(Hull { name: name?, beam })
//! }
//!
//! let mut form = Form::filled([("name", "Skua"), ("beam_m", "wide")]);
//! assert!(read(&mut form).is_none());
//! assert_eq!(form.errors()[0].text, "Expected a boat's beam in meters from 0.5 to 10, not \u{2018}wide\u{2019}.");
//! ```

pub mod declared;
mod kept;
pub mod rows;

use std::convert::Infallible;
use std::fmt::Display;
use std::str::FromStr;

use axum::extract::{FromRequest, Request};
use axum::response::{IntoResponse, Response};

use serde::Serialize;
use serde::de::value::Error as WordError;
use serde::de::{DeserializeOwned, IntoDeserializer};

use super::Error;
use super::length::{self, LengthUnit};
use crate::job::label::{BadRule, BadSheet};
use crate::job::value::{BadValue, PlanLength};
use crate::shop::secret::Unfit;
use crate::store::{self, Stale, Version, Versioned};
use crate::trade::say::capital;

/// The maximum size of a form in bytes. Routes that take files set their own limit.
pub const LIMIT: usize = 256 * 1024;

/// The typed text of a form, and its errors.
#[derive(Debug, Clone, Default)]
pub struct Form {
    pairs: Vec<(String, String)>,
    errors: Vec<FieldError>,
    differences: Vec<Difference>,
    refusal: Option<&'static str>,
    /// The stored lengths, in meters, by their fields.
    lengths: Vec<(String, f64)>,
}

/// One field that two people changed differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The field.
    pub field: String,
    /// The value in this form.
    pub yours: String,
    /// The value that the other person saved meanwhile.
    pub theirs: String,
}

/// The error of one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldError {
    /// The field.
    pub field: String,
    /// The label on the page. `None`: the summary uses the field's name instead.
    pub label: Option<String>,
    /// The error as a sentence.
    pub text: String,
}

/// Units at the end of field names, as in the job file.
const UNITS: [&str; 12] = ["m", "mm", "a", "v", "w", "s", "c", "ah", "ohm", "mohm", "pct", "kn"];

impl FieldError {
    /// The field in plain text for the summary: `boat.length_m` becomes the boat length. Empty for the whole form.
    pub fn about(&self) -> String {
        if let Some(label) = &self.label {
            return label.clone();
        }
        let words = self.field.replace(['.', '_'], " ");
        let plain = match words.rsplit_once(' ') {
            Some((words, unit)) if UNITS.contains(&unit) => words,
            _ => words.as_str(),
        };
        capital(plain)
    }
}

/// An error as a sentence beside its field.
pub trait Refusal {
    /// The sentence.
    fn sentence(&self) -> String;
}

impl Refusal for BadValue {
    fn sentence(&self) -> String {
        let got = self.got.trim();
        if got.is_empty() {
            format!("Expected {}.", self.expected)
        } else {
            format!("Expected {}, not \u{2018}{}\u{2019}.", self.expected, shortened(got))
        }
    }
}

impl Refusal for jiff::Error {
    fn sentence(&self) -> String {
        "Expected a day as year-month-day, such as 2026-05-31.".to_owned()
    }
}

impl Refusal for Unfit {
    fn sentence(&self) -> String {
        format!("{}.", capital(&self.to_string()))
    }
}

impl Refusal for BadRule {
    fn sentence(&self) -> String {
        format!("{}.", capital(&self.to_string()))
    }
}

impl Refusal for BadSheet {
    fn sentence(&self) -> String {
        format!("{}.", capital(&self.words))
    }
}

impl Refusal for Infallible {
    fn sentence(&self) -> String {
        match *self {}
    }
}

impl Refusal for std::num::ParseIntError {
    fn sentence(&self) -> String {
        "Expected a whole number.".to_owned()
    }
}

impl Form {
    /// A form with values already filled in, for a page that changes an existing thing.
    pub fn filled<'a, V: Display>(pairs: impl IntoIterator<Item = (&'a str, V)>) -> Self {
        let pairs = pairs.into_iter().map(|(name, value)| (name.to_owned(), value.to_string())).collect();
        Self { pairs, ..Self::default() }
    }

    /// Puts a value into a field and replaces what is there. `None` leaves the field empty.
    pub fn put(&mut self, name: &str, value: Option<impl Display>) {
        if let Some(value) = value {
            self.pairs.retain(|(known, _)| known != name);
            self.pairs.push((name.to_owned(), value.to_string()));
        }
    }

    /// The text of a field; empty if nothing was typed.
    pub fn typed(&self, name: &str) -> &str {
        self.pairs.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value.as_str())
    }

    /// All values sent under one name, for checkboxes and repeated fields.
    pub fn every<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.pairs.iter().filter(move |(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// Whether a checkbox is ticked.
    pub fn flag(&self, name: &str) -> bool {
        !self.typed(name).is_empty()
    }

    /// Whether a group of fields has a value or an error, such as the group `cable` for `cable.length_m`.
    pub fn holds(&self, group: &str) -> bool {
        let within = |name: &str| name.strip_prefix(group).is_some_and(|rest| rest.starts_with(['.', '[']));
        self.pairs.iter().any(|(name, value)| within(name) && !value.trim().is_empty())
            || self.errors.iter().any(|error| within(&error.field))
    }

    /// Reads a required field.
    pub fn required<T: FromStr<Err: Refusal>>(&mut self, name: &str) -> Option<T> {
        if self.typed(name).trim().is_empty() {
            self.refuse(name, "Required.");
            return None;
        }
        self.optional(name)
    }

    /// Reads an optional field.
    pub fn optional<T: FromStr<Err: Refusal>>(&mut self, name: &str) -> Option<T> {
        let typed = self.typed(name);
        if typed.trim().is_empty() {
            return None;
        }
        match typed.parse::<T>() {
            Ok(value) => Some(value),
            Err(refusal) => {
                self.refuse(name, refusal.sentence());
                None
            }
        }
    }

    /// Reads every value sent under one name and skips empty ones.
    pub fn all<T: FromStr<Err: Refusal>>(&mut self, name: &str) -> Vec<T> {
        let typed: Vec<String> =
            self.every(name).filter(|value| !value.trim().is_empty()).map(str::to_owned).collect();
        let mut values = Vec::with_capacity(typed.len());
        for text in typed {
            match text.parse::<T>() {
                Ok(value) => values.push(value),
                Err(refusal) => self.refuse(name, refusal.sentence()),
            }
        }
        values
    }

    /// Reads a required choice, by its key in files.
    pub fn required_choice<T: DeserializeOwned>(&mut self, name: &str) -> Option<T> {
        if self.typed(name).is_empty() {
            self.refuse(name, "Choose one.");
            return None;
        }
        self.choice(name)
    }

    /// Reads an optional choice, by its key in files.
    pub fn choice<T: DeserializeOwned>(&mut self, name: &str) -> Option<T> {
        let typed = self.typed(name);
        if typed.is_empty() {
            return None;
        }
        let read = T::deserialize(IntoDeserializer::<WordError>::into_deserializer(typed));
        if read.is_err() {
            self.refuse(name, "Choose one of the list.");
        }
        read.ok()
    }

    /// Reads an optional length. Without a unit, it counts in the unit `alone`.
    pub fn length<T>(&mut self, name: &str, alone: LengthUnit) -> Option<T>
    where
        T: PlanLength,
    {
        let typed = self.typed(name);
        if typed.trim().is_empty() {
            return None;
        }
        match length(typed, alone, self.kept_length(name, alone)) {
            Ok(value) => Some(value),
            Err(text) => {
                self.refuse(name, text);
                None
            }
        }
    }

    /// Adds an error to a field.
    pub fn refuse(&mut self, name: &str, text: impl Into<String>) {
        self.errors.push(FieldError { field: name.to_owned(), label: None, text: text.into() });
    }

    /// Gives the fields with errors the labels of the page.
    pub fn label_errors(&mut self, label: impl Fn(&str) -> Option<String>) {
        for error in &mut self.errors {
            error.label = label(&error.field);
        }
    }

    /// The version that the form was opened with.
    ///
    /// # Errors
    /// There is none: the form does not come from this program.
    pub fn version(&self) -> Result<Version, Error> {
        self.typed("version").parse().map_err(|_| {
            Error::BadRequest("The form did not say which version it began with. Open it again.".to_owned())
        })
    }

    /// Shows each error of the store beside its field. An error without a field becomes an error of the page.
    ///
    /// # Errors
    /// The store's error, if no field of the form can correct it.
    pub fn refuse_saving(&mut self, error: store::Error) -> Result<(), Error> {
        match error {
            store::Error::Faults(faults) => {
                for fault in faults {
                    self.refuse(&fault.path, format!("{}.", capital(&fault.text)));
                }
            }
            store::Error::InUse { .. } | store::Error::LastManager => {
                self.refuse("", capital(&format!("{error}.")))
            }
            other => return Err(other.into()),
        }
        Ok(())
    }

    /// Shows what another person saved meanwhile beside the typed value, and lets the next save succeed.
    ///
    /// `before` is what both started with, if known. A field that only the other person changed takes
    /// their value. Saving again then loses no change of either.
    pub fn beside(&mut self, theirs: &Self, before: Option<&Self>) {
        let mut fields: Vec<String> = Vec::new();
        for (field, _) in self.pairs.iter().chain(&theirs.pairs) {
            if field != "version" && !fields.contains(field) {
                fields.push(field.clone());
            }
        }
        for field in fields {
            let (yours, others) = (self.typed(&field).to_owned(), theirs.typed(&field).to_owned());
            if same(&yours, &others) {
                continue;
            }
            if before.is_some_and(|before| same(before.typed(&field), &yours)) {
                self.put(&field, Some(&others));
            }
            self.differences.push(Difference { field, yours, theirs: others });
        }
        self.put("version", Some(theirs.typed("version").to_owned()));
    }

    /// Refuses a save because another person saved first, and shows their values. The next save succeeds.
    pub fn refuse_stale(&mut self, theirs: &Self) {
        self.beside(theirs, None);
        self.refuse(
            "",
            "Somebody else saved this while you were editing. Where the two differ, the field shows both. \
             Edit what you want to change, then save again.",
        );
    }

    /// [Refuses a stale save](Self::refuse_stale) with what the store holds now, filled in by `filled`.
    ///
    /// # Errors
    /// [`Error::Internal`] if what it holds is not of this type; and an error of `filled`.
    pub fn refuse_held<T: DeserializeOwned>(
        &mut self,
        stale: Stale,
        filled: impl FnOnce(&Versioned<T>) -> Result<Self, Error>,
    ) -> Result<(), Error> {
        let value = serde_json::from_value(stale.theirs).map_err(Error::internal)?;
        self.refuse_stale(&filled(&Versioned { value, version: stale.version })?);
        Ok(())
    }

    /// The difference between two people's values of a field, if there is one.
    pub fn difference(&self, field: &str) -> Option<&Difference> {
        self.differences.iter().find(|difference| difference.field == field)
    }

    /// `None` if any field has an error.
    pub fn sound(&self) -> Option<()> {
        self.errors.is_empty().then_some(())
    }

    /// The form with a heading for its errors other than "Not saved": `Not signed in`.
    pub fn refused_as(self, refusal: &'static str) -> Self {
        Self { refusal: Some(refusal), ..self }
    }

    /// The heading for its errors.
    pub fn refusal(&self) -> &'static str {
        self.refusal.unwrap_or("Not saved")
    }

    /// The errors, in the order the fields were read.
    pub fn errors(&self) -> &[FieldError] {
        &self.errors
    }

    /// The error of one field.
    pub fn error(&self, name: &str) -> Option<&str> {
        self.errors.iter().find(|error| error.field == name).map(|error| error.text.as_str())
    }
}

impl<S: Send + Sync> FromRequest<S> for Form {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match axum::Form::<Vec<(String, String)>>::from_request(request, state).await {
            Ok(axum::Form(pairs)) => Ok(Self { pairs, ..Self::default() }),
            Err(refused) => Err(refused.into_response()),
        }
    }
}

/// Reads a length. Without a unit, it counts in the unit `alone`. `kept` is the stored length that the text shows.
///
/// # Errors
/// What was expected, as a sentence.
fn length<T: PlanLength>(typed: &str, alone: LengthUnit, kept: Option<f64>) -> Result<T, String> {
    let typed = typed.trim();
    let not = || format!("not \u{2018}{}\u{2019}", shortened(typed));
    let Some(meters) = kept.or_else(|| length::meters(typed, alone)) else {
        return Err(format!("Expected a length such as {}, {}.", alone.example(), not()));
    };
    T::try_from(meters).map_err(|bad| match alone {
        LengthUnit::Meter => BadValue { got: typed.to_owned(), ..bad }.sentence(),
        LengthUnit::Foot => {
            let [least, most] = T::LIMITS_M.map(|limit| alone.said(limit));
            format!("Expected {} from {least} to {most}, {}.", T::WHAT, not())
        }
    })
}

/// The key of a choice in files, to fill a form with the stored value.
pub fn word<T: Serialize>(choice: T) -> Option<String> {
    match serde_json::to_value(choice) {
        Ok(serde_json::Value::String(word)) => Some(word),
        _ => None,
    }
}

/// Whether two texts are equal, as text or as numbers.
fn same(one: &str, other: &str) -> bool {
    let number = |text: &str| text.trim().replace(',', ".").parse::<f64>().ok();
    one.trim() == other.trim() || number(one).is_some_and(|one| number(other) == Some(one))
}

/// At most forty characters of the typed text, for a sentence.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::plan::{Engine, Fuel};
    use crate::job::value::{BeamM, BoatLengthM, Name};

    #[test]
    fn every_refused_field_is_named_and_what_was_typed_stays() {
        let mut form = Form::filled([("boat", " "), ("length_m", "7,1 ft"), ("customer", "R. Vane")]);
        assert_eq!(form.required::<Name>("boat"), None);
        assert_eq!(form.required::<BoatLengthM>("length_m"), None);
        assert_eq!(form.required::<Name>("customer").unwrap().as_str(), "R. Vane");
        assert!(form.sound().is_none());
        assert_eq!(form.error("boat"), Some("Required."));
        assert_eq!(
            form.error("length_m"),
            Some("Expected a boat's length in meters from 2 to 30, not \u{2018}7,1 ft\u{2019}.")
        );
        assert_eq!(form.typed("length_m"), "7,1 ft");
    }

    #[test]
    fn choices_are_read_by_the_words_of_the_job_file() {
        let mut form = Form::filled([("fuel", "gasoline"), ("engine", "sail")]);
        assert_eq!(form.required_choice::<Fuel>("fuel"), Some(Fuel::Gasoline));
        assert_eq!(form.choice::<Engine>("engine"), None);
        assert_eq!(form.error("engine"), Some("Choose one of the list."));
        assert_eq!(word(Fuel::Gasoline).as_deref(), Some("gasoline"));
    }

    #[test]
    fn a_length_is_read_in_the_unit_it_was_typed_in() {
        let mut form = Form::filled([("length_m", "23 ft 4 in"), ("beam_m", "90")]);
        let length: BoatLengthM = form.length("length_m", LengthUnit::Meter).unwrap();
        assert!((length.number() - 7.1120).abs() < 1e-9);
        assert_eq!(form.length::<BeamM>("beam_m", LengthUnit::Foot), None);
        assert_eq!(
            form.error("beam_m"),
            Some("Expected a boat's beam from 1 ft 7 11/16 in to 32 ft 9 11/16 in, not \u{2018}90\u{2019}.")
        );
    }

    #[test]
    fn the_summary_names_the_field_in_words() {
        let about =
            |field: &str| FieldError { field: field.to_owned(), label: None, text: String::new() }.about();
        assert_eq!(about("boat.length_m"), "Boat length");
        assert_eq!(about("name"), "Name");
        assert_eq!(about("job.promised_on"), "Job promised on");
    }

    #[test]
    fn two_versions_stand_side_by_side_and_neither_is_lost() {
        let before =
            Form::filled([("name", "Bilge"), ("rating_a", "5"), ("length_m", "4.0"), ("version", "1")]);
        let theirs =
            Form::filled([("name", "Bilge"), ("rating_a", "10"), ("length_m", "4"), ("version", "2")]);
        let mut mine =
            Form::filled([("name", "Bilge pump"), ("rating_a", "5"), ("length_m", "4.0"), ("version", "1")]);
        let mut blind = mine.clone();
        mine.beside(&theirs, Some(&before));
        assert_eq!(
            (mine.typed("name"), mine.typed("rating_a")),
            ("Bilge pump", "10"),
            "each keeps the other's change"
        );
        assert_eq!(mine.difference("rating_a").unwrap().yours, "5");
        assert_eq!(mine.difference("length_m"), None, "4 and 4.0 are the same length");
        assert_eq!(mine.version().unwrap(), Version::from(2));
        blind.beside(&theirs, None);
        assert_eq!(
            (blind.typed("name"), blind.typed("rating_a")),
            ("Bilge pump", "5"),
            "what is typed stays"
        );
        assert_eq!(blind.difference("name").unwrap().theirs, "Bilge");
    }

    #[test]
    fn an_empty_optional_field_is_no_error() {
        let mut form = Form::default();
        assert_eq!(form.optional::<BoatLengthM>("beam"), None);
        assert!(form.sound().is_some());
    }
}
