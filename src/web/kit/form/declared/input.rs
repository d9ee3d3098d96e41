//! One input: where its value is in the job file, what it is called, and how it is typed.

use std::str::FromStr;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde::de::IntoDeserializer;
use serde::de::value::Error as WordError;
use serde_json::Value;

use super::choice::Choice;

use crate::job::value::BadValue;
use crate::web::kit::form::{Refusal, length};
use crate::web::kit::length::LengthUnit;

/// One input of a declared form.
pub struct Input<C> {
    /// Path of its value in the job file, from its thing or its row on; empty where a row is a single value.
    pub(super) path: &'static str,
    /// Its own name in the form.
    pub(super) name: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: Option<&'static str>,
    pub(super) help: Option<&'static str>,
    pub(super) need: Need,
    /// Whether the page says that it may stay empty.
    pub(super) marked: bool,
    /// Whether it says anything alone, or only beside other inputs of its group.
    pub(super) alone: bool,
    /// What it holds where nothing is stored.
    pub(super) usual: &'static str,
    /// What an empty one means beside others of its group.
    pub(super) blank: Option<fn() -> Value>,
    /// A path of faults that are shown here as well.
    pub(super) also: Option<&'static str>,
    pub(super) control: Control<C>,
    write: fn(&Value, LengthUnit) -> Option<String>,
    read: fn(&TypedText<'_>) -> Result<Value, String>,
}

/// When an input may not stay empty.
#[derive(Debug, Clone, Copy)]
pub(super) enum Need {
    Never,
    Always(&'static str),
    /// As soon as anything else is given whose name begins like its own, up to the last point.
    WithGroup(&'static str),
}

pub(super) enum Control<C> {
    Text {
        suggested: Option<fn() -> Vec<(&'static str, &'static str)>>,
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
    /// TypedText once; shown but not changed afterwards.
    Fixed,
    /// Sent along and not shown.
    Hidden,
}

pub(super) enum UnitOf<C> {
    Fixed(&'static str),
    Of(fn(&C) -> String),
}

/// What was typed into an input.
#[derive(Debug, Clone, Copy)]
pub struct TypedText<'a> {
    /// The text, which is not empty.
    pub text: &'a str,
    /// The unit of a length without one.
    pub unit: LengthUnit,
    /// What another input put at the same path before.
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

    /// A number with its unit; empty for none.
    pub fn number<T>(path: &'static str, label: &'static str, unit: &'static str) -> Self
    where
        T: FromStr<Err: Refusal> + Serialize,
    {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Number { unit: UnitOf::Fixed(unit) }) }
    }

    /// A number with a unit that is not the same everywhere, such as a sum of money.
    pub fn number_in<T>(path: &'static str, label: &'static str, unit: fn(&C) -> String) -> Self
    where
        T: FromStr<Err: Refusal> + Serialize,
    {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Number { unit: UnitOf::Of(unit) }) }
    }

    /// A length in meters in the job file, typed in the shop's unit or in any other.
    pub fn length<T>(path: &'static str, label: &'static str) -> Self
    where
        T: TryFrom<f64, Error = BadValue> + Serialize,
    {
        Self { write: written_length, read: read_length::<T>, ..Self::new(path, label, Control::Length) }
    }

    /// A day.
    pub fn date<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Date) }
    }

    /// Several lines of text.
    pub fn area<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Area) }
    }

    /// A box to tick; what is not ticked is left out.
    pub fn check(path: &'static str, label: &'static str) -> Self {
        let write = |value: &Value, _| (value == &Value::Bool(true)).then(|| "yes".to_owned());
        Self { write, read: |_| Ok(Value::Bool(true)), ..Self::new(path, label, Control::Check) }
    }

    /// A choice of one, each sent as the word the job file has for it.
    pub fn select<T>(path: &'static str, label: &'static str, choices: fn(&C) -> Vec<Choice>) -> Self
    where
        T: DeserializeOwned,
    {
        Self { read: chosen::<T>, marked: false, ..Self::new(path, label, Control::Select { choices }) }
    }

    /// What is typed once and stays.
    pub fn fixed<T: FromStr<Err: Refusal> + Serialize>(path: &'static str, label: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, label, Control::Fixed) }
    }

    /// What is sent along without being shown.
    pub fn hidden<T: FromStr<Err: Refusal> + Serialize>(path: &'static str) -> Self {
        Self { read: parsed::<T>, ..Self::new(path, "", Control::Hidden) }
    }

    /// The same input under a name that is not its path: where several make one value.
    pub fn named(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// The same input with its own rule for what it holds of a stored value.
    pub fn write_by(self, write: fn(&Value, LengthUnit) -> Option<String>) -> Self {
        Self { write, ..self }
    }

    /// The same input with its own rule for the value of what is typed; [`Value::Null`] is none.
    pub fn read_by(self, read: fn(&TypedText<'_>) -> Result<Value, String>) -> Self {
        Self { read, ..self }
    }

    /// The same input, which may not stay empty.
    pub fn required(self) -> Self {
        let text = if matches!(self.control, Control::Select { .. }) { "Choose one." } else { NEEDED };
        Self { need: Need::Always(text), ..self }
    }

    /// The same input, which may not stay empty where anything else of its group is given: `cable.kind` where
    /// there is a `cable.length_m`. `text` says so.
    pub fn needed(self, text: &'static str) -> Self {
        Self { need: Need::WithGroup(text), marked: false, ..self }
    }

    /// The same input, of which the page does not say that it may stay empty.
    pub fn unmarked(self) -> Self {
        Self { marked: false, ..self }
    }

    /// The same input, which says nothing alone: the side that goes with a distance.
    pub fn beside(self) -> Self {
        Self { alone: false, marked: false, ..self }
    }

    /// The same input with what an empty one means beside others of its group.
    pub fn blank(self, value: fn() -> Value) -> Self {
        Self { blank: Some(value), ..self }
    }

    /// The same input with what the job file means where it leaves it out.
    pub fn usual(self, word: &'static str) -> Self {
        Self { usual: word, ..self }
    }

    /// The same input, where faults at another path are shown as well.
    pub fn also(self, path: &'static str) -> Self {
        Self { also: Some(path), ..self }
    }

    /// The same input with a sentence of help above it.
    pub fn hint(self, hint: &'static str) -> Self {
        Self { hint: Some(hint), ..self }
    }

    /// The same input with a link to what explains its term: a page of the help, or a heading in one.
    pub fn help(self, topic: &'static str) -> Self {
        Self { help: Some(topic), ..self }
    }

    /// The same text with values that are offered while it is typed.
    pub fn suggest(self, values: fn() -> Vec<(&'static str, &'static str)>) -> Self {
        Self { control: Control::Text { suggested: Some(values) }, ..self }
    }

    /// What the input holds for a stored value, or for none.
    pub(super) fn written(&self, value: Option<&Value>, unit: LengthUnit) -> Option<String> {
        let usual = || (!self.usual.is_empty()).then(|| self.usual.to_owned());
        value.and_then(|value| (self.write)(value, unit)).or_else(usual)
    }

    /// The value for what was typed.
    ///
    /// # Errors
    /// What was expected, as a sentence.
    pub(super) fn read(&self, typed: &TypedText<'_>) -> Result<Value, String> {
        (self.read)(typed)
    }

    /// Whether something in it makes a row of a list count, or a group that all belongs together.
    pub(super) fn counts(&self) -> bool {
        self.alone && !matches!(self.control, Control::Hidden)
    }

    /// How near this input is to a path of a fault: 0 for its own, `None` where it is another's.
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

/// A text or a number as a field shows it.
fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => number.as_f64().map(|number| number.to_string()),
        _ => None,
    }
}

fn written_length(value: &Value, unit: LengthUnit) -> Option<String> {
    value.as_f64().map(|meters| unit.text(meters))
}

/// The value of a typed text.
///
/// # Errors
/// What was expected, as a sentence.
pub fn parsed<T: FromStr<Err: Refusal> + Serialize>(typed: &TypedText<'_>) -> Result<Value, String> {
    value(typed.text.parse::<T>().map_err(|refusal| refusal.sentence())?)
}

fn read_length<T>(typed: &TypedText<'_>) -> Result<Value, String>
where
    T: TryFrom<f64, Error = BadValue> + Serialize,
{
    value(length::<T>(typed.text, typed.unit)?)
}

/// The value of a chosen word.
///
/// # Errors
/// Where the word is none of the list.
pub fn chosen<T: DeserializeOwned>(typed: &TypedText<'_>) -> Result<Value, String> {
    T::deserialize(IntoDeserializer::<WordError>::into_deserializer(typed.text))
        .map(|_| Value::from(typed.text))
        .map_err(|_| "Choose one of the list.".to_owned())
}

/// A value as the job file has it.
pub(super) fn value(value: impl Serialize) -> Result<Value, String> {
    serde_json::to_value(value).map_err(|error| error.to_string())
}
