//! One input: the path of its value in the job file, its label, and how it is typed.

use std::str::FromStr;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde::de::IntoDeserializer;
use serde::de::value::Error as WordError;
use serde_json::Value;

use super::choice::Choice;

use crate::job::value::PlanLength;
use crate::web::kit::form::{Refusal, length};
use crate::web::kit::length::LengthUnit;

/// Values to suggest, each with what it is for.
pub(super) type Suggestions = fn() -> Vec<(&'static str, &'static str)>;

/// One input of a declared form.
pub struct Input<C> {
    /// Path of its value in the job file, from its thing or row. Empty if a row is a single value.
    pub(super) path: &'static str,
    /// Its name in the form.
    pub(super) name: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: Option<&'static str>,
    /// The hint in a shop with feet and inches, if it differs.
    pub(super) hint_in_feet: Option<&'static str>,
    pub(super) help: Option<&'static str>,
    pub(super) need: Need,
    /// Whether the page marks it as optional.
    pub(super) marked: bool,
    /// Whether it has a meaning alone, or only with other inputs of its group.
    pub(super) alone: bool,
    /// What it shows if nothing is stored.
    pub(super) usual: &'static str,
    /// The value of an empty input if other inputs of its group are filled in.
    pub(super) blank: Option<fn() -> Value>,
    /// A second path; its errors are shown here too.
    pub(super) also: Option<&'static str>,
    pub(super) control: Control<C>,
    write: fn(&Value, LengthUnit) -> Option<String>,
    read: fn(&TypedText<'_>) -> Result<Value, String>,
}

/// When an input is required.
#[derive(Debug, Clone, Copy)]
pub(super) enum Need {
    Never,
    Always(&'static str),
    /// If any other input is filled in whose name starts the same, up to the last dot.
    WithGroup(&'static str),
}

pub(super) enum Control<C> {
    Text {
        suggested: Option<Suggestions>,
    },
    Number {
        unit: UnitOf<C>,
    },
    Length,
    Date,
    Area,
    Check,
    Select {
        choices: fn(&C) -> Vec<Choice>,
    },
    /// Typed once, then shown but not editable.
    Fixed,
    /// Sent with the form, but not shown.
    Hidden,
}

pub(super) enum UnitOf<C> {
    Fixed(&'static str),
    Of(fn(&C) -> String),
}

/// The typed text of an input.
#[derive(Debug, Clone, Copy)]
pub struct TypedText<'a> {
    /// The text, which is not empty.
    pub text: &'a str,
    /// The unit for a length without one.
    pub unit: LengthUnit,
    /// The stored length that the text shows, if it is a length and still shown as it is stored.
    pub kept: Option<f64>,
    /// What another input already put at the same path.
    pub so_far: Option<&'a Value>,
}

const NEEDED: &str = "Required.";

impl<C> Input<C> {
    fn new(path: &'static str, label: &'static str, control: Control<C>) -> Self {
        Self {
            path,
            name: path,
            label,
            hint: None,
            hint_in_feet: None,
            help: None,
            need: Need::Never,
            marked: true,
            alone: true,
            usual: "",
            blank: None,
            also: None,
            control,
            write: |value, _| plain(value),
            read: |typed| Ok(Value::from(typed.text)),
        }
    }

    /// A line of text.
    pub fn text<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Text { suggested: None }) }
    }

    /// A number with its unit; empty means none.
    pub fn number<T>(path: &'static str, label: &'static str, unit: &'static str) -> Self
    where
        T: FromStr<Err: Refusal> + Serialize,
    {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Number { unit: UnitOf::Fixed(unit) }) }
    }

    /// A number with a unit that depends on the context, such as an amount of money.
    pub fn number_in<T>(path: &'static str, label: &'static str, unit: fn(&C) -> String) -> Self
    where
        T: FromStr<Err: Refusal> + Serialize,
    {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Number { unit: UnitOf::Of(unit) }) }
    }

    /// A length: meters in the job file, typed in the shop's unit or any other.
    pub fn length<T>(path: &'static str, label: &'static str) -> Self
    where
        T: PlanLength + Serialize,
    {
        Self { write: written_length, read: read_length::<T>, ..Self::new(path, label, Control::Length) }
    }

    /// A date.
    pub fn date<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Date) }
    }

    /// Several lines of text.
    pub fn area<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Area) }
    }

    /// A checkbox; an unticked one is left out of the job file.
    pub fn check(path: &'static str, label: &'static str) -> Self {
        let write = |value: &Value, _| (value == &Value::Bool(true)).then(|| "yes".to_owned());
        Self { write, read: |_| Ok(Value::Bool(true)), ..Self::new(path, label, Control::Check) }
    }

    /// A choice of one; each is sent as its key in the job file.
    pub fn select<T>(path: &'static str, label: &'static str, choices: fn(&C) -> Vec<Choice>) -> Self
    where
        T: DeserializeOwned,
    {
        Self { read: chosen::<T>, marked: false, ..Self::new(path, label, Control::Select { choices }) }
    }

    /// A choice of yes, no or not known.
    pub fn answer(path: &'static str, label: &'static str) -> Self {
        let write = |value: &Value, _| value.as_bool().map(|yes| if yes { "yes" } else { "no" }.to_owned());
        let choices = |_: &C| [("", "Not known"), ("yes", "Yes"), ("no", "No")].map(own_words).into();
        Self {
            write,
            read: read_answer,
            marked: false,
            ..Self::new(path, label, Control::Select { choices })
        }
    }

    /// An input that is typed once and cannot be changed later.
    pub fn fixed<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Fixed) }
    }

    /// An input that is sent with the form but not shown.
    pub fn hidden<T: FromStr<Err: Refusal> + Serialize>(path: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, "", Control::Hidden) }
    }

    /// The same input with a name that differs from its path: where several inputs make one value.
    pub fn named(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// The same input with its own rule for showing a stored value.
    pub fn write_by(self, write: fn(&Value, LengthUnit) -> Option<String>) -> Self {
        Self { write, ..self }
    }

    /// The same input with its own rule for reading typed text; [`Value::Null`] is none.
    pub fn read_by(self, read: fn(&TypedText<'_>) -> Result<Value, String>) -> Self {
        Self { read, ..self }
    }

    /// The same input, as a required one.
    pub fn required(self) -> Self {
        let text = if matches!(self.control, Control::Select { .. }) { "Choose one." } else { NEEDED };
        Self { need: Need::Always(text), ..self }
    }

    /// The same input, required if any other input of its group is filled in: `cable.kind` if there is a
    /// `cable.length_m`. `text` is the error.
    pub fn needed(self, text: &'static str) -> Self {
        Self { need: Need::WithGroup(text), marked: false, ..self }
    }

    /// The same input without the mark "optional".
    pub fn unmarked(self) -> Self {
        Self { marked: false, ..self }
    }

    /// The same input, which has no meaning alone: for example the side that belongs to a distance.
    pub fn beside(self) -> Self {
        Self { alone: false, marked: false, ..self }
    }

    /// The same input with the value of an empty one if other inputs of its group are filled in.
    pub fn blank(self, value: fn() -> Value) -> Self {
        Self { blank: Some(value), ..self }
    }

    /// The same input with the value that a job file means when it leaves it out.
    pub fn usual(self, word: &'static str) -> Self {
        Self { usual: word, ..self }
    }

    /// The same input, which also shows the errors of another path.
    pub fn also(self, path: &'static str) -> Self {
        Self { also: Some(path), ..self }
    }

    /// The same input with a hint above it.
    pub fn hint(self, hint: &'static str) -> Self {
        Self { hint: Some(hint), ..self }
    }

    /// The same length with its own hint for a shop with feet and inches.
    pub fn hint_in_feet(self, hint: &'static str) -> Self {
        Self { hint_in_feet: Some(hint), ..self }
    }

    /// The same input with a link to the explanation of its term: a page of the help, or a heading in one.
    pub fn help(self, topic: &'static str) -> Self {
        Self { help: Some(topic), ..self }
    }

    /// The same text input with suggestions.
    pub fn suggest(self, values: Suggestions) -> Self {
        Self { control: Control::Text { suggested: Some(values) }, ..self }
    }

    /// What the input shows for a stored value, or for none.
    pub(super) fn written(&self, value: Option<&Value>, unit: LengthUnit) -> Option<String> {
        let usual = || (!self.usual.is_empty()).then(|| self.usual.to_owned());
        value.and_then(|value| (self.write)(value, unit)).or_else(usual)
    }

    /// The value of the typed text.
    ///
    /// # Errors
    /// What was expected, as a sentence.
    pub(super) fn read(&self, typed: &TypedText<'_>) -> Result<Value, String> {
        (self.read)(typed)
    }

    /// Whether its content makes a row of a list count, or makes its group count as filled in.
    pub(super) fn counts(&self) -> bool {
        self.alone && !matches!(self.control, Control::Hidden)
    }

    /// How closely this input matches the path of an error: 0 for its own path, `None` for the path of another input.
    pub(super) fn answers(&self, path: &str) -> Option<u8> {
        if matches!(self.control, Control::Hidden) {
            return None;
        }
        let within = |path: &str, outer: &str| {
            path.strip_prefix(outer).is_some_and(|rest| outer.is_empty() || rest.starts_with(['.', '[']))
        };
        match path {
            _ if self.also == Some(path) => Some(0),
            _ if path == self.path => Some(1),
            _ if within(path, self.path) => Some(2),
            _ if within(self.path, path) => Some(3),
            _ => None,
        }
    }
}

/// A text or number as a field shows it.
fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => number.as_f64().map(|number| number.to_string()),
        _ => None,
    }
}

fn own_words((key, words): (&str, &str)) -> Choice {
    (key.to_owned(), words.to_owned())
}

fn read_answer(typed: &TypedText<'_>) -> Result<Value, String> {
    match typed.text {
        "yes" => Ok(Value::Bool(true)),
        "no" => Ok(Value::Bool(false)),
        _ => Err("Choose one of the list.".to_owned()),
    }
}

fn written_length(value: &Value, unit: LengthUnit) -> Option<String> {
    value.as_f64().map(|meters| unit.text(meters))
}

/// The value of the typed text.
///
/// # Errors
/// What was expected, as a sentence.
pub fn parsed<T: FromStr<Err: Refusal> + Serialize>(typed: &TypedText<'_>) -> Result<Value, String> {
    value(typed.text.parse::<T>().map_err(|refusal| refusal.sentence())?)
}

fn read_length<T>(typed: &TypedText<'_>) -> Result<Value, String>
where
    T: PlanLength + Serialize,
{
    value(length::<T>(typed.text, typed.unit, typed.kept)?)
}

/// The value of the chosen key.
///
/// # Errors
/// The key is not in the list.
pub fn chosen<T: DeserializeOwned>(typed: &TypedText<'_>) -> Result<Value, String> {
    T::deserialize(IntoDeserializer::<WordError>::into_deserializer(typed.text))
        .map(|_| Value::from(typed.text))
        .map_err(|_| "Choose one of the list.".to_owned())
}

/// A value as the job file has it.
pub(super) fn value(value: impl Serialize) -> Result<Value, String> {
    serde_json::to_value(value).map_err(|error| error.to_string())
}
