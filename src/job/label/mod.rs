//! What stands on the labels at both ends of every wire.
//!
//! The shop's [`Rule`] words each label. A text longer than the [`Limit`] of the chosen [`Stock`] is
//! shortened: what describes the wire gives way before what tells it. No text stands on two wires, capitals
//! or not: where the rule gives a text that an earlier wire of the plan has, `~2` or the next free number
//! follows it. Both ends of one wire may say the same, if the rule does not tell them apart. A circuit
//! that is added at the end of a plan leaves the labels that were printed before as they are.

mod own;
mod rule;
mod stock;

use std::collections::HashMap;

pub use own::{BadSheet, Measures, OwnSheet};
pub use rule::{BadRule, Rule, Word};
pub use stock::{ALL as STOCKS, Limit, Paper, Stock, StockKey};

use super::colour;
use super::finding::Finding;
use super::plan::{Plan, Polarity};
use super::subject::{Kind, Subject};
use super::wiring::{Conductor, ConductorId, Conductors, End, Landing, Of};
use crate::trade::conductor::Size;
use crate::trade::finding::{self, Code};

/// The label at one end of a wire.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// What it says.
    pub text: String,
    /// The wire.
    pub conductor: ConductorId,
    /// The end it goes on.
    pub end: End,
    /// Whether the rule says more than the label takes.
    pub shortened: bool,
    /// Whether a number tells it from a label that the rule words the same.
    pub numbered: bool,
}

/// The labels of a plan, two for each wire, the end nearer the source first, in the plan's order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Labels {
    all: Vec<Label>,
}

impl Labels {
    /// Words the labels of these conductors; `size` tells the size of a wire, as it was given or chosen.
    pub fn of(
        plan: &Plan,
        conductors: &Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
        rule: &Rule,
        limit: Limit,
    ) -> Self {
        let mut all: Vec<Label> = Vec::new();
        let mut taken = HashMap::new();
        for conductor in conductors.all() {
            let teller = Teller { plan, conductor, size: size(conductor) };
            let [near, far] = conductor.ends();
            let texts = [teller.told(rule, &near, &far), teller.told(rule, &far, &near)];
            let one_text = texts[0].text() == texts[1].text();
            for (filled, end) in texts.into_iter().zip([near, far]) {
                let twin = all.last().filter(|label| one_text && label.conductor == conductor.id);
                let label = match twin {
                    Some(twin) => Label { end, ..twin.clone() },
                    None => worded(filled, conductor, end, limit, &mut taken),
                };
                all.push(label);
            }
        }
        Self { all }
    }

    /// All of them.
    pub fn all(&self) -> &[Label] {
        &self.all
    }

    /// The label of an end, by the end's id: `C01-3a`.
    pub fn get(&self, end: &str) -> Option<&Label> {
        self.all.iter().find(|label| label.end.id == end)
    }

    /// What there is to say of them: where only a number tells two wires apart.
    pub fn findings(&self) -> Vec<Finding> {
        let numbered = self.all.iter().filter(|label| label.numbered);
        let finding = |label: &Label| {
            let text = format!(
                "The label rule words the end {} like another wire's: it is told apart as '{}'. A rule with \
                 {{wire}} in front, or a larger label, would tell them apart itself.",
                label.end.id, label.text
            );
            let subject = Subject::new(Kind::Conductor, &label.conductor);
            Finding::about(subject, finding::Finding::new(Code::LabelsAlike, text))
        };
        numbered.map(finding).collect()
    }
}

/// A text that no other label has yet, which it takes. `taken` keeps every text there is, capitals aside,
/// with the last number that followed it.
fn worded(
    filled: rule::Filled<'_>,
    conductor: &Conductor,
    end: End,
    limit: Limit,
    taken: &mut HashMap<String, usize>,
) -> Label {
    let limit = limit.characters();
    let shortened = rule::length(&filled.text()) > limit;
    let plain = filled.shortened(limit);
    let mut number = taken.get(&plain.to_lowercase()).copied().unwrap_or(0);
    let text = loop {
        number += 1;
        let text = numbered(&plain, number, limit);
        if !taken.contains_key(&text.to_lowercase()) {
            break text;
        }
    };
    taken.insert(text.to_lowercase(), 1);
    taken.insert(plain.to_lowercase(), number);
    Label { text, conductor: conductor.id.clone(), end, shortened, numbered: number > 1 }
}

/// A text with its number, if it is not the first of its kind, within a limit.
fn numbered(plain: &str, number: usize, limit: usize) -> String {
    if number == 1 {
        return plain.to_owned();
    }
    let mark = format!("~{number}");
    rule::cut(plain, limit.saturating_sub(rule::length(&mark))) + &mark
}

/// What the words of a rule say of one wire.
struct Teller<'a> {
    plan: &'a Plan,
    conductor: &'a Conductor,
    size: Option<Size>,
}

impl Teller<'_> {
    fn told<'r>(&self, rule: &'r Rule, here: &End, far: &End) -> rule::Filled<'r> {
        rule.fill(|word| self.said(word, here, far))
    }

    fn said(&self, word: Word, here: &End, far: &End) -> String {
        let wire = self.conductor.id.as_str();
        match word {
            Word::Wire => wire.to_owned(),
            Word::Circuit => self.circuit().to_owned(),
            Word::Number => wire.strip_prefix(self.circuit()).unwrap_or_default().replace('-', ""),
            Word::End => here.id.strip_prefix(wire).unwrap_or_default().to_owned(),
            Word::Side => self.side().to_owned(),
            Word::Here => here.at.to_string(),
            Word::Far => far.at.to_string(),
            Word::FarName => self.called(&far.at),
            Word::Place => self.place(&far.at),
            Word::Name => self.name(),
            Word::Size => self.size.map_or_else(String::new, |size| size.to_string()),
            Word::Colour => colour::of(self.plan, self.conductor).to_owned(),
        }
    }

    fn circuit(&self) -> &str {
        match &self.conductor.of {
            Of::Circuit(id) => id.as_str(),
            Of::Feeder(id) => id.as_str(),
        }
    }

    fn side(&self) -> &'static str {
        match self.conductor.polarity {
            Polarity::Positive => "+",
            Polarity::Negative => "-",
        }
    }

    fn called(&self, at: &Landing) -> String {
        let name = match at {
            Landing::Device(id) => self.plan.device(id).map(|device| device.name.as_str()),
            Landing::Point { id, .. } => self.plan.point(id).map(|point| point.called()),
        };
        name.unwrap_or(at.id()).to_owned()
    }

    fn place(&self, at: &Landing) -> String {
        let place = at.place(self.plan).and_then(|id| self.plan.place(id));
        place.map_or_else(String::new, |place| place.name.to_string())
    }

    fn name(&self) -> String {
        match &self.conductor.of {
            Of::Circuit(id) => self.plan.circuit(id).map_or_else(String::new, |own| own.name.to_string()),
            Of::Feeder(_) => String::new(),
        }
    }
}
