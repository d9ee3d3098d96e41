//! What stands on the labels at both ends of every wire and factory cable.
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

use super::cable::{self, Cable, CableEnd};
use super::color;
use super::finding::Finding;
use super::plan::{Plan, Polarity};
use super::subject::{Subject, SubjectKind};
use super::value::{DeviceId, LocationId};
use super::wiring::{Conductor, ConductorId, Conductors, End, Landing, Of};
use crate::trade::conductor::Size;
use crate::trade::finding::{self, Code};

/// What a label goes on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Labeled {
    /// A wire.
    Conductor(ConductorId),
    /// The factory cable of a device.
    Cable(DeviceId),
}

impl Labeled {
    /// Its id.
    pub fn as_str(&self) -> &str {
        match self {
            Self::Conductor(id) => id.as_str(),
            Self::Cable(device) => device.as_str(),
        }
    }

    fn subject(&self) -> Subject {
        match self {
            Self::Conductor(id) => Subject::new(SubjectKind::Conductor, id),
            Self::Cable(device) => Subject::new(SubjectKind::Cable, device),
        }
    }
}

/// Where the end that a label goes on comes to lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum At {
    /// On a point or device.
    Landing(Landing),
    /// At a location, and what it is plugged into there is not told.
    Location(LocationId),
}

impl At {
    /// The location, if the plan has the point or device.
    pub fn location<'a>(&'a self, plan: &'a Plan) -> Option<&'a LocationId> {
        match self {
            Self::Landing(landing) => landing.location(plan),
            Self::Location(id) => Some(id),
        }
    }
}

/// The label at one end of a wire or factory cable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// What it says.
    pub text: String,
    /// The wire or cable.
    pub on: Labeled,
    /// The id of the end: `C01-3a`, `radar-a`.
    pub end: String,
    /// Where that end comes to lie.
    pub at: At,
    /// Whether the rule says more than the label takes.
    pub shortened: bool,
    /// Whether a number tells it from a label that the rule words the same.
    pub numbered: bool,
}

impl Label {
    /// Which end it is: `a` or `b`.
    pub fn side(&self) -> &str {
        self.end.split_at_checked(self.end.len().saturating_sub(1)).map_or("", |(_, side)| side)
    }
}

/// The labels of a plan, two for each wire, the end nearer the source first, in the plan's order; then two for
/// each factory cable, its device's end first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Labels {
    all: Vec<Label>,
}

impl Labels {
    /// Words the labels of these conductors and of the plan's factory cables; `size` tells the size of a wire, as it was given or chosen.
    pub fn of(
        plan: &Plan,
        conductors: &Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
        rule: &Rule,
        limit: Limit,
    ) -> Self {
        let mut press = Press { limit, taken: HashMap::new(), all: Vec::new() };
        for conductor in conductors.all() {
            let teller = Teller { plan, conductor, size: size(conductor) };
            let ends = conductor.ends();
            let [near, far] = &ends;
            let texts = [teller.told(rule, near, far), teller.told(rule, far, near)];
            let ends = ends.map(|end| (end.id, At::Landing(end.at)));
            press.word(&Labeled::Conductor(conductor.id.clone()), texts, ends);
        }
        for cable in cable::all(plan) {
            let teller = CableTeller { plan, cable };
            let texts = [0, 1].map(|here| rule.fill(|word| teller.said(word, here)));
            let landed = At::Landing(Landing::Device(cable.device.id.clone()));
            let [near, far] = cable.ends().map(|end| end.id);
            let ends = [(near, landed), (far, At::Location(cable.made.to.clone()))];
            press.word(&Labeled::Cable(cable.device.id.clone()), texts, ends);
        }
        Self { all: press.all }
    }

    /// All of them.
    pub fn all(&self) -> &[Label] {
        &self.all
    }

    /// The label of an end of a wire, by the end's id: `C01-3a`.
    pub fn get(&self, end: &str) -> Option<&Label> {
        let of_wire = |label: &&Label| matches!(label.on, Labeled::Conductor(_)) && label.end == end;
        self.all.iter().find(of_wire)
    }

    /// Both labels of a device's factory cable, the device's end first.
    pub fn of_cable<'a>(&'a self, device: &'a str) -> impl Iterator<Item = &'a Label> {
        let own = move |label: &&Label| matches!(&label.on, Labeled::Cable(id) if id.as_str() == device);
        self.all.iter().filter(own)
    }

    /// What there is to say of them: where only a number tells two wires apart.
    pub fn findings(&self) -> Vec<Finding> {
        let numbered = self.all.iter().filter(|label| label.numbered);
        let finding = |label: &Label| {
            let text = format!(
                "The label rule words the end {} like another wire's: it is told apart as '{}'. A rule with \
                 {{wire}} in front, or a larger label, would tell them apart itself.",
                label.end, label.text
            );
            Finding::about(label.on.subject(), finding::Finding::new(Code::LabelsAlike, text))
        };
        numbered.map(finding).collect()
    }
}

/// Labels as they are worded, one after another.
struct Press {
    limit: Limit,
    /// Every text there is, capitals aside, with the last number that followed it.
    taken: HashMap<String, usize>,
    all: Vec<Label>,
}

impl Press {
    /// Words both labels of one thing. Where the rule says the same at both ends, so do they.
    fn word(&mut self, on: &Labeled, texts: [rule::Filled<'_>; 2], ends: [(String, At); 2]) {
        let one_text = texts[0].text() == texts[1].text();
        for (filled, (end, at)) in texts.into_iter().zip(ends) {
            let twin = self.all.last().filter(|label| one_text && label.on == *on);
            let label = match twin {
                Some(twin) => Label { end, at, ..twin.clone() },
                None => self.worded(filled, on, end, at),
            };
            self.all.push(label);
        }
    }

    /// A text that no other label has yet, which it takes.
    fn worded(&mut self, filled: rule::Filled<'_>, on: &Labeled, end: String, at: At) -> Label {
        let limit = self.limit.characters();
        let shortened = rule::length(&filled.text()) > limit;
        let plain = filled.shortened(limit);
        let mut number = self.taken.get(&plain.to_lowercase()).copied().unwrap_or(0);
        let text = loop {
            number += 1;
            let text = numbered(&plain, number, limit);
            if !self.taken.contains_key(&text.to_lowercase()) {
                break text;
            }
        };
        self.taken.insert(text.to_lowercase(), 1);
        self.taken.insert(plain.to_lowercase(), number);
        Label { text, on: on.clone(), end, at, shortened, numbered: number > 1 }
    }
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
            Word::Location => self.location(&far.at),
            Word::Name => self.name(),
            Word::Size => self.size.map_or_else(String::new, |size| size.to_string()),
            Word::Color => color::of(self.plan, self.conductor).to_owned(),
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

    fn location(&self, at: &Landing) -> String {
        let location = at.location(self.plan).and_then(|id| self.plan.location(id));
        location.map_or_else(String::new, |location| location.name.to_string())
    }

    fn name(&self) -> String {
        match &self.conductor.of {
            Of::Circuit(id) => self.plan.circuit(id).map_or_else(String::new, |own| own.name.to_string()),
            Of::Feeder(_) => String::new(),
        }
    }
}

/// What the words of a rule say of a factory cable: it is called after its device, and has no size and no color
/// that the shop chose.
struct CableTeller<'a> {
    plan: &'a Plan,
    cable: Cable<'a>,
}

impl CableTeller<'_> {
    fn said(&self, word: Word, here: usize) -> String {
        let [own, other] = self.ends(here);
        match word {
            Word::Wire | Word::Circuit => self.cable.id().to_owned(),
            Word::End => own.id.strip_prefix(self.cable.id()).unwrap_or_default().to_owned(),
            Word::Here => self.at(here).to_owned(),
            Word::Far => self.at(1 - here).to_owned(),
            Word::FarName if here == 1 => self.cable.device.name.to_string(),
            Word::FarName | Word::Location => self.location(other.location),
            Word::Name => self.cable.made.kind.words().to_owned(),
            Word::Number | Word::Side | Word::Size | Word::Color => String::new(),
        }
    }

    /// The end in hand, and the other.
    fn ends(&self, here: usize) -> [CableEnd<'_>; 2] {
        let [device, far] = self.cable.ends();
        if here == 0 { [device, far] } else { [far, device] }
    }

    /// What an end is at, by id: its device, or the location it goes to.
    fn at(&self, end: usize) -> &str {
        if end == 0 { self.cable.id() } else { self.cable.made.to.as_str() }
    }

    fn location(&self, id: &LocationId) -> String {
        self.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string())
    }
}
