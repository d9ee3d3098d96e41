//! The one rule by which a shop's labels are worded: plain text with words in braces.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The most characters a rule may have.
const LONGEST: usize = 120;

/// Declares the words a rule may use: how each is written, what it says, and whether it gives way
/// where the label is too short for all of it.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $yields:ident, $says:literal;)+) => {
        /// A word of a rule, in the place of which each label has something of its own wire.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Word { $($(#[$doc])* $name,)+ }

        impl Word {
            /// Every word, those that tell the wire first.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The word as it stands between the braces.
            pub fn text(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }

            /// What a label has in its place.
            pub fn says(self) -> &'static str {
                match self { $(Self::$name => $says,)+ }
            }

            /// Whether it is shortened, and at last left out, before what tells the wire is.
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
    /// Which end it is.
    End = "end", stays, "a at the end nearer the battery, b at the other; -a at the device of a cable, -b at its other end";
    /// The side of the supply.
    Side = "side", stays, "+ or -, the side of the supply";
    /// Where this end lands.
    Here = "here", yields, "where this end lands, by its id: fb1, panel 3";
    /// Where the other end lands.
    Far = "far", yields, "where the other end lands, by its id: nav";
    /// The name of what the other end lands on.
    FarName = "far-name", yields, "what the other end lands on, by its name: Side lights";
    /// The location of the other end.
    Location = "location", yields, "the location of the other end, by its name: Bow deck";
    /// The circuit's name.
    Name = "name", yields, "the circuit's name: Navigation lights; the kind of a cable; a feeder has none";
    /// The conductor's size.
    Size = "size", yields, "the size of the wire: 14 AWG";
    /// The conductor's color.
    Color = "color", yields, "the color of the wire: dark gray";
}

/// A rule that cannot word a label.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadRule {
    /// Braces around something that is no word of a rule.
    #[error("'{{{word}}}' is no word of a label rule: expected one of {}", known())]
    UnknownWord {
        /// What stands between the braces.
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
        /// What stands before it.
        before: String,
    },
    /// Nothing in the rule differs from wire to wire.
    #[error("'{rule}' does not tell one wire from another: expected {{wire}} or {{circuit}} in it")]
    TellsNoWire {
        /// The rule.
        rule: String,
    },
    /// More or less than a rule may have, or something that cannot be printed.
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
    /// Each word with the text before it.
    parts: Vec<(String, Word)>,
    tail: String,
}

impl Default for Rule {
    /// The end's id, which no other end has, and where the other end is.
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

    /// The text with something in the place of every word, and the length it may have.
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

/// A rule with what one end of one wire says in the place of each word.
pub(super) struct Filled<'a> {
    parts: Vec<(&'a str, Word, String)>,
    tail: &'a str,
}

impl Filled<'_> {
    /// The text in full. A word with nothing to say takes the text before it along, and the first
    /// one that does so the text behind it.
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

    /// The text in at most so many characters: what describes the wire gives way, the longest of it
    /// first and a letter at a time from its end; what tells the wire is cut last.
    pub(super) fn shortened(mut self, limit: usize) -> String {
        while length(&self.text()) > limit {
            let yields = |(_, word, value): &&mut (&str, Word, String)| word.gives_way() && !value.is_empty();
            // Of two as long the earlier gives way.
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

/// The first so many characters, without a space at the end.
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
    fn what_describes_gives_way_the_longest_first() {
        assert_eq!(said("{wire} {name} {far}", 20), "C01-3 Naviga panel 3");
        assert_eq!(said("{name} {wire}", 12), "Naviga C01-3");
        assert_eq!(said("{name} {wire}", 5), "C01-3");
        assert_eq!(said("{wire} {far}", 4), "C01-", "what tells the wire is cut last");
    }

    #[test]
    fn a_rule_that_cannot_word_a_label_says_why() {
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
