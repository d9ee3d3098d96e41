//! A figure of a list or table that opens in place on how it was come by.
//!
//! The figure is a button and its working a popover of the page's own: it works without script, closes by
//! Escape or a tap beside it, and takes no room in the table.

use std::fmt;

use askama::Template;
use askama::filters::HtmlSafe;

use super::piece::Figure;
use crate::trade::working::Working;

/// A figure with its workings behind it.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/opens.html")]
pub struct Opens {
    id: String,
    name: String,
    value: Figure,
    workings: Vec<Working>,
}

impl HtmlSafe for Opens {}

impl Opens {
    /// A figure by an id that no other on the page has, and what it is in words: `C01, drop`. `None` where none
    /// of `workings` is called one of `what`: such a figure does not open.
    pub fn new(
        id: impl fmt::Display,
        name: impl fmt::Display,
        value: Figure,
        workings: &[Working],
        what: &[&str],
    ) -> Option<Self> {
        let own = workings.iter().filter(|working| what.contains(&working.what));
        let workings: Vec<Working> = own.cloned().collect();
        let (id, name) = (id.to_string(), name.to_string());
        (!workings.is_empty()).then_some(Self { id, name, value, workings })
    }
}

/// A figure of a row: one that opens where it was worked out, else as it stands.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(
    source = "{% match self %}{% when Self::Worked(opens) %}{{ opens }}{% when Self::Plain(value) %}{{ value }}{% endmatch %}",
    ext = "html"
)]
pub enum Cell {
    /// It opens.
    Worked(Opens),
    /// It stands in the plan.
    Plain(Figure),
}

impl HtmlSafe for Cell {}

impl Cell {
    /// A figure of the thing `of`, called `name`, with those of its workings that are called one of `what`.
    pub fn new(of: &str, name: &str, value: Figure, workings: &[Working], what: &[&str]) -> Self {
        let id = format!("{of}-{}", name.replace(' ', "-"));
        Opens::new(id, format!("{of}, {name}"), value.clone(), workings, what)
            .map_or(Self::Plain(value), Self::Worked)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::source::RULE_21;

    #[test]
    fn a_figure_opens_without_script_and_one_without_a_working_stands_as_it_is() {
        let working = Working {
            what: "voltage drop",
            formula: "E = K I L / CM",
            numbers: "10.75 x 5 A x 30 ft / 4110 CM".to_owned(),
            result: "0.392 V".to_owned(),
            source: &RULE_21,
        };
        let cell = |what: &str| {
            let value = Figure::rounded(3.27, 1, "%");
            Cell::new("C01", "drop", value, std::slice::from_ref(&working), &[what]).render().unwrap()
        };
        let html = cell("voltage drop");
        for part in ["popovertarget=\"how-C01-drop\"", "id=\"how-C01-drop\" popover", "E = K I L", "rule 21"]
        {
            assert!(html.contains(part), "{part}: {html}");
        }
        assert!(!cell("design current").contains("<button"));
    }
}
