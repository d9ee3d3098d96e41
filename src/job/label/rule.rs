//! The one rule for the text of a shop's labels: plain text with placeholders in braces.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The most characters a rule may have.
const LONGEST: usize = 120;

/// Declares the placeholders that a rule may use. Each has its name, its meaning, and whether it is shortened
/// first when the label is too short.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $yields:ident, $says:literal;)+) => {
        /// A placeholder in a rule. Each label replaces it with a value of its own wire.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Word { $($(#[$doc])* $name,)+ }

        impl Word {
            /// Every placeholder. Those that identify the wire come first.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The name of the placeholder, as written between the braces.
            pub fn text(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }

            /// What a label shows instead of it.
            pub fn says(self) -> &'static str {
                match self { $(Self::$name => $says,)+ }
            }

            /// Whether it is shortened, and finally left out, before the text that identifies the wire.
            pub fn gives_way(self) -> bool {
                match self { $(Self::$name => words!(@$yields),)+ }
            }
        }
    };
    (@stays) => { false };
    (@yields) => { true };
}

words! {
    /// The conductor's id.
    Wire = "wire", stays, "the wire: C01-3, a feeder's label, or a cable's id";
    /// The circuit's or feeder's id.
    Circuit = "circuit", stays, "the circuit: C01, a feeder's label, or a cable's id";
    /// The conductor's number within its circuit.
    Number = "n", stays, "the number of the wire in its circuit: 3; a feeder or cable has none";
    /// The end of the wire: `a` or `b`.
    End = "end", stays, "a at the end nearer the battery, b at the other; -a at the device of a cable, -b at its other end";
    /// The polarity.
    Side = "side", stays, "+ or -, the side of the supply";
    /// The id of what this end lands on.
    Here = "here", yields, "where this end lands, by its id: fb1, panel 3";
    /// The id of what the other end lands on.
    Far = "far", yields, "where the other end lands, by its id: nav";
    /// The name of what the other end lands on.
    FarName = "far-name", yields, "what the other end lands on, by its name: Sidelights";
    /// The location of the other end.
    Location = "location", yields, "the location of the other end, by its name: Bow deck";
    /// The circuit's name.
    Name = "name", yields, "the circuit's name: Navigation lights; the kind of a cable; a feeder has none";
    /// The conductor's size.
    Size = "size", yields, "the size of the wire: 14 AWG";
    /// The conductor's color.
    Color = "color", yields, "the color of the wire: dark gray";
}

/// A rule that cannot give the text of a label.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadRule {
    /// The text in braces is not a known placeholder.
    #[error("'{{{word}}}' is no word of a label rule: expected one of {}", known())]
    UnknownWord {
        /// The text between the braces.
        word: String,
    },
    /// An opening brace without its closing one.
    #[error("'{rest}' opens a brace and does not close it: expected a word in braces, such as {{wire}}")]
    Unclosed {
        /// The rule from that brace on.
        rest: String,
    },
    /// A closing brace without its opening one.
    #[error("'{before}}}' closes a brace that is not open: expected a word in braces, such as {{wire}}")]
    Unopened {
        /// The text before it.
        before: String,
    },
    /// The rule has no placeholder that differs from wire to wire.
    #[error("'{rule}' does not tell one wire from another: expected {{wire}} or {{circuit}} in it")]
    TellsNoWire {
        /// The rule.
        rule: String,
    },
    /// The rule is empty or too long, or has a character that cannot be printed.
    #[error("'{rule}' is not valid here: expected one line of 1 to {LONGEST} characters")]
    NotOneLine {
        /// The rule.
        rule: String,
    },
}

fn known() -> String {
    Word::ALL.iter().map(|word| format!("{{{}}}", word.text())).collect::<Vec<_>>().join(", ")
}

/// A rule for the text of labels, such as `{circuit}-{n} {far}`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Rule {
    text: String,
    /// Each placeholder with the text before it.
    parts: Vec<(String, Word)>,
    tail: String,
}

impl Default for Rule {
    /// The id of the end, which is unique, and what the other end lands on.
    fn default() -> Self {
        Self {
            text: "{wire}{end} {far}".to_owned(),
            parts: vec![(String::new(), Word::Wire), (String::new(), Word::End), (" ".to_owned(), Word::Far)],
            tail: String::new(),
        }
    }
}

impl Rule {
    /// The rule as it is written.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Fills in every placeholder.
    pub(super) fn fill(&self, say: impl Fn(Word) -> String) -> Filled<'_> {
        let values = self.parts.iter().map(|(lead, word)| (lead.as_str(), *word, say(*word)));
        Filled { parts: values.collect(), tail: &self.tail }
    }
}

impl FromStr for Rule {
    type Err = BadRule;

    fn from_str(text: &str) -> Result<Self, BadRule> {
        let text = text.trim();
        let length = text.chars().count();
        if !(1..=LONGEST).contains(&length) || text.chars().any(char::is_control) {
            return Err(BadRule::NotOneLine { rule: text.to_owned() });
        }
        let (parts, tail) = parse(text)?;
        let tells = |word: &Word| matches!(word, Word::Wire | Word::Circuit);
        if !parts.iter().any(|(_, word)| tells(word)) {
            return Err(BadRule::TellsNoWire { rule: text.to_owned() });
        }
        Ok(Self { text: text.to_owned(), parts, tail })
    }
}

fn parse(text: &str) -> Result<(Vec<(String, Word)>, String), BadRule> {
    let (mut parts, mut rest) = (Vec::new(), text);
    while let Some((lead, from)) = rest.split_once('{') {
        no_closing(lead)?;
        let (word, after) =
            from.split_once('}').ok_or_else(|| BadRule::Unclosed { rest: format!("{{{from}") })?;
        let known = Word::ALL.iter().copied().find(|known| known.text() == word);
        let known = known.ok_or_else(|| BadRule::UnknownWord { word: word.to_owned() })?;
        parts.push((lead.to_owned(), known));
        rest = after;
    }
    no_closing(rest)?;
    Ok((parts, rest.to_owned()))
}

fn no_closing(text: &str) -> Result<(), BadRule> {
    match text.split_once('}') {
        Some((before, _)) => Err(BadRule::Unopened { before: before.to_owned() }),
        None => Ok(()),
    }
}

impl TryFrom<String> for Rule {
    type Error = BadRule;

    fn try_from(text: String) -> Result<Self, BadRule> {
        text.parse()
    }
}

impl From<Rule> for String {
    fn from(rule: Rule) -> Self {
        rule.text
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}

/// A rule with the value of each placeholder for one end of one wire.
pub(super) struct Filled<'a> {
    parts: Vec<(&'a str, Word, String)>,
    tail: &'a str,
}

impl Filled<'_> {
    /// The full text. A placeholder without a value is left out together with the text before it. The first such
    /// placeholder also leaves out the text after it.
    pub(super) fn text(&self) -> String {
        let (mut text, mut skipped) = (String::new(), false);
        for (lead, _, value) in &self.parts {
            if value.is_empty() {
                skipped = true;
                continue;
            }
            if !(skipped && text.is_empty()) {
                text.push_str(lead);
            }
            text.push_str(value);
        }
        text.push_str(self.tail);
        one_spaced(&text)
    }

    /// The text in at most `limit` characters. The part that describes the wire is shortened first: the longest
    /// value, one letter at a time from its end. The part that identifies the wire is cut last.
    pub(super) fn shortened(mut self, limit: usize) -> String {
        while length(&self.text()) > limit {
            let yields = |(_, word, value): &&mut (&str, Word, String)| word.gives_way() && !value.is_empty();
            // Of two values of equal length, the earlier is shortened.
            let longest =
                self.parts.iter_mut().rev().filter(yields).max_by_key(|(_, _, value)| length(value));
            let Some((_, _, value)) = longest else { return cut(&self.text(), limit) };
            value.pop();
            value.truncate(value.trim_end().len());
        }
        self.text()
    }
}

/// How many characters a text has.
pub(super) fn length(text: &str) -> usize {
    text.chars().count()
}

/// The first `limit` characters, without a space at the end.
pub(super) fn cut(text: &str, limit: usize) -> String {
    text.chars().take(limit).collect::<String>().trim_end().to_owned()
}

fn one_spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(rule: &str, limit: usize) -> String {
        let rule: Rule = rule.parse().unwrap();
        let say = |word| {
            match word {
                Word::Wire => "C01-3",
                Word::Circuit => "C01",
                Word::Far => "panel 3",
                Word::Name => "Navigation lights",
                _ => "",
            }
            .to_owned()
        };
        rule.fill(say).shortened(limit)
    }

    #[test]
    fn words_stand_for_what_the_wire_has() {
        assert_eq!(said("{wire} to {far}", 30), "C01-3 to panel 3");
        assert_eq!(said("{circuit}-{n} {far}", 30), "C01 panel 3", "an empty word takes its dash along");
        assert_eq!(said("{n}/{circuit}", 30), "C01", "and the first its own");
    }

    #[test]
    fn descriptive_parts_are_left_out_first_the_longest_of_them_first() {
        assert_eq!(said("{wire} {name} {far}", 20), "C01-3 Naviga panel 3");
        assert_eq!(said("{name} {wire}", 12), "Naviga C01-3");
        assert_eq!(said("{name} {wire}", 5), "C01-3");
        assert_eq!(said("{wire} {far}", 4), "C01-", "what tells the wire is cut last");
    }

    #[test]
    fn a_rule_that_cannot_make_a_label_says_why() {
        let refused = |rule: &str| rule.parse::<Rule>().unwrap_err().to_string();
        assert!(
            refused("{wire} {wibble}")
                .starts_with("'{wibble}' is no word of a label rule: expected one of {wire}, {circuit}")
        );
        assert_eq!(
            refused("{wire} {far"),
            "'{far' opens a brace and does not close it: expected a word in braces, such as {wire}"
        );
        assert_eq!(
            refused("wire} a"),
            "'wire}' closes a brace that is not open: expected a word in braces, such as {wire}"
        );
        assert_eq!(
            refused("Boat {far}"),
            "'Boat {far}' does not tell one wire from another: expected {wire} or {circuit} in it"
        );
        assert_eq!(refused(" "), "'' is not valid here: expected one line of 1 to 120 characters");
        assert!("{wire}\u{7}".parse::<Rule>().is_err() && "{wire}".repeat(21).parse::<Rule>().is_err());
    }

    #[test]
    fn the_usual_rule_is_what_its_text_says() {
        assert_eq!(Rule::default().as_str().parse(), Ok(Rule::default()));
    }
}
