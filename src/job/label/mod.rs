//! The text of the labels at both ends of every piece.
//!
//! The shop's [`Rule`] gives the text of each label. If the text is longer than the [`Limit`] of the chosen
//! [`Stock`], the program shortens it. It shortens the part that describes the wire before the part that
//! identifies it.
//!
//! No two wires have the same text, even when case is ignored. If the rule gives a text that an earlier wire of
//! the plan already has, `~2` or the next free number follows it. Both ends of one wire may have the same text if
//! the rule does not distinguish them. A circuit that is added at the end of a plan does not change the labels
//! that were printed before.

mod own;
mod rule;
mod stock;

use foldhash::HashMap;

pub use own::{BadSheet, Measures, OwnSheet};
pub use rule::{BadRule, Rule, Word};
pub use stock::{ALL as STOCKS, Limit, Paper, Stock, StockKey};

use super::color;
use super::conductor::Conductor;
use super::finding::Finding;
use super::plan::{Plan, Polarity};
use super::run::{At, Piece, PieceEnd, Pieces};
use super::subject::Subject;
use super::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;

/// The label at one end of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Its text.
    pub text: String,
    /// The piece, as the subject of its steps.
    pub on: Subject,
    /// The id of the end: `C01-3a`, `radar-a`.
    pub end: String,
    /// What that end lands on.
    pub at: At,
    /// Whether the text of the rule is too long for the label.
    pub shortened: bool,
    /// Whether a number distinguishes it from another label with the same text.
    pub numbered: bool,
}

impl Label {
    /// Which end it is: `a` or `b`.
    pub fn side(&self) -> &str {
        self.end.split_at_checked(self.end.len().saturating_sub(1)).map_or("", |(_, side)| side)
    }
}

/// The labels of a plan, two for each of its pieces, in the order of the pieces and their ends.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Labels {
    all: Vec<Label>,
}

impl Labels {
    /// Makes the labels of a plan's pieces. `size` gives the size of a wire, entered or chosen.
    pub fn of(
        plan: &Plan,
        conductors: &Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
        rule: &Rule,
        limit: Limit,
    ) -> Self {
        let mut press = Press { limit, taken: HashMap::default(), all: Vec::new() };
        for piece in Pieces::of(plan, conductors).all() {
            let size = match piece {
                Piece::Wire(wire) => size(wire),
                Piece::Cable(_) => None,
            };
            let ends = piece.ends();
            let teller = Teller { plan, piece, size };
            let [near, far] = &ends;
            let texts = [[near, far], [far, near]]
                .map(|[here, there]| rule.fill(|word| teller.said(word, here, there)));
            press.word(&piece.subject(), texts, ends);
        }
        Self { all: press.all }
    }

    /// All of them.
    pub fn all(&self) -> &[Label] {
        &self.all
    }

    /// The label of an end, by the end's id: `C01-3a`, `radar-a`.
    pub fn get(&self, end: &str) -> Option<&Label> {
        self.all.iter().find(|label| label.end == end)
    }

    /// The findings: wires that only a number distinguishes.
    pub fn findings(&self) -> Vec<Finding> {
        let numbered = self.all.iter().filter(|label| label.numbered);
        let finding = |label: &Label| {
            let text = say!(
                "The label rule gives the end {} the same words as another wire: it now reads \u{2018}{}\u{2019}. Put \
                 {} first in the rule, or use a larger label.",
                label.end.clone(),
                label.text.clone(),
                "{wire}"
            );
            Finding::about(label.on.clone(), RuleFinding::new(Code::LabelsAlike, text))
        };
        numbered.map(finding).collect()
    }
}

/// Makes the texts of labels, one after another.
struct Press {
    limit: Limit,
    /// Every text so far, with case ignored, and the last number that followed it.
    taken: HashMap<String, usize>,
    all: Vec<Label>,
}

impl Press {
    /// Makes both labels of one piece. They are equal where the rule gives the same text at both ends.
    fn word(&mut self, on: &Subject, texts: [rule::Filled<'_>; 2], ends: [PieceEnd; 2]) {
        let one_text = texts[0].text() == texts[1].text();
        for (filled, PieceEnd { id: end, at, .. }) in texts.into_iter().zip(ends) {
            let twin = self.all.last().filter(|label| one_text && label.on == *on);
            let label = match twin {
                Some(twin) => Label { end, at, ..twin.clone() },
                None => self.worded(filled, on, end, at),
            };
            self.all.push(label);
        }
    }

    /// Gives this label a text that no other label has yet.
    fn worded(&mut self, filled: rule::Filled<'_>, on: &Subject, end: String, at: At) -> Label {
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

/// The text, shortened to a limit. A number follows it if it is not the first with this text.
fn numbered(plain: &str, number: usize, limit: usize) -> String {
    if number == 1 {
        return plain.to_owned();
    }
    let mark = format!("~{number}");
    rule::cut(plain, limit.saturating_sub(rule::length(&mark))) + &mark
}

/// The values of the rule's placeholders for one piece. A cable has no size and no color that the shop chose.
struct Teller<'a> {
    plan: &'a Plan,
    piece: Piece<'a>,
    size: Option<Size>,
}

impl Teller<'_> {
    fn said(&self, word: Word, here: &PieceEnd, far: &PieceEnd) -> String {
        let label = self.piece.label();
        match word {
            Word::Wire => label.to_owned(),
            Word::Circuit => self.run().to_owned(),
            Word::Number => label.strip_prefix(self.run()).unwrap_or_default().replace('-', ""),
            Word::End => here.label.strip_prefix(label).unwrap_or_default().to_owned(),
            Word::Side => self.side().to_owned(),
            Word::Here => here.at.to_string(),
            Word::Far => far.at.to_string(),
            Word::FarName => far.at.called(self.plan).to_owned(),
            Word::Location => far.at.location_name(self.plan).unwrap_or_default().to_owned(),
            Word::Name => self.name().to_owned(),
            Word::Size => self.size.map_or_else(String::new, |size| size.to_string()),
            Word::Color => self.color().to_owned(),
        }
    }

    /// The label of its circuit, of the feeder or of the cable itself.
    fn run(&self) -> &str {
        let circuit = self.piece.circuit().and_then(|id| self.plan.circuit(id));
        circuit.map_or(self.piece.label(), |circuit| circuit.label_text())
    }

    fn side(&self) -> &'static str {
        match self.piece.polarity() {
            Some(Polarity::Positive) => "+",
            Some(Polarity::Negative) => "-",
            None => "",
        }
    }

    /// The name of its circuit or of the cable.
    fn name(&self) -> &str {
        match self.piece {
            Piece::Wire(_) => {
                let circuit = self.piece.circuit().and_then(|id| self.plan.circuit(id));
                circuit.map_or("", |circuit| circuit.name.as_str())
            }
            Piece::Cable(own) => own.cable.kind.words(),
        }
    }

    fn color(&self) -> &str {
        match self.piece {
            Piece::Wire(wire) => color::of(self.plan, wire),
            Piece::Cable(_) => "",
        }
    }
}
