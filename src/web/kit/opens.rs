//! A figure of a list or table that opens in place to show how it was calculated.
//!
//! The figure is a button, and its working is a popover on the same page. It works without script, closes with
//! Escape or a tap beside it, and uses no space in the table.

use askama::Template;
use askama::filters::HtmlSafe;

use super::figure::Figure;
use crate::trade::quantity::Quantity;
use crate::trade::working::{Working, WorkingText};

/// A figure of a row. It opens if it was calculated; otherwise it is plain text.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/opens.html")]
pub struct Cell {
    id: String,
    name: String,
    value: Figure,
    workings: Vec<WorkingText>,
}

impl HtmlSafe for Cell {}

impl Cell {
    /// A figure called `name` of the thing `of`. The two together must be unique on a page. It opens on those of
    /// its workings that are of one of these quantities.
    pub fn new(of: &str, name: &str, value: Figure, workings: &[Working], what: &[Quantity]) -> Self {
        let own = workings.iter().filter(|working| what.contains(&working.what));
        Self::by(of, name, value, own.cloned())
    }

    /// The same with exactly these workings, in the units of the figure.
    pub fn by(of: &str, name: &str, value: Figure, workings: impl IntoIterator<Item = Working>) -> Self {
        let workings = workings.into_iter().map(|working| working.text(value.units())).collect();
        Self {
            id: format!("{of}-{name}").replace(char::is_whitespace, "-"),
            name: format!("{of}, {name}"),
            value,
            workings,
        }
    }
}

/// A sentence with figures in it, each of which may open.
#[derive(Debug, Clone, PartialEq, Default, Template)]
#[template(path = "partials/sentence.html")]
pub struct Sentence {
    parts: Vec<Part>,
}

impl HtmlSafe for Sentence {}

#[derive(Debug, Clone, PartialEq)]
enum Part {
    Words(String),
    Figure(Cell),
}

impl Sentence {
    /// The same sentence with this text added.
    pub fn words(mut self, words: impl Into<String>) -> Self {
        self.parts.push(Part::Words(words.into()));
        self
    }

    /// The workings of its figures.
    pub fn workings(&self) -> impl Iterator<Item = &WorkingText> {
        let figures = self.parts.iter().filter_map(|part| match part {
            Part::Words(_) => None,
            Part::Figure(figure) => Some(&figure.workings),
        });
        figures.flatten()
    }

    /// The same sentence with this figure added.
    pub fn figure(mut self, figure: Cell) -> Self {
        self.parts.push(Part::Figure(figure));
        self
    }

    /// The same sentence with another one after it.
    pub fn join(mut self, other: Self) -> Self {
        self.parts.extend(other.parts);
        self
    }
}

impl From<String> for Sentence {
    fn from(words: String) -> Self {
        Self::default().words(words)
    }
}

impl From<&str> for Sentence {
    fn from(words: &str) -> Self {
        Self::default().words(words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::source::RULE_21;

    #[test]
    fn a_figure_opens_without_script_and_one_without_a_working_is_plain_text() {
        let working = Working {
            what: Quantity::HandbookDrop,
            formula: "E = K I L / CM",
            numbers: "10.75 x 5 A x 30 ft / 4110 CM".into(),
            result: "0.392 V".into(),
            source: &RULE_21,
        };
        let cell = |what: Quantity| {
            let value = Figure::rounded(3.27, 1, "%");
            Cell::new("C01", "drop", value, std::slice::from_ref(&working), &[what]).render().unwrap()
        };
        let html = cell(Quantity::HandbookDrop);
        for part in ["popovertarget=\"how-C01-drop\"", "id=\"how-C01-drop\" popover", "E = K I L", "rule 21"]
        {
            assert!(html.contains(part), "{part}: {html}");
        }
        assert!(!cell(Quantity::DesignCurrent).contains("<button"));
    }
}
