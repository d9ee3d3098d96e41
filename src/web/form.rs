//! Forms: what was typed, read into typed values at the edge, with each refusal beside its field.
//!
//! A handler reads every field first, then asks [`Form::sound`]; when any was refused it shows the
//! same page again with the same form, which still holds what was typed.
//!
//! ```
//! use driploop::job::value::{BeamM, Name};
//! use driploop::web::form::Form;
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
//! assert_eq!(form.errors()[0].text, "Expected a boat's beam in metres from 0.5 to 10, not \u{2018}wide\u{2019}.");
//! ```

use std::fmt::Display;
use std::str::FromStr;

use axum::extract::{FromRequest, Request};
use axum::response::{IntoResponse, Response};

use super::field::Field;
use crate::job::value::BadValue;

/// What was typed into a form, and what is wrong with it.
#[derive(Debug, Clone, Default)]
pub struct Form {
    pairs: Vec<(String, String)>,
    errors: Vec<FieldError>,
}

/// What is wrong with one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldError {
    /// The field.
    pub field: String,
    /// What is wrong with it, as a sentence.
    pub text: String,
}

/// A refusal as a sentence beside its field.
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

impl Refusal for std::num::ParseIntError {
    fn sentence(&self) -> String {
        "Expected a whole number.".to_owned()
    }
}

impl Form {
    /// A form that was filled in beforehand, for a page that changes what exists.
    pub fn filled<'a, V: Display>(pairs: impl IntoIterator<Item = (&'a str, V)>) -> Self {
        let pairs = pairs.into_iter().map(|(name, value)| (name.to_owned(), value.to_string())).collect();
        Self { pairs, errors: Vec::new() }
    }

    /// Puts a value in, in place of what stands there; nothing for `None`.
    pub fn put(&mut self, name: &str, value: Option<impl Display>) {
        if let Some(value) = value {
            self.pairs.retain(|(known, _)| known != name);
            self.pairs.push((name.to_owned(), value.to_string()));
        }
    }

    /// What was typed into a field; empty where nothing was.
    pub fn typed(&self, name: &str) -> &str {
        self.pairs.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value.as_str())
    }

    /// Everything sent under one name, for boxes and repeated fields.
    pub fn every<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.pairs.iter().filter(move |(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// Whether a box was ticked.
    pub fn flag(&self, name: &str) -> bool {
        !self.typed(name).is_empty()
    }

    /// Reads a field that may not be left empty.
    pub fn required<T: FromStr<Err: Refusal>>(&mut self, name: &str) -> Option<T> {
        if self.typed(name).trim().is_empty() {
            self.refuse(name, "This is needed.");
            return None;
        }
        self.optional(name)
    }

    /// Reads a field that may be left empty.
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

    /// Reads every value sent under one name, leaving empty ones out.
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

    /// Says that something is wrong with a field.
    pub fn refuse(&mut self, name: &str, text: impl Into<String>) {
        self.errors.push(FieldError { field: name.to_owned(), text: text.into() });
    }

    /// `None` as soon as any field was refused.
    pub fn sound(&self) -> Option<()> {
        self.errors.is_empty().then_some(())
    }

    /// What is wrong, in the order the fields were read.
    pub fn errors(&self) -> &[FieldError] {
        &self.errors
    }

    /// What is wrong with one field.
    pub fn error(&self, name: &str) -> Option<&str> {
        self.errors.iter().find(|error| error.field == name).map(|error| error.text.as_str())
    }

    /// A field of one line.
    pub fn text(&self, name: &str, label: &str) -> Field {
        Field::text(self, name, label)
    }

    /// A number with its unit.
    pub fn number(&self, name: &str, label: &str, unit: &str) -> Field {
        Field::number(self, name, label, unit)
    }

    /// A choice of one.
    pub fn select<V: Display, L: Display>(&self, name: &str, label: &str, choices: &[(V, L)]) -> Field {
        Field::select(self, name, label, choices)
    }

    /// A box to tick.
    pub fn check(&self, name: &str, label: &str) -> Field {
        Field::check(self, name, label)
    }

    /// A field of several lines.
    pub fn area(&self, name: &str, label: &str) -> Field {
        Field::area(self, name, label)
    }

    /// A day.
    pub fn date(&self, name: &str, label: &str) -> Field {
        Field::date(self, name, label)
    }

    /// A secret that is never sent back: `kind` is the browser's autocomplete word.
    pub fn secret(&self, name: &str, label: &str, kind: &'static str) -> Field {
        Field::secret(self, name, label, kind)
    }
}

impl<S: Send + Sync> FromRequest<S> for Form {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match axum::Form::<Vec<(String, String)>>::from_request(request, state).await {
            Ok(axum::Form(pairs)) => Ok(Self { pairs, errors: Vec::new() }),
            Err(refused) => Err(refused.into_response()),
        }
    }
}

/// At most forty characters of what was typed, for a sentence.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::value::{BoatLengthM, Name};

    #[test]
    fn every_refused_field_is_named_and_what_was_typed_stays() {
        let mut form = Form::filled([("boat", " "), ("length_m", "7,1 ft"), ("owner", "R. Vane")]);
        assert_eq!(form.required::<Name>("boat"), None);
        assert_eq!(form.required::<BoatLengthM>("length_m"), None);
        assert_eq!(form.required::<Name>("owner").unwrap().as_str(), "R. Vane");
        assert!(form.sound().is_none());
        assert_eq!(form.error("boat"), Some("This is needed."));
        assert_eq!(
            form.error("length_m"),
            Some("Expected a boat's length in metres from 2 to 30, not \u{2018}7,1 ft\u{2019}.")
        );
        assert_eq!(form.typed("length_m"), "7,1 ft");
    }

    #[test]
    fn an_empty_optional_field_is_no_error() {
        let mut form = Form::default();
        assert_eq!(form.optional::<BoatLengthM>("beam"), None);
        assert!(form.sound().is_some());
    }
}
