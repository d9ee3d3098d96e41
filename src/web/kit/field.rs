//! One field of a form: label, hint, control and error, as one piece of a page.
//!
//! A template writes `{{ form.number("length_m", "Length", "m").required() }}`.

use super::length::LengthUnit;
use std::fmt::Display;

use askama::Template;
use askama::filters::HtmlSafe;

use super::form::{Difference, Form};
use super::manual;

/// A field, ready to be written into a page.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/field.html")]
pub struct Field {
    name: String,
    label: String,
    value: String,
    error: Option<String>,
    difference: Option<Difference>,
    hint: Option<String>,
    topic: Option<&'static str>,
    required: bool,
    marked: bool,
    autocomplete: &'static str,
    suggested: Vec<(&'static str, &'static str)>,
    /// The id of the choices, if they are written elsewhere on the page.
    offered: Option<String>,
    control: Control,
}

#[derive(Debug, Clone)]
enum Control {
    Text,
    Number {
        unit: String,
    },
    /// Feet and inches.
    Tape,
    Date,
    Area,
    Secret,
    Digits,
    Check {
        ticked: bool,
    },
    Select {
        choices: Vec<Choice>,
    },
    /// Shown, but no longer editable.
    Fixed,
    /// Sent with the form, but not shown.
    Hidden,
}

#[derive(Debug, Clone)]
struct Choice {
    value: String,
    label: String,
    chosen: bool,
}

impl HtmlSafe for Field {}

impl Field {
    fn new(form: &Form, name: &str, label: &str, control: Control) -> Self {
        Self {
            name: name.to_owned(),
            label: label.to_owned(),
            value: form.typed(name).to_owned(),
            error: form.error(name).map(str::to_owned),
            difference: form.difference(name).cloned(),
            hint: None,
            topic: None,
            required: false,
            marked: true,
            autocomplete: "off",
            suggested: Vec::new(),
            offered: None,
            control,
        }
    }

    fn text(form: &Form, name: &str, label: &str) -> Self {
        Self::new(form, name, label, Control::Text)
    }

    fn number(form: &Form, name: &str, label: &str, unit: &str) -> Self {
        Self::new(form, name, label, Control::Number { unit: unit.to_owned() })
    }

    fn date(form: &Form, name: &str, label: &str) -> Self {
        Self::new(form, name, label, Control::Date)
    }

    fn area(form: &Form, name: &str, label: &str) -> Self {
        Self::new(form, name, label, Control::Area)
    }

    fn secret(form: &Form, name: &str, label: &str, autocomplete: &'static str) -> Self {
        let field = Self::new(form, name, label, Control::Secret);
        Self { value: String::new(), difference: None, autocomplete, ..field }
    }

    fn check(form: &Form, name: &str, label: &str) -> Self {
        Self::new(form, name, label, Control::Check { ticked: form.flag(name) })
    }

    fn select<V: Display, L: Display>(form: &Form, name: &str, label: &str, choices: &[(V, L)]) -> Self {
        let typed = form.typed(name);
        let mut choices: Vec<Choice> = choices
            .iter()
            .map(|(value, label)| {
                let value = value.to_string();
                Choice { chosen: value == typed, label: label.to_string(), value }
            })
            .collect();
        if !typed.is_empty() && !choices.iter().any(|choice| choice.chosen) {
            // A choice may no longer exist. It is still shown, beside its error.
            choices.push(Choice { value: typed.to_owned(), label: typed.to_owned(), chosen: true });
        }
        Self::new(form, name, label, Control::Select { choices })
    }

    /// A field that is shown but no longer editable.
    pub(super) fn fixed(form: &Form, name: &str, label: &str) -> Self {
        Self::new(form, name, label, Control::Fixed)
    }

    /// A field that is sent with the form but not shown.
    pub(super) fn hidden(form: &Form, name: &str) -> Self {
        Self::new(form, name, "", Control::Hidden)
    }

    /// The same field with choices that are written elsewhere on the page, once for many fields.
    pub(super) fn offered(self, id: String) -> Self {
        Self { offered: Some(id), ..self }
    }

    /// The same field, as a required one.
    pub fn required(self) -> Self {
        Self { required: true, ..self }
    }

    /// The same field, optional but without the mark "optional": a row of a list, or a choice of none.
    pub fn unmarked(self) -> Self {
        Self { marked: false, ..self }
    }

    /// The same field with a hint above the control.
    pub fn hint(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }

    /// The same field with an example of feet and inches after its hint. Other fields stay as they are.
    pub fn example(self) -> Self {
        if !matches!(self.control, Control::Tape) {
            return self;
        }
        let example = format!("Such as {}", LengthUnit::Foot.example());
        let hint = match &self.hint {
            Some(hint) => format!("{}. {example}", hint.trim_end_matches('.')),
            None => example,
        };
        self.hint(hint)
    }

    /// The same field with a link to the explanation of its term: a page of the help, or a heading in one.
    pub fn help(self, topic: &'static str) -> Self {
        Self { topic: Some(topic), ..self }
    }

    /// The address of that explanation.
    fn help_address(&self) -> Option<String> {
        self.topic.map(manual::address)
    }

    /// The same text field with suggestions, each with a short description. Other values are accepted too.
    pub fn suggest(self, values: &[(&'static str, &'static str)]) -> Self {
        Self { suggested: values.to_vec(), ..self }
    }

    /// The same field with the browser's autocomplete key, such as `username`.
    pub fn autocomplete(self, word: &'static str) -> Self {
        Self { autocomplete: word, ..self }
    }

    /// The same secret, typed on a number pad.
    pub fn digits(self) -> Self {
        Self { control: Control::Digits, ..self }
    }

    /// A value of this field as it is shown to people.
    fn shown<'a>(&'a self, value: &'a str) -> &'a str {
        match &self.control {
            Control::Check { .. } => {
                if value.is_empty() {
                    "not ticked"
                } else {
                    "ticked"
                }
            }
            Control::Select { choices } => choices
                .iter()
                .find(|choice| choice.value == value)
                .map_or(value, |choice| choice.label.as_str()),
            _ if value.trim().is_empty() => "empty",
            _ => value,
        }
    }

    /// The ids of the hint and the error that describe the control, if there are any.
    fn described_by(&self) -> Option<String> {
        let hint = self.hint.as_ref().map(|_| format!("{}-hint", self.name));
        let error = self.error.as_ref().map(|_| format!("{}-error", self.name));
        let difference = self.difference.as_ref().map(|_| format!("{}-difference", self.name));
        let ids: Vec<String> = [hint, error, difference].into_iter().flatten().collect();
        (!ids.is_empty()).then(|| ids.join(" "))
    }
}

/// The fields of a form, for its template.
impl Form {
    /// A field of one line.
    pub fn text(&self, name: &str, label: &str) -> Field {
        Field::text(self, name, label)
    }

    /// A number field with its unit.
    pub fn number(&self, name: &str, label: &str, unit: &str) -> Field {
        Field::number(self, name, label, unit)
    }

    /// A length field: meters with the unit beside them, or feet and inches as on a tape.
    pub fn length_field(&self, name: &str, label: &str, unit: LengthUnit) -> Field {
        match unit {
            LengthUnit::Meter => Field::number(self, name, label, "m"),
            LengthUnit::Foot => Field::new(self, name, label, Control::Tape),
        }
    }

    /// A choice of one value.
    pub fn select<V: Display, L: Display>(&self, name: &str, label: &str, choices: &[(V, L)]) -> Field {
        Field::select(self, name, label, choices)
    }

    /// A checkbox.
    pub fn check(&self, name: &str, label: &str) -> Field {
        Field::check(self, name, label)
    }

    /// A field of several lines.
    pub fn area(&self, name: &str, label: &str) -> Field {
        Field::area(self, name, label)
    }

    /// A date.
    pub fn date(&self, name: &str, label: &str) -> Field {
        Field::date(self, name, label)
    }

    /// A secret that is never sent back to the browser. `kind` is the autocomplete key of the browser.
    pub fn secret(&self, name: &str, label: &str, kind: &'static str) -> Field {
        Field::secret(self, name, label, kind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refused_field_keeps_what_was_typed_and_points_to_its_error() {
        let mut form = Form::filled([("length_m", "<7>")]);
        form.refuse("length_m", "Expected a length.");
        let html = form.number("length_m", "Length", "m").required().render().unwrap();
        assert!(html.contains(r#"aria-invalid="true""#), "{html}");
        assert!(html.contains(r#"aria-describedby="length_m-error""#), "{html}");
        assert!(html.contains("&#60;7&#62;"), "{html}");
        assert!(html.contains(r#"<span class="unit">m</span>"#), "{html}");
    }

    #[test]
    fn a_choice_that_is_gone_is_still_said() {
        let form = Form::filled([("location", "keel")]);
        let html = form.select("location", "Location", &[("", "Choose"), ("bow", "Bow")]).render().unwrap();
        assert!(html.contains(r#"<option value="keel" selected>keel</option>"#), "{html}");
    }

    #[test]
    fn a_secret_is_never_sent_back() {
        let form = Form::filled([("passphrase", "four plain words here")]);
        let html = form.secret("passphrase", "Passphrase", "current-password").render().unwrap();
        assert!(!html.contains("four plain"), "{html}");
    }
}
