//! A finding of the checks as pages show it: its level, what it is about, what is wrong.

use askama::Template;
use askama::filters::HtmlSafe;

use super::workings::WorkingPiece;
use crate::job::finding::Finding;
use crate::job::subject::{Kind, Subject};
use crate::trade::finding::Level;
use crate::web::kit::form::capital;

/// A level by shape, word and weight: an octagon, a triangle, a circle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Template)]
#[template(path = "partials/level.html")]
pub struct LevelMark(pub Level);

impl HtmlSafe for LevelMark {}

impl LevelMark {
    fn word(self) -> &'static str {
        self.0.word()
    }

    fn title(self) -> &'static str {
        match self.0 {
            Level::Stop => "Stop",
            Level::Fix => "Fix",
            Level::Note => "Note",
        }
    }
}

/// A finding as an item of a list: level, what it is about, what is wrong, and its working.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/finding.html")]
pub struct FindingPiece {
    mark: LevelMark,
    about: String,
    href: Option<String>,
    text: String,
    code: &'static str,
    working: Option<WorkingPiece>,
}

impl HtmlSafe for FindingPiece {}

impl FindingPiece {
    /// A finding of the job at that address.
    pub fn new(finding: &Finding, job: &str) -> Self {
        Self {
            mark: LevelMark(finding.level),
            about: about(&finding.subject),
            href: sheet_of(&finding.subject).map(|path| format!("{job}{path}")),
            text: finding.text.clone(),
            code: finding.code.phrase(),
            working: finding.working.clone().map(WorkingPiece),
        }
    }
}

/// A thing by kind and id; of the job itself the kind says it all.
fn about(subject: &Subject) -> String {
    match subject.kind {
        Kind::Job => "The job".to_owned(),
        kind => format!("{} {}", capital(kind.word()), subject.id),
    }
}

/// The page within a job where a thing can be looked at.
pub fn sheet_of(subject: &Subject) -> Option<String> {
    let id = &subject.id;
    match subject.kind {
        Kind::Location => Some(format!("/plan/locations#{id}")),
        Kind::Raceway => Some(format!("/plan/locations#{id}")),
        Kind::Point => Some(format!("/plan/points#{id}")),
        Kind::Feeder => Some(format!("/feeders/{id}")),
        Kind::Device => Some(format!("/plan/devices#{id}")),
        Kind::Circuit => Some(format!("/circuits/{id}")),
        Kind::Board => Some(format!("/boards/{id}")),
        Kind::Mode => Some(format!("/plan/modes#{id}")),
        Kind::Removed => Some(format!("/plan/removed#{id}")),
        Kind::Job => Some("/intake".to_owned()),
        Kind::Conductor => Some(format!("/wires/{id}")),
        Kind::End => {
            let (wire, side) = id.split_at_checked(id.len().checked_sub(1)?)?;
            Some(format!("/wires/{wire}/{side}"))
        }
        Kind::Cable => Some(format!("/cables/{id}")),
        Kind::Position | Kind::Setting => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_is_told_by_word_as_well() {
        for (level, word) in [(Level::Stop, "Stop"), (Level::Fix, "Fix"), (Level::Note, "Note")] {
            let html = LevelMark(level).render().unwrap();
            assert!(html.contains(word) && html.contains("<svg"), "{html}");
        }
    }
}
