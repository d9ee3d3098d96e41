//! The annex of a report. On paper nothing opens, so the workings of its figures are listed at the end, each once.
//! Their numbers are beside the figures.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::trade::working::WorkingText;
use crate::web::kit::opens::Sentence;

/// The workings of the figures of a report, numbered from 1.
#[derive(Debug, Default)]
pub struct Annex {
    workings: Vec<WorkingText>,
}

/// A sentence with the numbers of its figures' workings.
#[derive(Debug, Template)]
#[template(path = "report/cited.html")]
pub struct Cited {
    said: Sentence,
    numbers: String,
}

impl HtmlSafe for Cited {}

impl Annex {
    /// The same sentence with the numbers of its workings. New workings are added to the annex.
    pub fn cite(&mut self, said: Sentence) -> Cited {
        let mut numbers: Vec<usize> = said.workings().map(|working| self.number(working)).collect();
        numbers.sort_unstable();
        let numbers: Vec<String> = numbers.iter().map(ToString::to_string).collect();
        Cited { numbers: numbers.join(", "), said }
    }

    fn number(&mut self, working: &WorkingText) -> usize {
        let known = self.workings.iter().position(|known| known == working);
        1 + known.unwrap_or_else(|| {
            self.workings.push(working.clone());
            self.workings.len() - 1
        })
    }

    /// All workings, in the order of their numbers.
    pub fn workings(self) -> Vec<WorkingText> {
        self.workings
    }
}
