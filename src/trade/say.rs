//! Sentences as data: fixed English with quantities and names in it, converted to text for one reader.
//!
//! A sentence is written with `say!` like `format!`, but the values in its gaps
//! keep their type: an [`Amount`], a [`Named`] thing, a wire size, typed text. Only [`Statement::text`]
//! converts it to text, in the reader's units and with the names of things before their ids.
//!
//! ```
//! use driploop::trade::say::{Part, Statement};
//! use driploop::trade::units::{Units, meters};
//!
//! let short = Statement::new("{} entered; the route needs {}.", vec![Part::from(meters(3.3)), Part::from(meters(4.0))]);
//! assert_eq!(short.text(Units::Metric), "3.3 m entered; the route needs 4.0 m.");
//! ```

use std::borrow::Cow;

use serde::{Serialize, Serializer};

use super::conductor::Size;
use super::insulation::Insulation;
use super::units::{Amount, Units};

/// Fixed English with gaps, and the value for each gap. In JSON it is its text in metric units.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement {
    /// English with `{}` for each gap.
    template: &'static str,
    parts: Vec<Part>,
}

/// A value in a gap.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// A number with its unit.
    Amount(Amount),
    /// An item of the job.
    Named(Named),
    /// Text as it is: typed by a user, or a name from the trade.
    Words(Cow<'static, str>),
    /// Several, with a conjunction before the last: `F01, F02 and F03`.
    List(Vec<Part>, &'static str),
    /// A sentence or a clause within a sentence.
    Statement(Statement),
}

/// An item of the job by kind and id, with its name once it is looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// Its kind: `circuit`.
    pub kind: &'static str,
    /// Its id within the job.
    pub id: String,
    /// Its name.
    pub name: Option<String>,
}

/// Writes a [`Statement`]. The number of values must equal the number of `{}` in the template; the compiler
/// checks this.
macro_rules! say {
    ($template:literal $(, $part:expr)* $(,)?) => {{
        const { assert!($crate::trade::say::gaps($template) == 0 $(+ { let _ = stringify!($part); 1 })*) };
        $crate::trade::say::Statement::new($template, vec![$($crate::trade::say::Part::from($part)),*])
    }};
}
pub(crate) use say;

/// The number of gaps in a template.
pub const fn gaps(template: &str) -> usize {
    let bytes = template.as_bytes();
    let (mut at, mut found) = (0, 0);
    while at + 1 < bytes.len() {
        if bytes[at] == b'{' && bytes[at + 1] == b'}' {
            found += 1;
        }
        at += 1;
    }
    found
}

impl Statement {
    /// Called by `say!`, with as many parts as the template has gaps.
    pub fn new(template: &'static str, parts: Vec<Part>) -> Self {
        Self { template, parts }
    }

    /// The sentence followed by another.
    pub fn then(self, next: Self) -> Self {
        say!("{} {}", self, next)
    }

    /// The sentence for this reader, with a capital at its beginning.
    pub fn text(&self, units: Units) -> String {
        let mut text = String::new();
        self.write(&mut text, units);
        text
    }

    /// The first item of the job that it names.
    pub fn first_named(&self) -> Option<&Named> {
        self.parts.iter().find_map(Part::first_named)
    }

    /// Looks up the names of the items in it. `name`: from kind and id.
    pub fn name_things(&mut self, name: &impl Fn(&'static str, &str) -> Option<String>) {
        self.parts.iter_mut().for_each(|part| part.name_things(name));
    }

    fn write(&self, text: &mut String, units: Units) {
        let mut parts = self.parts.iter();
        let mut fixed = self.template.split("{}");
        push(text, fixed.next().unwrap_or_default());
        for after in fixed {
            if let Some(part) = parts.next() {
                part.write(text, units);
            }
            push(text, after);
        }
    }
}

/// Adds text, with a capital at the beginning of a sentence.
fn push(text: &mut String, words: &str) {
    let begins = text.is_empty() || text.ends_with(". ");
    if begins { text.push_str(&capital(words)) } else { text.push_str(words) }
}

/// The same text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

impl Part {
    /// Several, the last after `and`.
    pub fn all<P: Into<Self>>(parts: impl IntoIterator<Item = P>) -> Self {
        Self::List(parts.into_iter().map(Into::into).collect(), "and")
    }

    /// Several, the last after `or`.
    pub fn any<P: Into<Self>>(parts: impl IntoIterator<Item = P>) -> Self {
        Self::List(parts.into_iter().map(Into::into).collect(), "or")
    }

    /// Its fixed English: the words of a text that nobody typed, or the template of a sentence.
    pub fn fixed(&self) -> Option<&'static str> {
        match self {
            Self::Words(Cow::Borrowed(words)) => Some(words),
            Self::Statement(sentence) => Some(sentence.template),
            _ => None,
        }
    }

    fn first_named(&self) -> Option<&Named> {
        match self {
            Self::Named(thing) => Some(thing),
            Self::List(parts, _) => parts.iter().find_map(Self::first_named),
            Self::Statement(sentence) => sentence.first_named(),
            Self::Amount(_) | Self::Words(_) => None,
        }
    }

    fn name_things(&mut self, name: &impl Fn(&'static str, &str) -> Option<String>) {
        match self {
            Self::Named(thing) => thing.name = name(thing.kind, &thing.id),
            Self::List(parts, _) => parts.iter_mut().for_each(|part| part.name_things(name)),
            Self::Statement(sentence) => sentence.name_things(name),
            Self::Amount(_) | Self::Words(_) => {}
        }
    }

    fn write(&self, text: &mut String, units: Units) {
        match self {
            Self::Amount(quantity) => push(text, &quantity.text(units)),
            Self::Named(thing) => push(text, &thing.text()),
            Self::Words(words) => push(text, words),
            Self::Statement(sentence) => sentence.write(text, units),
            Self::List(parts, last) => {
                for (number, part) in parts.iter().enumerate() {
                    match number {
                        0 => {}
                        _ if number + 1 == parts.len() => text.push_str(&format!(" {last} ")),
                        _ => text.push_str(", "),
                    }
                    part.write(text, units);
                }
            }
        }
    }
}

impl Named {
    /// Name before id: `Forward bilge pump (C06)`; kind and id where there is no name.
    pub fn text(&self) -> String {
        match &self.name {
            Some(name) => format!("{name} ({})", self.id),
            None => format!("{} {}", self.kind, self.id),
        }
    }
}

impl Serialize for Statement {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text(Units::Metric))
    }
}

/// Converts a value to a part.
macro_rules! parts {
    ($($from:ty, $value:ident => $part:expr;)+) => {$(
        impl From<$from> for Part {
            fn from($value: $from) -> Self {
                $part
            }
        }
    )+};
}

parts! {
    Amount, quantity => Self::Amount(quantity);
    Named, thing => Self::Named(thing);
    Statement, sentence => Self::Statement(sentence);
    &'static str, words => Self::Words(Cow::Borrowed(words));
    String, words => Self::Words(Cow::Owned(words));
    Size, size => Self::Words(Cow::Owned(size.to_string()));
    Insulation, insulation => Self::Words(Cow::Owned(format!("{}\u{b0}C", insulation.to_string().trim_end_matches('C'))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::units::{amps, meters};

    fn circuit(name: Option<&str>) -> Named {
        Named { kind: "circuit", id: "C06".to_owned(), name: name.map(str::to_owned) }
    }

    #[test]
    fn a_statement_becomes_text_in_the_units_of_the_shop() {
        let short = say!("{} entered; the route needs {}.", meters(3.0), meters(3.9624));
        assert_eq!(short.text(Units::Us), "9 ft 10 1/8 in entered; the route needs 13 ft.");
        assert_eq!(short.text(Units::Metric), "3.0 m entered; the route needs 3.96 m.");
        assert_eq!(serde_json::to_value(&short).unwrap(), "3.0 m entered; the route needs 3.96 m.");
    }

    #[test]
    fn names_come_before_ids_and_kinds_stand_in_for_them() {
        let mut said = say!("{} feeds {}.", circuit(None), Part::all([circuit(None)]));
        assert_eq!(said.text(Units::Us), "Circuit C06 feeds circuit C06.");
        said.name_things(&|kind, id| (kind == "circuit" && id == "C06").then(|| "bilge pump".to_owned()));
        assert_eq!(said.text(Units::Us), "Bilge pump (C06) feeds bilge pump (C06).");
        assert_eq!(say!("{}", circuit(Some("Bilge pump"))).text(Units::Us), "Bilge pump (C06)");
    }

    #[test]
    fn several_are_listed_and_the_next_sentence_begins_with_a_capital() {
        let ratings = |all: &[f64]| Part::any(all.iter().copied().map(amps));
        let text = |all| say!("Fit {}.", ratings(all)).text(Units::Us);
        assert_eq!(text(&[5.0]), "Fit 5 A.");
        assert_eq!(text(&[5.0, 7.5]), "Fit 5 A or 7.5 A.");
        assert_eq!(text(&[5.0, 7.5, 10.0]), "Fit 5 A, 7.5 A or 10 A.");
        let two = say!("It is {}.", "red").then(say!("{} is better.", "black"));
        assert_eq!(two.text(Units::Us), "It is red. Black is better.");
    }

    #[test]
    fn what_somebody_typed_is_never_read_as_a_gap() {
        assert_eq!(say!("{} is {}.", "{} {}".to_owned(), "blue").text(Units::Us), "{} {} is blue.");
        assert_eq!(gaps("{} and {}, {x}"), 2);
    }
}
