//! A figure of a circuit or feeder that opens on its working.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::trade::finding::Level;
use crate::trade::working::WorkingText;
use crate::web::parts::finding::LevelMark;

/// A figure with its name, its limit, and its workings.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "circuit/figured.html")]
pub struct Figured {
    name: &'static str,
    value: Option<String>,
    against: Option<String>,
    mark: Option<LevelMark>,
    workings: Vec<WorkingText>,
}

impl HtmlSafe for Figured {}

impl Figured {
    /// A figure by its name; `None` if it could not be calculated.
    pub fn new(name: &'static str, value: Option<String>) -> Self {
        Self { name, value, against: None, mark: None, workings: Vec::new() }
    }

    /// The same figure with its limit, in plain text.
    pub fn against(self, limit: Option<String>) -> Self {
        Self { against: limit, ..self }
    }

    /// The same figure with the level of the finding about it.
    pub fn marked(self, level: Option<Level>) -> Self {
        Self { mark: level.map(LevelMark), ..self }
    }

    /// The same figure with its workings.
    pub fn by(self, workings: impl IntoIterator<Item = WorkingText>) -> Self {
        Self { workings: workings.into_iter().collect(), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::quantity::Quantity;
    use crate::trade::source::RULE_21;
    use crate::trade::units::Units;
    use crate::trade::working::Working;

    #[test]
    fn a_figure_opens_on_its_formula_numbers_and_source() {
        let working = Working {
            what: Quantity::HandbookDrop,
            formula: "E = K I L / CM",
            numbers: "10.75 x 5 A x 30 ft / 4110 CM".into(),
            result: "0.392 V".into(),
            source: &RULE_21,
        };
        let html =
            Figured::new("Drop", Some("0.392 V".to_owned())).by([working.text(Units::Us)]).render().unwrap();
        for part in ["<details", "E = K I L / CM", "10.75 x 5 A", "rule 21", "checked against the text"] {
            assert!(html.contains(part), "{part}: {html}");
        }
    }

    #[test]
    fn a_figure_that_could_not_be_computed_says_so() {
        assert!(Figured::new("Drop", None).render().unwrap().contains("not computed"));
    }
}
